"""PDF tiles, trimmed and glued as the cover says, make the whole sheet."""

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from conftest import TESTS, Points
from pages import (
    BODY_LAYER,
    BODY_NAME,
    COARSE_PX_PER_MM,
    LAYERS,
    PX_PER_MM,
    RENDERERS,
    Ink,
    Renderer,
    glue_tiles,
    ink_runs,
    line_centres_mm,
    pdfium,
    piece_boxes,
    text_boxes,
    tile_positions,
    with_layers,
)
from pictures import matches_ink
from scipy.ndimage import binary_dilation

import kirtle

Tiles = dict[tuple[int, int], Ink]
"""Pages of tiles by row and column, from 0."""


@pytest.fixture(scope="module", params=RENDERERS)
def sheet_tiles(pattern: kirtle.Pattern, request: pytest.FixtureRequest) -> Tiles:
    """Returns the A4 tiles with only the layer "sheet": frames, joining crosses and labels."""
    pdf = pattern.pdf()
    return dict(zip(tile_positions(pdf), request.param(with_layers(pdf, "sheet"), PX_PER_MM)[1:], strict=True))


WIDTH, HEIGHT, MARGIN, OVERLAP = 190, 277, 10, 10
"""Width and height of the window of an A4 tile, its margin, and the overlap of neighbours, in mm."""


def joints(tiles: Tiles) -> list[tuple[Ink, Ink]]:
    """Returns for each joint the strips of both tiles around it, the covered tile first; strips run downwards."""
    pairs = []
    for (row, column), tile in tiles.items():
        if (row, column + 1) in tiles:
            pairs.append((strip(tile, WIDTH - OVERLAP), strip(tiles[row, column + 1], 0)))
        if (row + 1, column) in tiles:
            pairs.append((strip(tile.T, HEIGHT - OVERLAP), strip(tiles[row + 1, column].T, 0)))
    return pairs


def strip(page: Ink, x: float) -> Ink:
    """Returns the strip of a window within 4 mm of the vertical line `x` mm from the window's left edge."""
    middle = int(round((MARGIN + x) * PX_PER_MM))
    return page[MARGIN * PX_PER_MM : -MARGIN * PX_PER_MM, middle - 4 * PX_PER_MM : middle + 4 * PX_PER_MM]


def crosses(strip: Ink) -> Points:
    """Returns y and x in mm of the joining crosses of a strip; a cross has ink from 1 to 3 mm on both sides of the line."""
    level = np.minimum(strip[:, PX_PER_MM : 3 * PX_PER_MM].min(axis=1), strip[:, -3 * PX_PER_MM : -PX_PER_MM].min(axis=1))
    return np.array([
        [y, *line_centres_mm(strip[int((y - 3) * PX_PER_MM) : int((y + 3) * PX_PER_MM)].min(axis=0))] for y in line_centres_mm(level)
    ])


def test_joining_crosses_lie_on_the_edge_of_both_tiles(sheet_tiles: Tiles) -> None:
    pairs = joints(sheet_tiles)
    assert len(pairs) == 5 * 1 + 4 * 2
    for covered, covering in pairs:
        assert crosses(covered).shape == (2, 2) and crosses(covered) == pytest.approx(crosses(covering), abs=0.1)
        assert crosses(covered)[:, 1] == pytest.approx([4, 4], abs=0.1)
        assert crosses(covered)[:, 0] == pytest.approx(len(covered) / PX_PER_MM * np.array([0.25, 0.75]), abs=0.1)


def is_dotted(line: Ink) -> bool:
    """Returns whether a line has dots of 0.8 mm every 2.4 mm along its whole length; at most two crosses may cover dots."""
    marks = ink_runs(line)
    lengths = np.diff(marks)[:, 0] / PX_PER_MM
    gaps = (marks[1:, 0] - marks[:-1, 1]) / PX_PER_MM
    dots = np.count_nonzero(np.abs(lengths - 0.8) < 0.2)
    return bool(dots > len(line) / PX_PER_MM / 2.4 - 12 and gaps.max() < 1.8 and np.sum(lengths > 1.2) <= 4)


def test_frames_and_the_edges_of_the_next_tiles_are_dotted(sheet_tiles: Tiles) -> None:
    for (row, column), page in sheet_tiles.items():
        window = page[MARGIN * PX_PER_MM : -MARGIN * PX_PER_MM, MARGIN * PX_PER_MM : -MARGIN * PX_PER_MM]
        frame = [page[MARGIN * PX_PER_MM : -MARGIN * PX_PER_MM, x * PX_PER_MM] for x in (MARGIN, MARGIN + WIDTH)]
        frame += [page[y * PX_PER_MM, MARGIN * PX_PER_MM : -MARGIN * PX_PER_MM] for y in (MARGIN, MARGIN + HEIGHT)]
        assert all(is_dotted(line) for line in frame)
        for line, neighbour in ((window[:, (WIDTH - OVERLAP) * PX_PER_MM], (row, column + 1)),
                                (window[(HEIGHT - OVERLAP) * PX_PER_MM], (row + 1, column))):
            # Without a neighbour there is no dotted line; at most the end of another line lies here.
            assert is_dotted(line) if neighbour in sheet_tiles else len(ink_runs(line[PX_PER_MM:-PX_PER_MM])) <= 1


def test_tile_labels_lie_in_the_overlap_and_are_covered_when_glued(pattern: kirtle.Pattern) -> None:
    """The label and the names of the next tiles lie in the right and lower overlaps, which the next tiles cover."""
    pdf = pattern.pdf()
    positions, pages = tile_positions(pdf), list(pypdfium2.PdfDocument(pdf))[1:]
    labels = {(row, column): f"{row + 1} {chr(ord('A') + column)}" for row, column in positions}
    for number, ((row, column), page) in enumerate(zip(positions, pages, strict=True), start=1):
        right, below = labels.get((row, column + 1)), labels.get((row + 1, column))
        neighbours = [(f"{right} is glued on here", True), (f"{below} is glued on here", False)]
        own = f"tile {labels[row, column]}, {number} of {len(pages)}"
        expected = [(own, True), *neighbours]
        assert any(top > MARGIN + HEIGHT - OVERLAP for _, top, _, _ in text_boxes(page, BODY_NAME))
        for words, upright in expected:
            boxes = text_boxes(page, words)
            # A missing neighbour gives "None is glued on here", which must not be printed.
            assert len(boxes) == ("None" not in words), words
            for left, top, right_end, bottom in boxes:
                assert MARGIN < left < right_end < MARGIN + WIDTH and MARGIN < top < bottom < MARGIN + HEIGHT
                assert left > MARGIN + WIDTH - OVERLAP if upright else top > MARGIN + HEIGHT - OVERLAP


@pytest.mark.parametrize("render", RENDERERS)
def test_neighbours_show_the_same_drawing_in_their_overlap(pattern: kirtle.Pattern, render: Renderer) -> None:
    pdf, lap = pattern.pdf(), OVERLAP * COARSE_PX_PER_MM
    pages = render(with_layers(pdf, *LAYERS[1:-1], BODY_LAYER), COARSE_PX_PER_MM)[1:]
    margin, height, width = (side * COARSE_PX_PER_MM for side in (MARGIN, HEIGHT, WIDTH))
    windows = [page[margin:, margin:][:height, :width] for page in pages]
    tiles = dict(zip(tile_positions(pdf), windows, strict=True))
    pairs = [(tile[:, -lap:], tiles[row, column + 1][:, :lap]) for (row, column), tile in tiles.items() if (row, column + 1) in tiles]
    pairs += [(tile[-lap:], tiles[row + 1, column][:lap]) for (row, column), tile in tiles.items() if (row + 1, column) in tiles]
    assert sum(bool(first.any()) for first, _ in pairs) > 10
    for first, second in pairs:
        # Two pixels at each edge are ignored, where the window may cut a line lengthwise.
        assert np.abs(first[2:-2, 2:-2].astype(int) - second[2:-2, 2:-2]).max(initial=0) < 100


def test_glued_tiles_show_everything_that_one_large_sheet_shows() -> None:
    """Where a tile is omitted, the large sheet is blank."""
    body = kirtle.Body(waist=110, hip=130, hip_depth=20, length=90)
    pattern = kirtle.draft(body, ease=kirtle.Ease(waist=2, hip=8)).pattern(name=BODY_NAME)
    tiled, whole = pattern.pdf(paper="15 x 20 cm"), pattern.pdf(paper="110 x 130 cm")
    positions = tile_positions(tiled)
    width, height = (round(side * 25.4 / 72) - 2 * MARGIN for side in pypdfium2.PdfDocument(tiled)[1].get_size())
    assert {width, height} == {130, 180}

    def both(*shown: str) -> list[Ink]:
        sheet = pdfium(with_layers(whole, *shown, BODY_LAYER), COARSE_PX_PER_MM)[0]
        return [sheet, glue_tiles(positions, pdfium(with_layers(tiled, *shown, BODY_LAYER), COARSE_PX_PER_MM), COARSE_PX_PER_MM)]

    cut = [piece_boxes(ink, COARSE_PX_PER_MM) for ink in both("cut")]
    sheet, glued = both(*LAYERS)
    shown = binary_dilation(glued > 40, iterations=2)
    pieces = list(zip(*cut, strict=True))
    assert len(pieces) == 2
    for on_sheet, on_tiles in pieces:
        rows, columns = np.minimum(sheet[on_sheet].shape, shown[on_tiles].shape)
        assert (sheet[on_sheet] > 128).sum() > 5_000
        assert not ((sheet[on_sheet][:rows, :columns] > 128) & ~shown[on_tiles][:rows, :columns]).any()
        sheet[on_sheet] = 0
    # No line of the drawing, which begins below the head, lies outside of the pieces.
    assert not sheet[cut[0][0][0].start :].any()
    rows, columns = (max(numbers) + 1 for numbers in zip(*positions, strict=True))
    assert rows * columns - len(positions) >= 2


def test_the_picture_of_the_page_shows_these_tiles(tmp_path: Path) -> None:
    """The page is src/sewing_room.md."""
    request = (TESTS / "requests" / "evening-class.json").read_text()
    pdf = kirtle.Draft.from_json(request).pattern(name="Evening class").pdf()
    sheet = glue_tiles(tile_positions(pdf), pdfium(pdf, COARSE_PX_PER_MM), COARSE_PX_PER_MM)
    assert matches_ink(sheet[::2, ::2], TESTS / "golden" / "evening-class-tiles.png", tmp_path / "tiles.png")
