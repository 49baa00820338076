"""Independent readers open the PDF, render it, and measure what a printer would put on paper."""

import io
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pypdfium2
import pytest
from conftest import outline
from pages import (
    BODY,
    COARSE,
    FINE,
    KINDS,
    NAME,
    RENDERERS,
    Ink,
    Renderer,
    dashes,
    joined,
    lines,
    only,
    pdfium,
    runs,
    tile_names,
)
from pypdf import PdfReader
from shapely import LineString, Polygon

import kirtle


@pytest.mark.parametrize(("paper", "pages", "width", "height"), [
    ("A4", 13, 210, 297), ("A3", 7, 297, 420), ("A0", 1, 841, 1189), ("Letter", 13, 215.9, 279.4),
    ("70 x 80 cm", 1, 700, 800), ("24 x 36 in", 1, 609.6, 914.4), ("roll 90 cm", 1, 900, None),
])
def test_pages_are_as_large_as_the_paper(
    pattern: kirtle.Pattern, paper: str, pages: int, width: float, height: float | None
) -> None:
    pdf = pattern.pdf(paper=paper)
    boxes = [page.mediabox for page in PdfReader(io.BytesIO(pdf)).pages]
    assert len(boxes) == pages and pattern.pdf(paper=paper) == pdf
    # A roll is cut off below the drawing and its margin.
    drawn = float(ElementTree.fromstring(pattern.svg()).attrib["height"].removesuffix("mm")) + 20
    for box in boxes:
        assert (box.left, box.bottom) == (0, 0)
        sides = [float(side) * 25.4 / 72 for side in (box.width, box.height)]
        assert sides == pytest.approx([width, height or drawn], abs=1e-3)


def test_layers_letters_and_texts(pattern: kirtle.Pattern) -> None:
    pdf = pattern.pdf()
    reader = PdfReader(io.BytesIO(pdf))
    root: Any = reader.root_object
    assert [group.get_object()["/Name"] for group in root["/OCProperties"]["/OCGs"]] == [*KINDS, BODY]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for page, other in zip(reader.pages, pypdfium2.PdfDocument(pdf), strict=True):
        resources: Any = page["/Resources"]
        for font in resources["/Font"].values():
            descriptor = font["/DescendantFonts"][0]["/FontDescriptor"]
            assert descriptor["/FontFile2"].get_data()[:4] == b"\0\1\0\0"
        for text in (page.extract_text(), other.get_textpage().get_text_range()):
            for words in ("BACK", "FRONT", NAME, "cut 1 on the fold", "cut 2, a pair", "hip line", "grain"):
                assert words in text
    cover = reader.pages[0].extract_text()
    assert all(words in cover for words in ("5 cm", "2 in", "waist 72.0", "12 tiles in 3 rows and 4 columns",
                                            "trim the left and the\nupper edge", "overlapping by 10 mm"))
    assert tile_names(pdf) == [(row, column) for row in range(3) for column in range(4)]


def test_layers_can_be_switched(pattern: kirtle.Pattern) -> None:
    pdf = pattern.pdf(paper="A0")
    alone = {kind: int((pdfium(only(pdf, kind, BODY), 1)[0] > 60).sum()) for kind in KINDS}
    assert all(ink > 20 for ink in alone.values()), alone
    assert not pdfium(only(pdf), 1)[0].any() and not pdfium(only(pdf, "cut"), 1)[0].any()


@pytest.mark.parametrize("name", ["cut", "dart", "ON", ""])
def test_a_body_by_the_name_of_a_layer_has_a_layer_of_its_own(draft: kirtle.Draft, name: str) -> None:
    pattern = draft.pattern(name=name)
    groups: Any = PdfReader(io.BytesIO(pattern.pdf())).root_object
    names = [group.get_object()["/Name"] for group in groups["/OCProperties"]["/OCGs"]]
    assert names == [*KINDS, f"of {name or 'waist 72.0, hip 98.0 cm'}"]


def test_strokes_are_those_of_the_svg(pattern: kirtle.Pattern) -> None:
    """Stroke by stroke each layer is dashed alike; nowhere does the ring at a dart's tip change what follows."""
    drawn: dict[str, list[list[float]]] = {}
    for group in ElementTree.fromstring(pattern.svg()).iter("{http://www.w3.org/2000/svg}g"):
        lines = [line for line in group if line.tag.endswith(("}path", "}circle"))]
        strokes = [[float(dash) for dash in line.attrib.get("stroke-dasharray", "").split()] for line in lines]
        drawn.setdefault(group.attrib.get("class", ""), []).extend(strokes)
    printed = dashes(pattern.pdf(paper="A0"))
    legs, centre, ring = [4, 2], [9, 2, 1, 2], list[float]()
    assert [len(panel.darts) for panel in (pattern.draft.back, pattern.draft.front)] == [2, 1]
    assert printed["dart"] == [legs, legs, centre, ring, centre, ring] + [legs, centre, ring]
    assert {kind: printed[kind] for kind in KINDS} == {kind: drawn[kind] for kind in KINDS}


@pytest.mark.parametrize("render", RENDERERS)
def test_the_middle_of_every_dart_is_dash_dot(pattern: kirtle.Pattern, render: Renderer) -> None:
    """Straight down each dart there are dashes of nine millimetres and dots of one, two apart, to the ring."""
    pdf = pattern.pdf(paper="A0")
    darts, seams, folds = (render(only(pdf, kind, BODY), COARSE)[0] for kind in ("dart", "seam", "fold"))
    # The leftmost seam is the centre back; the fold is the centre front.
    centre_back = np.flatnonzero(seams.max(axis=0) > 60)[0] + 1
    centre_front = lines(folds.max(axis=0), COARSE)[0] * COARSE
    places = [centre_back + dart.tip[0] * 10 * COARSE for dart in pattern.draft.back.darts]
    places += [centre_front - dart.tip[0] * 10 * COARSE for dart in pattern.draft.front.darts]
    for x in places:
        spans = runs(darts[:, int(x)])
        marks, gaps = np.diff(spans)[:, 0] / COARSE, (spans[1:, 0] - spans[:-1, 1]) / COARSE
        # The last marks are cut short by the tip, and cross the ring.
        assert len(marks) > 10 and marks[:10] == pytest.approx([9, 1] * 5, abs=0.5)
        assert gaps[:10] == pytest.approx([2] * 10, abs=0.5)


@pytest.mark.parametrize("render", RENDERERS)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_squares_are_true(pattern: kirtle.Pattern, paper: str, render: Renderer) -> None:
    cover = render(only(pattern.pdf(paper=paper), "sheet"), FINE)[0]
    # Through the middle of both, and down through each.
    across = lines(cover[40 * FINE])
    assert np.diff(across) == pytest.approx([50, 5, 50.8], abs=0.1)
    for x, side in ((40, 50), (95, 50.8)):
        assert np.diff(lines(cover[:, x * FINE])[:2]) == pytest.approx([side], abs=0.1)


@pytest.fixture(scope="module", params=RENDERERS)
def glued(pattern: kirtle.Pattern, request: pytest.FixtureRequest) -> Ink:
    """The cut lines and the fold on A4, glued."""
    pdf = pattern.pdf()
    return joined(tile_names(pdf), request.param(only(pdf, "cut", "fold", BODY), FINE), FINE)


def widths(pattern: kirtle.Pattern) -> list[float]:
    """Below the hip line every line runs straight down: centre back, both sides, the fold."""
    back, front = pattern.draft.back.width * 10, pattern.draft.front.width * 10
    return [20 + back + 15, 10, 15 + front]


def test_widths_across_joints(pattern: kirtle.Pattern, glued: Ink) -> None:
    assert np.diff(lines(glued[500 * FINE : 540 * FINE].mean(axis=0))) == pytest.approx(widths(pattern), abs=0.1)


@pytest.mark.parametrize(("paper", "margin", "overlap"), [
    ("A4", 0, 0), ("A4", 15, 5), ("A3", 5, 30), ("20 x 25 cm", 12, 20),
])
def test_any_margin_and_overlap(pattern: kirtle.Pattern, paper: str, margin: int, overlap: int) -> None:
    pdf = pattern.pdf(paper=paper, margin_mm=margin, overlap_mm=overlap)
    pages = pdfium(only(pdf, "cut", "fold", BODY), FINE)
    glued = joined(tile_names(pdf), pages, FINE, margin, overlap)
    assert np.diff(lines(glued[500 * FINE : 540 * FINE].mean(axis=0))) == pytest.approx(widths(pattern), abs=0.1)


@pytest.mark.parametrize(("name", "share"), [
    ("back", 0.02), ("back", 0.55), ("back", 0.9), ("front", 0.1), ("front", 0.8),
])
def test_lengths_across_joints(pattern: kirtle.Pattern, glued: Ink, name: str, share: float) -> None:
    """From the waist's cut line, or the side's, straight down to the hem's, at a share of the panel's width."""
    piece, width = getattr(pattern, name), getattr(pattern.draft, name).width * 10
    centre_back, _, _, fold = lines(glued[500 * FINE : 540 * FINE].mean(axis=0))
    centre, towards_side = (centre_back + 20, 1) if name == "back" else (fold, -1)
    column = int((centre + towards_side * width * share) * FINE)
    x = ((column + 0.5) / FINE - centre) * towards_side / 10
    ruler = Polygon(outline(edge.points for edge in piece.cut)).intersection(LineString([(x, -10), (x, 99)]))
    top, hem = lines(glued[:, column])
    assert hem - top == pytest.approx(ruler.length * 10, abs=0.1)
