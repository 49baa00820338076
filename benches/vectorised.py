"""The straight skirt drafted for a whole table of bodies at once, in plain NumPy, as a yardstick for speed.

The construction and its default rules are those of `peer.py`. For speed, rows with the same numbers of darts go
together, so that no dart is measured that is not there; angles are held as tangents of their halves, which need no
trigonometric function; and only so many rows go at a time that they stay in the cache. All lengths are in centimetres.
"""

import math
import statistics
import timeit
from collections.abc import Iterable, Iterator
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from peer import BALANCE, DART_LENGTHS, DART_SHARES, LARGEST_DART, PLACES, SMALLEST_DART, STEEPEST_SIDE

Array = NDArray[np.float64]
Columns = dict[str, Array | float]
Rule = list[tuple[float, float, float]]
Tilt = tuple[Array, Array]  # of the waist from the level: the tangent and the secant of half the angle

CHUNK = 16384  # rows that are drafted together
CLOSED = 1e-10  # the gap at which the solver stops, on half the garment
MAX_ITERATIONS = 40
MOST = 2 * LARGEST_DART  # in one panel
SLOPE = 2 * math.tan(STEEPEST_SIDE) / 1.5  # the most that both side seams take, over the hip depth

PANELS = ("back", "front")
DART = ("intake", "length", "centre")
DARTS = tuple(f"dart{k}_{name}" for k in (1, 2) for name in DART)
PANEL = ("width", "waist_seam", "waist_lowering", "centre_seam", "area", "darts", *DARTS)
WHOLE = tuple(f"suppression_{name}" for name in ("total", "side", *PANELS)) + ("left_in_side", "side_seam")
COLUMNS = WHOLE + tuple(f"{panel}_{name}" for panel in PANELS for name in PANEL)


def stretch_rule(count: int) -> Rule:
    """The Gauss–Legendre rule with so many nodes, for a stretch of waist.

    A stretch mirrors itself in the middle of its chord, so half the nodes are enough. Where q is the tangent of a
    quarter of its turn, the squared speed over the chord is 1 + (1 + v²) q² + (1 − 3v²)²/4 q⁴ at v from −1 to 1; these
    are the factors, the last first, times the squared weight.
    """
    nodes, weights = np.polynomial.legendre.leggauss(count)
    half = zip(nodes[count // 2 :], weights[count // 2 :])
    return [(w * w * (1 - 3 * v * v) ** 2 / 4, w * w * (1 + v * v), w * w) for v, w in half]


# The first two trials only have to find the slope of the secant.
TRIAL, EXACT = stretch_rule(4), stretch_rule(8)
# Likewise for the side seam, whose squared speed over the hip depth is 1 + (u (2 − u))² t² at u from 0 to 1, where t is
# the tangent of its lean at the waist.
SIDE = [((w * u * (2 - u)) ** 2, w * w) for u, w in np.transpose(np.polynomial.legendre.leggauss(10)) / 2 + [[0.5, 0.0]]]


class Block:
    """What is decided about rows with the same numbers of darts (back, front) before their waists are closed."""

    def __init__(self, counts: tuple[int, int], half: Array, target: Array, hip_depth: Array) -> None:
        self.counts, self.half, self.target, self.hip_depth = counts, half, target, hip_depth
        self.widths = half / 2 - BALANCE, half / 2 + BALANCE
        self.shares = np.array([[share if count else 0.0] for share, count in zip(DART_SHARES, counts)])
        # Up to here every amount is its share of the suppression.
        self.straight = np.minimum(hip_depth * (SLOPE / (1 - self.shares.sum())), MOST / max(DART_SHARES))

    def only(self, rows: NDArray[np.intp]) -> "Block":
        """Some of the rows."""
        return Block(self.counts, self.half[rows], self.target[rows], self.hip_depth[rows])


class Stretch(NamedTuple):
    """A stretch of waist between neighbours, square to both; the quarter is the tangent of a quarter of its turn."""

    run: Array
    chord: Array
    slope: Array
    quarter: Array
    length: Array


def pour(total: Array, limit: Array, shares: Array) -> list[Array]:
    """Share out suppressions where the side seams or a panel may take no more; `shares` is 0 where there are no darts.

    Returns what the side seams, the back and the front take, and what the side takes beyond its limit.
    """
    panels = np.minimum(shares * total, MOST)
    over = np.maximum(total - panels.sum(axis=0) - limit, 0.0)
    room = np.where(shares > 0, MOST - panels, 0.0)
    parts = shares / np.maximum(shares.sum(axis=0), min(DART_SHARES))
    # In proportion, but a panel also takes what the other has no room for.
    panels += np.minimum(room, np.maximum(parts * over, over - room[::-1]))
    return [total - panels.sum(axis=0), *panels, np.maximum(over - room.sum(axis=0), 0.0)]


def share_out(block: Block, total: Array) -> list[Array]:
    """The amounts of `pour`; only the rows where a limit is met are poured."""
    back, front = block.shares * total
    amounts = [total - back - front, back, front, np.zeros_like(total)]
    met = np.flatnonzero(total > block.straight)
    if met.size:
        for amount, some in zip(amounts, pour(total[met], block.hip_depth[met] * SLOPE, block.shares)):
            amount[met] = some
    return amounts


def relative_length(quarter: Array, rule: Rule) -> Array:
    """The length of a stretch over its chord, by the tangent of a quarter of its turn."""
    square = quarter * quarter
    length, speed = np.zeros_like(square), np.empty_like(square)
    for fourth, second, zeroth in rule:
        np.multiply(square, fourth, out=speed)
        speed += second
        speed *= square
        speed += zeroth
        length += np.sqrt(speed, out=speed)
    return length


def tilt_of(tangent: Array) -> Tilt:
    """The tilt with this tangent."""
    root = tangent * tangent
    root += 1
    half = tangent / (np.sqrt(root, out=root) + 1)
    np.multiply(half, half, out=root)
    root += 1
    return half, np.sqrt(root, out=root)


def stretch_of(run: Array, start: Tilt | None, end: Tilt, rule: Rule) -> Stretch:
    """The stretch from the level centre, or the outer leg of a dart, to the inner leg of the next, or the side seam.

    An outer leg tilts as the inner one does, but the other way: the stretch turns from −start to end.
    """
    tangent, secant = end
    if start is None:
        slope, chord, quarter = tangent, run * secant, tangent / (secant + 1)
    else:
        product, chord = start[0] * tangent, start[1] * secant
        quarter = (start[0] + tangent) / (chord - product + 1)
        product += 1
        chord /= product
        chord *= run
        slope = (tangent - start[0]) / product
    return Stretch(run, chord, slope, quarter, chord * relative_length(quarter, rule))


def stretches(block: Block, amounts: list[Array], rule: Rule) -> Iterator[Stretch]:
    """The stretches of the back, then those of the front, from the centre to the side."""
    loss = amounts[0] / 2
    side = tilt_of(1.5 * loss / block.hip_depth)
    for width, count, amount, lengths in zip(block.widths, block.counts, amounts[1:], DART_LENGTHS):
        waist, ends, start = width - loss, (0.0, *PLACES[count], 1.0), None
        mouth = amount / (2 * max(count, 1))  # half of it
        lean = mouth / block.hip_depth
        for k in range(count + 1):
            end = tilt_of(lean / lengths[k]) if k < count else side
            run = waist * (ends[k + 1] - ends[k])
            if count:
                run -= mouth * ((k > 0) + (k < count))
            yield stretch_of(run, start, end, rule)
            start = end


def gap_of(block: Block, waist: Iterable[Stretch]) -> Array:
    """By how much the waist is longer than it should be."""
    gap = -block.target
    for stretch in waist:
        gap += stretch.length
    return gap


def close(block: Block, last: Array, last_gap: Array, trial: Array, gap: Array) -> tuple[list[Array], list[Stretch]]:
    """The amounts and the stretches that add up to the target, by secant steps from two trials and their gaps."""
    for _ in range(MAX_ITERATIONS):
        change = gap - last_gap
        change[change == 0] = -1.0  # the slope is nearly that
        last, last_gap, trial = trial, gap, trial - gap * (trial - last) / change
        amounts = share_out(block, trial)
        waist = list(stretches(block, amounts, EXACT))
        gap = gap_of(block, waist)
        rest = np.flatnonzero(np.abs(gap) > CLOSED)
        if rest.size <= trial.size // 2:
            break
    else:
        raise ValueError("a waist does not close")
    if rest.size:
        # Only these are measured again.
        others, ends = close(block.only(rest), last[rest], last_gap[rest], trial[rest], gap[rest])
        for mine, theirs in zip((amounts, *waist), (others, *ends)):
            for column, other in zip(mine, theirs):
                column[rest] = other
    return amounts, waist


def panel_columns(block: Block, amounts: list[Array], waist: list[Stretch], panel: int, length: Array) -> Columns:
    """The columns of a panel: 0 is the back, 1 the front."""
    count, width, loss = block.counts[panel], block.widths[panel], amounts[0] / 2
    intake = amounts[1 + panel] / max(count, 1)
    columns: Columns = {"width": width, "darts": count}
    columns |= {f"dart{k}_{name}": np.nan for k in range(count + 1, 3) for name in DART}
    # Below the waist at the side, less what lies beyond the side seam; then, for each stretch, less its dart and what
    # lies above its chord and between chord and curve.
    area = width * length - 0.375 * loss * block.hip_depth
    lowering, seam = np.zeros_like(area), np.zeros_like(area)
    for k in range(count, -1, -1):
        run, chord, slope, quarter, curve = waist[k]
        if k < count:
            deep, centre = block.hip_depth * DART_LENGTHS[panel][k], (width - loss) * PLACES[count][k]
            columns |= zip((f"dart{k + 1}_{name}" for name in DART), (intake, deep, centre))
            area -= intake * (lowering + deep / 2)
        rise = run * slope
        area -= run * (lowering + rise / 2) + chord * chord * quarter * (5 + quarter * quarter) / 15
        lowering += rise
        seam += curve
    columns |= {"area": area, "waist_lowering": lowering, "centre_seam": length - lowering, "waist_seam": seam}
    return {f"{PANELS[panel]}_{name}": column for name, column in columns.items()}


def draft(block: Block, length: Array) -> Columns:
    """All columns of a block."""
    nominal = block.half - block.target
    gap = gap_of(block, stretches(block, share_out(block, nominal), TRIAL))
    trial = nominal + gap  # the curves are longer than the straight line, by about the first gap
    trial_gap = gap_of(block, stretches(block, share_out(block, trial), TRIAL))
    amounts, waist = close(block, nominal, gap, trial, trial_gap)
    side, back, front, left = amounts
    squared_lean = (0.75 * side / block.hip_depth) ** 2
    seam = sum((np.sqrt(squared_lean * factor + zeroth) for factor, zeroth in SIDE), np.zeros_like(side))
    seam = block.hip_depth * seam + (length - block.hip_depth)
    columns: Columns = dict(zip(WHOLE, (side + back + front, side, back, front, left, seam)))
    middle = block.counts[0] + 1
    back_columns = panel_columns(block, amounts, waist[:middle], 0, length)
    return columns | back_columns | panel_columns(block, amounts, waist[middle:], 1, length)


def kinds_of(nominal: Array, hip_depth: Array) -> NDArray[np.int8]:
    """Which rows go together: 3 × the darts of the back + those of the front, settled on the nominal suppression.

    Rows where a limit may be met are kept apart by 9 more, so that the others need not be looked through for them.
    """
    intakes = np.multiply.outer(DART_SHARES, nominal)
    sewn = intakes >= SMALLEST_DART
    near = nominal * (1 - np.array(DART_SHARES) @ sewn) > 0.9 * SLOPE * hip_depth
    shares = np.where(sewn[:, near], np.array(DART_SHARES)[:, None], 0.0)
    intakes[:, near] = pour(nominal[near], SLOPE * hip_depth[near], shares)[1:3]
    back, front = sewn + (intakes > LARGEST_DART).astype(np.int8)
    return np.asarray(3 * back + front + np.int8(9) * near)


def vectorised(
    waist: Array,
    hip: Array,
    hip_depth: Array,
    length: Array,
    ease_waist: float,
    ease_hip: float,
    chunk: int | None = CHUNK,
) -> dict[str, Array]:
    """Draft the straight skirt for a table of bodies, by the default rules; the columns are `COLUMNS`.

    The suppression is that of half the garment, and a dart that is not there is nan. So many rows with the same numbers
    of darts are drafted at a time as `chunk` tells, or all where it is None.
    """
    size = chunk or max(waist.size, 1)
    half, target = (hip + ease_hip) / 2, (waist + ease_waist) / 2
    kinds = np.empty(waist.size, np.int8)
    for start in range(0, waist.size, size):
        part = slice(start, start + size)
        kinds[part] = kinds_of(half[part] - target[part], hip_depth[part])
    columns = dict(zip(COLUMNS, np.empty((len(COLUMNS), waist.size))))
    for kind in range(18):
        rows = np.flatnonzero(kinds == kind)
        for start in range(0, rows.size, size):
            some = rows[start : start + size]
            block = Block((kind % 9 // 3, kind % 3), half[some], target[some], hip_depth[some])
            for name, column in draft(block, length[some]).items():
                columns[name][some] = column
    return columns


def simulated(count: int) -> tuple[Array, Array, Array, Array]:
    """Waist, hip, hip depth and length of bodies drawn at random, about as adult women are spread."""
    shared, own, depth = np.random.default_rng(1).standard_normal((3, count))
    hip = 102.12 + 7.59 * (0.803 * shared + math.sqrt(1 - 0.803**2) * own)
    return 86.09 + 9.99 * shared, hip, 19.22 + 1.90 * depth, np.full(count, 60.0)


def main() -> None:
    """Print the median time of a million drafts in chunks and in whole arrays, of rounds taken in turn."""
    bodies = simulated(1_000_000)
    ways = {f"in chunks of {CHUNK}": CHUNK, "in whole arrays": None}
    works = [partial(vectorised, *bodies, 1.5, 5.0, chunk) for chunk in ways.values()]
    rounds = [[timeit.timeit(work, number=1) for work in works] for _ in range(7)]
    for name, times in zip(ways, zip(*rounds)):
        print(f"1,000,000 drafts {name}: {statistics.median(times):.3f} s, the fastest {min(times):.3f} s")


if __name__ == "__main__":
    main()
