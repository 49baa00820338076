"""Independent readers open the PDF, render it, and measure what a printer would put on paper."""

import io
import shutil
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pypdfium2
import pytest
from conftest import Points, outline
from pages import COARSE, FINE, Ink, joined, lines, only, pdfium, poppler, tile_names
from pypdf import PdfReader
from scipy.ndimage import binary_dilation
from shapely import LineString, Polygon

import kirtle

Renderer = Callable[[bytes, int], list[Ink]]
missing = pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="pdftoppm is not installed")
RENDERERS = [pdfium, pytest.param(poppler, marks=missing)]

KINDS = ["guide", "grain", "fold", "dart", "seam", "cut", "notch", "text"]
NAME = "Zoë Ζωή Жанна №44"


@pytest.fixture(scope="module")
def pattern() -> kirtle.Pattern:
    body = kirtle.Body(waist=72, hip=98, hip_depth=20, length=60)
    return kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5)).pattern(name=NAME, side=1.5)


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
    assert [group.get_object()["/Name"] for group in root["/OCProperties"]["/OCGs"]] == [*KINDS, NAME]
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
    assert all(words in cover for words in ("5 cm", "2 in", "waist 72.0", "12 tiles in 3 rows and 4 columns"))
    assert tile_names(pdf) == [(row, column) for row in range(3) for column in range(4)]
    assert "joins 1 B" in reader.pages[1].extract_text()


def test_layers_can_be_switched(pattern: kirtle.Pattern) -> None:
    pdf = pattern.pdf(paper="A0")
    alone = {kind: int((pdfium(only(pdf, kind, NAME), 1)[0] > 60).sum()) for kind in KINDS}
    assert all(ink > 20 for ink in alone.values()), alone
    assert not pdfium(only(pdf), 1)[0].any() and not pdfium(only(pdf, "cut"), 1)[0].any()


@pytest.mark.parametrize("render", RENDERERS)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_squares_are_true(pattern: kirtle.Pattern, paper: str, render: Renderer) -> None:
    cover = render(only(pattern.pdf(paper=paper), "guide"), FINE)[0]
    # Through the middle of both, and down through each.
    across = lines(cover[40 * FINE])
    assert np.diff(across) == pytest.approx([50, 5, 50.8], abs=0.1)
    for x, side in ((40, 50), (95, 50.8)):
        assert np.diff(lines(cover[:, x * FINE])[:2]) == pytest.approx([side], abs=0.1)


@pytest.fixture(scope="module", params=RENDERERS)
def glued(pattern: kirtle.Pattern, request: pytest.FixtureRequest) -> Ink:
    """The cut lines and the fold on A4, glued."""
    pdf = pattern.pdf()
    return joined(tile_names(pdf), request.param(only(pdf, "cut", "fold", NAME), FINE), FINE)


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
    pages = pdfium(only(pdf, "cut", "fold", NAME), FINE)
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


def crosses(strip: Ink) -> Points:
    """How far down and across the strip of an overlap its crosses lie: where seven millimetres are one line."""
    down = lines(strip[:, 18:-18].min(axis=1))
    return np.array([[y, *lines(strip[int(y * FINE) - 40 : int(y * FINE) + 40].min(axis=0))] for y in down])


@pytest.mark.parametrize("render", RENDERERS)
def test_joining_crosses_coincide(pattern: kirtle.Pattern, render: Renderer) -> None:
    pdf, lap = pattern.pdf(), 10 * FINE
    pages = render(only(pdf, "guide", NAME), FINE)[1:]
    windows = [page[lap:, lap:][: 277 * FINE, : 190 * FINE] for page in pages]
    tiles = dict(zip(tile_names(pdf), windows, strict=True))
    beside = [(tile[:, -lap:], tiles[row, column + 1][:, :lap]) for (row, column), tile in tiles.items() if column < 3]
    below = [(tile[-lap:].T, tiles[row + 1, column][:lap].T) for (row, column), tile in tiles.items() if row < 2]
    assert (len(beside), len(below)) == (3 * 3, 2 * 4)
    for ours, theirs in beside + below:
        assert crosses(ours) == pytest.approx(crosses(theirs), abs=0.1) and crosses(ours).shape == (2, 2)


def test_tiles_show_all_that_the_sheet_shows() -> None:
    """Where a tile is left out the drawing on one sheet has nothing."""
    body = kirtle.Body(waist=110, hip=130, hip_depth=20, length=90)
    pattern = kirtle.draft(body, ease=kirtle.Ease(waist=2, hip=8)).pattern(name=NAME)
    tiled, whole = pattern.pdf(paper="15 x 20 cm"), pattern.pdf(paper="110 x 130 cm")
    names, (wide, high) = tile_names(tiled), (180, 130)

    def both(*shown: str) -> list[Ink]:
        sheet = pdfium(only(whole, *shown, NAME), COARSE)[0]
        return [sheet, joined(names, pdfium(only(tiled, *shown, NAME), COARSE), COARSE)]

    # The cut line tells how much lower the drawing lies on the sheet, below the head.
    (top, left), (upper, lefter) = (np.argwhere(ink > 60).min(axis=0) for ink in both("cut"))
    sheet, glued = both(*KINDS)
    sheet = sheet[top - upper :, left - lefter :]
    shown = binary_dilation(glued > 40, iterations=2)
    height, width = np.minimum(sheet.shape, shown.shape)
    assert not sheet[height:].any() and not sheet[:, width:].any() and (sheet > 128).sum() > 10_000
    assert not ((sheet[:height, :width] > 128) & ~shown[:height, :width]).any()
    rows, columns = (max(place) + 1 for place in zip(*names, strict=True))
    left_out = {(row, column) for row in range(rows) for column in range(columns)} - set(names)
    # But for half a line's width: what touches the edge of a window is shown by its neighbour.
    rim = COARSE // 2
    for row, column in left_out:
        window = sheet[row * (high - 10) * COARSE :, column * (wide - 10) * COARSE :][: high * COARSE, : wide * COARSE]
        assert not (window[rim:-rim, rim:-rim] > 60).any()
    assert len(left_out) >= 4
