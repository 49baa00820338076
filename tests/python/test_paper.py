"""Independent readers open the PDF, render it, and measure what a printer would print."""

import io
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pypdfium2
import pytest
from conftest import outline
from pages import (
    BODY_LAYER,
    BODY_NAME,
    COARSE_PX_PER_MM,
    LAYERS,
    PX_PER_MM,
    RENDERERS,
    Ink,
    Renderer,
    dash_patterns,
    glue_tiles,
    ink_runs,
    line_centres_mm,
    pdfium,
    piece_boxes,
    tile_positions,
    with_layers,
)
from pypdf import PdfReader
from shapely import LineString, Polygon

import kirtle


@pytest.mark.parametrize(("paper", "pages", "width", "height"), [
    ("A4", 11, 210, 297), ("A3", 6, 420, 297), ("A0", 1, 841, 1189), ("Letter", 13, 215.9, 279.4),
    ("70 x 80 cm", 1, 700, 800), ("24 x 36 in", 1, 609.6, 914.4), ("roll 90 cm", 1, 900, None),
])
def test_pages_have_the_size_of_the_paper(
    pattern: kirtle.Pattern, paper: str, pages: int, width: float, height: float | None
) -> None:
    pdf = pattern.pdf(paper=paper)
    boxes = [page.mediabox for page in PdfReader(io.BytesIO(pdf)).pages]
    assert len(boxes) == pages and pattern.pdf(paper=paper) == pdf
    # On a roll the page ends below the drawing and its margin.
    roll_height = float(ElementTree.fromstring(pattern.svg()).attrib["height"].removesuffix("mm")) + 20
    for box in boxes:
        assert (box.left, box.bottom) == (0, 0)
        sides = [float(side) * 25.4 / 72 for side in (box.width, box.height)]
        assert sides == pytest.approx([width, height or roll_height], abs=1e-3)


def test_the_pdf_has_its_layers_embedded_font_and_texts(pattern: kirtle.Pattern) -> None:
    pdf = pattern.pdf()
    reader = PdfReader(io.BytesIO(pdf))
    root: Any = reader.root_object
    assert [group.get_object()["/Name"] for group in root["/OCProperties"]["/OCGs"]] == [*LAYERS, BODY_LAYER]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for page, pdfium_page in zip(reader.pages, pypdfium2.PdfDocument(pdf), strict=True):
        resources: Any = page["/Resources"]
        for font in resources["/Font"].values():
            descriptor = font["/DescendantFonts"][0]["/FontDescriptor"]
            assert descriptor["/FontFile2"].get_data()[:4] == b"\0\1\0\0"
        for text in (page.extract_text(), pdfium_page.get_textpage().get_text_range()):
            for words in ("BACK", "FRONT", BODY_NAME, "cut 1 on the fold", "cut 2 (mirrored)", "hip line", "grain line"):
                assert words in text
    cover = " ".join(reader.pages[0].extract_text().split())
    assert all(words in cover for words in ("5 cm", "2 in", "waist 72.0", "11 sheets (2 saved", "10 tiles in 5 rows and 2 columns",
                                            "Trim each tile along", "overlapping by 10 mm"))
    assert tile_positions(pdf) == [(row, column) for row in range(5) for column in range(2)]


def test_each_layer_can_be_shown_alone(pattern: kirtle.Pattern) -> None:
    pdf = pattern.pdf(paper="A0")
    dark_pixels = {layer: int((pdfium(with_layers(pdf, layer, BODY_LAYER), 1)[0] > 60).sum()) for layer in LAYERS}
    assert all(count > 20 for count in dark_pixels.values()), dark_pixels
    assert not pdfium(with_layers(pdf), 1)[0].any() and not pdfium(with_layers(pdf, "cut"), 1)[0].any()


@pytest.mark.parametrize("name", ["cut", "dart", "ON", ""])
def test_a_body_named_like_a_layer_has_its_own_layer(draft: kirtle.Draft, name: str) -> None:
    pattern = draft.pattern(name=name)
    groups: Any = PdfReader(io.BytesIO(pattern.pdf())).root_object
    names = [group.get_object()["/Name"] for group in groups["/OCProperties"]["/OCGs"]]
    assert names == [*LAYERS, f"all of {name or 'waist 72.0, hip 98.0 cm'}"]


def test_strokes_have_the_dash_patterns_of_the_svg(pattern: kirtle.Pattern) -> None:
    """The solid ring at a dart's tip does not change the dashes of the strokes after it."""
    svg_dashes: dict[str, list[list[float]]] = {}
    for group in ElementTree.fromstring(pattern.svg()).iter("{http://www.w3.org/2000/svg}g"):
        lines = [line for line in group if line.tag.endswith(("}path", "}circle"))]
        strokes = [[float(dash) for dash in line.attrib.get("stroke-dasharray", "").split()] for line in lines]
        svg_dashes.setdefault(group.attrib.get("class", ""), []).extend(strokes)
    pdf_dashes = dash_patterns(pattern.pdf(paper="A0"))
    legs, centre, ring = [4, 2], [9, 2, 1, 2], list[float]()
    assert [len(panel.darts) for panel in (pattern.draft.back, pattern.draft.front)] == [2, 1]
    assert pdf_dashes["dart"] == [legs, legs, centre, ring, centre, ring] + [legs, centre, ring]
    assert {layer: pdf_dashes[layer] for layer in LAYERS} == {layer: svg_dashes[layer] for layer in LAYERS}


@pytest.mark.parametrize("render", RENDERERS)
def test_the_centre_line_of_every_dart_is_dash_dot(pattern: kirtle.Pattern, render: Renderer) -> None:
    """Down to the ring at the tip, dashes of 9 mm and dots of 1 mm alternate with gaps of 2 mm."""
    pdf = pattern.pdf(paper="A0")
    darts, seams, folds = (render(with_layers(pdf, layer, BODY_LAYER), COARSE_PX_PER_MM)[0] for layer in ("dart", "seam", "fold"))
    # The leftmost seam is the centre back; the fold is the centre front.
    centre_back = np.flatnonzero(seams.max(axis=0) > 60)[0] + 1
    centre_front = line_centres_mm(folds.max(axis=0), COARSE_PX_PER_MM)[0] * COARSE_PX_PER_MM
    centre_lines = [centre_back + dart.tip[0] * 10 * COARSE_PX_PER_MM for dart in pattern.draft.back.darts]
    centre_lines += [centre_front - dart.tip[0] * 10 * COARSE_PX_PER_MM for dart in pattern.draft.front.darts]
    for x in centre_lines:
        spans = ink_runs(darts[:, int(x)])
        marks, gaps = np.diff(spans)[:, 0] / COARSE_PX_PER_MM, (spans[1:, 0] - spans[:-1, 1]) / COARSE_PX_PER_MM
        # Near the tip the last marks are shortened and cross the ring.
        assert len(marks) > 10 and marks[:10] == pytest.approx([9, 1] * 5, abs=0.5)
        assert gaps[:10] == pytest.approx([2] * 10, abs=0.5)


@pytest.mark.parametrize("render", RENDERERS)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_test_squares_have_5_cm_and_2_inches(pattern: kirtle.Pattern, paper: str, render: Renderer) -> None:
    cover = render(with_layers(pattern.pdf(paper=paper), "sheet"), PX_PER_MM)[0]
    # A row through the middle of both squares, then a column through each.
    across = line_centres_mm(cover[40 * PX_PER_MM])
    assert np.diff(across) == pytest.approx([50, 5, 50.8], abs=0.1)
    for x, side in ((40, 50), (95, 50.8)):
        assert np.diff(line_centres_mm(cover[:, x * PX_PER_MM])[:2]) == pytest.approx([side], abs=0.1)


@pytest.fixture(scope="module", params=RENDERERS)
def printed_pieces(pattern: kirtle.Pattern, request: pytest.FixtureRequest) -> list[Ink]:
    """Returns back and front, cut out of the sheet glued from A4 tiles, with only the cut lines and the fold."""
    pdf = pattern.pdf()
    tiles = request.param(with_layers(pdf, "cut", "fold", BODY_LAYER), PX_PER_MM)
    return cut_out_pieces(glue_tiles(tile_positions(pdf), tiles, PX_PER_MM))


def assert_widths_are_true(pattern: kirtle.Pattern, printed_pieces: list[Ink]) -> None:
    """Measures both pieces below the hip line, where all cut lines and the fold are vertical."""
    allowances = [20 + 15, 15]
    for piece, panel, allowance in zip(printed_pieces, (pattern.draft.back, pattern.draft.front), allowances, strict=True):
        below_hip = piece[400 * PX_PER_MM : 440 * PX_PER_MM].mean(axis=0)
        assert np.diff(line_centres_mm(below_hip)) == pytest.approx([panel.width * 10 + allowance], abs=0.1)


def cut_out_pieces(glued: Ink) -> list[Ink]:
    """Returns back and front, each cut out of a glued sheet with only the cut lines and the fold."""
    return [glued[box] for box in piece_boxes(glued, PX_PER_MM)]


def test_widths_on_glued_tiles_are_true_to_a_tenth_of_a_millimetre(pattern: kirtle.Pattern, printed_pieces: list[Ink]) -> None:
    assert_widths_are_true(pattern, printed_pieces)


@pytest.mark.parametrize(("paper", "margin", "overlap"), [
    ("A4", 0, 0), ("A4", 15, 5), ("A3", 5, 30), ("20 x 25 cm", 12, 20),
])
def test_widths_are_true_for_other_margins_and_overlaps(pattern: kirtle.Pattern, paper: str, margin: int, overlap: int) -> None:
    pdf = pattern.pdf(paper=paper, margin_mm=margin, overlap_mm=overlap)
    pages = pdfium(with_layers(pdf, "cut", "fold", BODY_LAYER), PX_PER_MM)
    glued = glue_tiles(tile_positions(pdf), pages, PX_PER_MM, margin, overlap)
    assert_widths_are_true(pattern, cut_out_pieces(glued))


@pytest.mark.parametrize(("name", "share"), [
    ("back", 0.02), ("back", 0.55), ("back", 0.9), ("front", 0.1), ("front", 0.8),
])
def test_lengths_on_glued_tiles_are_true_to_a_tenth_of_a_millimetre(
    pattern: kirtle.Pattern, printed_pieces: list[Ink], name: str, share: float
) -> None:
    """A vertical ruler, at a share of the panel's width from the centre, measures from the upper cut line to the hem."""
    piece, width = getattr(pattern, name), getattr(pattern.draft, name).width * 10
    printed = printed_pieces[name == "front"]
    left, right = line_centres_mm(printed[400 * PX_PER_MM : 440 * PX_PER_MM].mean(axis=0))
    centre, towards_side = (left + 20, 1) if name == "back" else (right, -1)
    column = int((centre + towards_side * width * share) * PX_PER_MM)
    x = ((column + 0.5) / PX_PER_MM - centre) * towards_side / 10
    ruler = Polygon(outline(edge.points for edge in piece.cut)).intersection(LineString([(x, -10), (x, 99)]))
    top, hem = line_centres_mm(printed[:, column])
    assert hem - top == pytest.approx(ruler.length * 10, abs=0.1)
