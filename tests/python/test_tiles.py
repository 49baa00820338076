"""The tiles of a PDF: what belongs to the paper, and what one gets who trims and glues them as the cover says."""

import numpy as np
import pypdfium2
import pytest
from conftest import Points
from pages import (
    BODY,
    COARSE,
    FINE,
    KINDS,
    NAME,
    RENDERERS,
    Ink,
    Renderer,
    boxes,
    joined,
    lines,
    only,
    pdfium,
    runs,
    tile_names,
)
from scipy.ndimage import binary_dilation

import kirtle

Tiles = dict[tuple[int, int], Ink]


@pytest.fixture(scope="module", params=RENDERERS)
def sheets(pattern: kirtle.Pattern, request: pytest.FixtureRequest) -> Tiles:
    """What belongs to the paper on each tile of A4, by row and column."""
    pdf = pattern.pdf()
    return dict(zip(tile_names(pdf), request.param(only(pdf, "sheet"), FINE)[1:], strict=True))


WIDE, HIGH, RIM, LAP = 190, 277, 10, 10
"""The window of A4, the margin around it and the overlap, in millimetres."""


def joints(tiles: Tiles) -> list[tuple[Ink, Ink]]:
    """Around each edge that is glued onto a neighbour: the neighbour's strip that it lands on, and its own, upright."""
    found = []
    for (row, column), tile in tiles.items():
        if (row, column + 1) in tiles:
            found.append((strip(tile, WIDE - LAP), strip(tiles[row, column + 1], 0)))
        if (row + 1, column) in tiles:
            found.append((strip(tile.T, HIGH - LAP), strip(tiles[row + 1, column].T, 0)))
    return found


def strip(page: Ink, at: float) -> Ink:
    """Of a page the four millimetres to each side of a line down its window, and no more than the window's height."""
    middle = int(round((RIM + at) * FINE))
    return page[RIM * FINE : -RIM * FINE, middle - 4 * FINE : middle + 4 * FINE]


def crosses(around: Ink) -> Points:
    """How far down and across a strip its crosses lie: both arms go on for three millimetres, as no dots do."""
    level = np.minimum(around[:, FINE : 3 * FINE].min(axis=1), around[:, -3 * FINE : -FINE].min(axis=1))
    return np.array([
        [y, *lines(around[int((y - 3) * FINE) : int((y + 3) * FINE)].min(axis=0))] for y in lines(level)
    ])


def test_joining_crosses_lie_on_the_edge_of_both_tiles(sheets: Tiles) -> None:
    found = joints(sheets)
    assert len(found) == 3 * 3 + 2 * 4
    for ours, theirs in found:
        assert crosses(ours).shape == (2, 2) and crosses(ours) == pytest.approx(crosses(theirs), abs=0.1)
        assert crosses(ours)[:, 1] == pytest.approx([4, 4], abs=0.1)
        assert crosses(ours)[:, 0] == pytest.approx(len(ours) / FINE * np.array([0.25, 0.75]), abs=0.1)


def is_dotted(line: Ink) -> bool:
    """Dots of 0.8 mm every 2.4 mm from end to end, but where up to two crosses lie on them."""
    marks = runs(line)
    wide = np.diff(marks)[:, 0] / FINE
    gaps = (marks[1:, 0] - marks[:-1, 1]) / FINE
    dots = np.count_nonzero(np.abs(wide - 0.8) < 0.2)
    return bool(dots > len(line) / FINE / 2.4 - 12 and gaps.max() < 1.8 and np.sum(wide > 1.2) <= 4)


def test_frames_are_dotted_and_show_where_the_next_tile_lands(sheets: Tiles) -> None:
    for (row, column), page in sheets.items():
        window = page[RIM * FINE : -RIM * FINE, RIM * FINE : -RIM * FINE]
        frame = [page[RIM * FINE : -RIM * FINE, x * FINE] for x in (RIM, RIM + WIDE)]
        frame += [page[y * FINE, RIM * FINE : -RIM * FINE] for y in (RIM, RIM + HIGH)]
        assert all(is_dotted(line) for line in frame)
        for line, beside in ((window[:, (WIDE - LAP) * FINE], (row, column + 1)),
                             (window[(HIGH - LAP) * FINE], (row + 1, column))):
            # Where nothing is glued on there is at most the end of another line.
            assert is_dotted(line) if beside in sheets else len(runs(line[FINE:-FINE])) <= 1


def test_the_next_tile_covers_the_words_of_the_sheet(pattern: kirtle.Pattern) -> None:
    """The name, and what comes on top, stand in the strips at the right and below: out of the drawing once glued."""
    pdf = pattern.pdf()
    names, pages = tile_names(pdf), list(pypdfium2.PdfDocument(pdf))[1:]
    called = {(row, column): f"{row + 1} {chr(ord('A') + column)}" for row, column in names}
    for (row, column), page in zip(names, pages, strict=True):
        right, below = called.get((row, column + 1)), called.get((row + 1, column))
        expected = [(f"tile {called[row, column]}", True), (f"under {right}", True), (f"under {below}", False)]
        for words, upright in expected:
            found = boxes(page, words)
            # None is said to come where no tile is.
            assert len(found) == ("None" not in words), words
            for left, top, right_end, bottom in found:
                assert RIM < left < right_end < RIM + WIDE and RIM < top < bottom < RIM + HIGH
                assert left > RIM + WIDE - LAP if upright else top > RIM + HIGH - LAP


@pytest.mark.parametrize("render", RENDERERS)
def test_neighbours_show_the_same_where_they_overlap(pattern: kirtle.Pattern, render: Renderer) -> None:
    pdf, lap = pattern.pdf(), LAP * COARSE
    pages = render(only(pdf, *KINDS[1:-1], BODY), COARSE)[1:]
    windows = [page[RIM * COARSE :, RIM * COARSE :][: HIGH * COARSE, : WIDE * COARSE] for page in pages]
    tiles = dict(zip(tile_names(pdf), windows, strict=True))
    pairs = [(tile[:, -lap:], tiles[row, column + 1][:, :lap]) for (row, column), tile in tiles.items() if column < 3]
    pairs += [(tile[-lap:], tiles[row + 1, column][:lap]) for (row, column), tile in tiles.items() if row < 2]
    assert sum(bool(ours.any()) for ours, _ in pairs) > 10
    for ours, theirs in pairs:
        # At the very edges a line may be cut off along its middle.
        assert np.abs(ours[2:-2, 2:-2].astype(int) - theirs[2:-2, 2:-2]).max(initial=0) < 100


def test_tiles_show_all_that_the_sheet_shows() -> None:
    """Where a tile is left out the drawing on one sheet has nothing."""
    body = kirtle.Body(waist=110, hip=130, hip_depth=20, length=90)
    pattern = kirtle.draft(body, ease=kirtle.Ease(waist=2, hip=8)).pattern(name=NAME)
    tiled, whole = pattern.pdf(paper="15 x 20 cm"), pattern.pdf(paper="110 x 130 cm")
    names = tile_names(tiled)
    wide, high = (round(side * 25.4 / 72) - 2 * RIM for side in pypdfium2.PdfDocument(tiled)[1].get_size())
    assert {wide, high} == {130, 180}

    def both(*shown: str) -> list[Ink]:
        sheet = pdfium(only(whole, *shown, BODY), COARSE)[0]
        return [sheet, joined(names, pdfium(only(tiled, *shown, BODY), COARSE), COARSE)]

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
        window = sheet[row * (high - LAP) * COARSE :, column * (wide - LAP) * COARSE :]
        assert not (window[rim : high * COARSE - rim, rim : wide * COARSE - rim] > 60).any()
    assert len(left_out) >= 4
