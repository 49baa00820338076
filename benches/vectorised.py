"""The straight skirt for a table of bodies in optimised NumPy, as a yardstick for speed.

Construction and default rules are those of `peer.py`. Rows with the same numbers of darts are drafted together, so that
no missing dart is computed. Angles are stored as half-angle tangents, which need no trigonometric function. Chunks of
rows stay in the cache. Lengths are in centimetres.
"""

import math
import statistics
import timeit
from collections.abc import Iterable, Iterator
from functools import partial
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from peer import BALANCE, DART_LENGTHS, DART_PLACES, DART_SHARES, LARGEST_DART, SMALLEST_DART, STEEPEST_SIDE, estimated_growth

Array = NDArray[np.float64]
Columns = dict[str, Array | float]
QuadratureRule = list[tuple[float, float, float]]  # for each node the factors of q⁴, q² and 1 in the squared speed
Tilt = tuple[Array, Array]  # tangent and secant of half the angle between waist and horizontal

CHUNK = 16384  # rows drafted at a time
TOLERANCE = 1e-10  # maximum residual of a closed waist in cm, on half the garment
MAX_ITERATIONS = 40
SIDE_LIMIT = 2 * math.tan(STEEPEST_SIDE) / 1.5  # maximum of both side seams together, as a fraction of the hip depth

PANELS = ("back", "front")
DART_COLUMNS = ("intake", "length", "centre")
PANEL_COLUMNS = ("width", "waist_seam", "waist_lowering", "centre_seam", "area", "darts",
                 *(f"dart{k}_{name}" for k in (1, 2) for name in DART_COLUMNS))
GARMENT_COLUMNS = tuple(f"suppression_{name}" for name in ("total", "side", *PANELS)) + ("left_in_side", "side_seam")
COLUMNS = GARMENT_COLUMNS + tuple(f"{panel}_{name}" for panel in PANELS for name in PANEL_COLUMNS)


def stretch_rule(count: int) -> QuadratureRule:
    """Returns the Gauss–Legendre rule with `count` nodes for the length of a stretch of waist.

    A stretch is symmetric about the middle of its chord, so half the nodes suffice. Let q be the tangent of a quarter
    of the turn. The squared speed over the chord is 1 + (1 + v²) q² + (1 − 3v²)²/4 q⁴ for v from −1 to 1. The rule
    holds the factors of q⁴, q² and 1, each times the squared weight.
    """
    nodes, weights = np.polynomial.legendre.leggauss(count)
    half = zip(nodes[count // 2 :], weights[count // 2 :])
    return [(w * w * (1 - 3 * v * v) ** 2 / 4, w * w * (1 + v * v), w * w) for v, w in half]


# The first two trials only give the slope of the secant, for which four nodes suffice.
TRIAL_RULE, EXACT_RULE = stretch_rule(4), stretch_rule(8)
# Ten-node rule for the side seam. Its squared speed over the hip depth is 1 + (u (2 − u))² t² for u from 0 to 1, where
# t is the tangent of the angle between seam and vertical at the waist. Factors of t² and 1, times the squared weight.
SIDE_RULE = [((w * u * (2 - u)) ** 2, w * w) for u, w in np.transpose(np.polynomial.legendre.leggauss(10)) / 2 + [[0.5, 0.0]]]


class Block:
    """Rows with the same numbers of darts (back, front), with all quantities that do not depend on the closed waist."""

    def __init__(self, counts: tuple[int, int], half: Array, target: Array, hip_depth: Array) -> None:
        self.counts, self.half, self.target, self.hip_depth = counts, half, target, hip_depth
        self.widths = half / 2 - BALANCE, half / 2 + BALANCE
        self.shares = np.array([[share if count else 0.0] for share, count in zip(DART_SHARES, counts)])
        # Up to this suppression no limit is reached, and every amount is proportional to its share.
        side_share = 1 - self.shares.sum()
        self.max_intakes = LARGEST_DART * np.array(counts)[:, None]
        largest = min((LARGEST_DART * count / share for share, count in zip(DART_SHARES, counts) if count), default=math.inf)
        self.max_proportional = np.minimum(hip_depth * (SIDE_LIMIT / side_share), largest)

    def select(self, rows: NDArray[np.intp]) -> "Block":
        """Returns the block of the given rows."""
        return Block(self.counts, self.half[rows], self.target[rows], self.hip_depth[rows])


class Stretch(NamedTuple):
    """Waist curve between two neighbouring lines (centre, dart leg, side seam), square to both.

    `run` is horizontal, `slope` is that of the chord, and `quarter` is the tangent of a quarter of the turn.
    """

    run: Array
    chord: Array
    slope: Array
    quarter: Array
    length: Array


def apportion_limited(total: Array, limit: Array, shares: Array, max_intakes: Array | float) -> list[Array]:
    """Divides suppressions that may reach the limit of the side seams or of a panel; a panel without darts has share 0.

    Returns the amounts of side seams, back and front, and the excess of the side seams over `limit`.
    """
    panels = np.minimum(shares * total, max_intakes)
    over = np.maximum(total - panels.sum(axis=0) - limit, 0.0)
    room = np.where(shares > 0, max_intakes - panels, 0.0)
    parts = shares / np.maximum(shares.sum(axis=0), min(DART_SHARES))
    # The panels take the excess in proportion; a panel also takes what exceeds the room of the other panel.
    panels += np.minimum(room, np.maximum(parts * over, over - room[::-1]))
    return [total - panels.sum(axis=0), *panels, np.maximum(over - room.sum(axis=0), 0.0)]


def apportion(block: Block, total: Array) -> list[Array]:
    """Returns the amounts of side seams, back and front, and the excess of the side seams over their limit."""
    back, front = block.shares * total
    amounts = [total - back - front, back, front, np.zeros_like(total)]
    limited = np.flatnonzero(total > block.max_proportional)
    if limited.size:
        side_limit = block.hip_depth[limited] * SIDE_LIMIT
        for amount, limited_amount in zip(amounts, apportion_limited(total[limited], side_limit, block.shares, block.max_intakes)):
            amount[limited] = limited_amount
    return amounts


def relative_length(quarter: Array, rule: QuadratureRule) -> Array:
    """Returns length over chord of a stretch, given the tangent of a quarter of its turn."""
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
    """Returns the half-angle tangent and secant of the angle with the given tangent."""
    root = tangent * tangent
    root += 1
    half = tangent / (np.sqrt(root, out=root) + 1)
    np.multiply(half, half, out=root)
    root += 1
    return half, np.sqrt(root, out=root)


def stretch_of(run: Array, start: Tilt | None, end: Tilt, rule: QuadratureRule) -> Stretch:
    """Returns the stretch from the centre (`start` None) or an outer dart leg to the next inner leg or the side seam.

    The legs of a dart are mirror images, so the tilt of the waist turns from −start to end.
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


def stretches(block: Block, amounts: list[Array], rule: QuadratureRule) -> Iterator[Stretch]:
    """Yields the stretches of the back, then of the front, from the centre to the side."""
    loss = amounts[0] / 2
    side = tilt_of(1.5 * loss / block.hip_depth)
    for width, count, amount, lengths in zip(block.widths, block.counts, amounts[1:], DART_LENGTHS):
        waist, ends, start = width - loss, (0.0, *DART_PLACES[count], 1.0), None
        half_mouth = amount / (2 * max(count, 1))
        slope = half_mouth / block.hip_depth
        for k in range(count + 1):
            end = tilt_of(slope / lengths[k]) if k < count else side
            run = waist * (ends[k + 1] - ends[k])
            if count:
                run -= half_mouth * ((k > 0) + (k < count))
            yield stretch_of(run, start, end, rule)
            start = end


def residual_of(block: Block, waist: Iterable[Stretch]) -> Array:
    """Returns the excess of the waist length over the target."""
    residual = -block.target
    for stretch in waist:
        residual += stretch.length
    return residual


def close(
    block: Block, last: Array, last_residual: Array, trial: Array, residual: Array
) -> tuple[list[Array], list[Stretch]]:
    """Returns amounts and stretches of the closed waists, by secant steps from two trials and their residuals."""
    for _ in range(MAX_ITERATIONS):
        change = residual - last_residual
        change[change == 0] = -1.0  # avoids 0 / 0 where the trial is unchanged
        last, last_residual, trial = trial, residual, trial - residual * (trial - last) / change
        amounts = apportion(block, trial)
        waist = list(stretches(block, amounts, EXACT_RULE))
        residual = residual_of(block, waist)
        open_rows = np.flatnonzero(np.abs(residual) > TOLERANCE)
        if open_rows.size <= trial.size // 2:
            break
    else:
        raise ValueError(f"a waist is not closed after {MAX_ITERATIONS} secant steps")
    if open_rows.size:
        # Only the rows whose waist is still open take further steps.
        arguments = (column[open_rows] for column in (last, last_residual, trial, residual))
        closed_amounts, closed_waist = close(block.select(open_rows), *arguments)
        for columns, closed_columns in zip((amounts, *waist), (closed_amounts, *closed_waist)):
            for column, closed in zip(columns, closed_columns):
                column[open_rows] = closed
    return amounts, waist


def panel_columns(block: Block, amounts: list[Array], waist: list[Stretch], panel: int, length: Array) -> Columns:
    """Returns the columns of panel 0 (back) or 1 (front)."""
    count, width, loss = block.counts[panel], block.widths[panel], amounts[0] / 2
    intake = amounts[1 + panel] / max(count, 1)
    columns: Columns = {"width": width, "darts": count}
    columns |= {f"dart{k}_{name}": np.nan for k in range(count + 1, 3) for name in DART_COLUMNS}
    # Rectangle below the level of the waist at the side, minus the area outside the side seam. The loop subtracts for
    # each stretch the dart, the area above the chord, and the area between chord and curve.
    area = width * length - 0.375 * loss * block.hip_depth
    lowering, seam = np.zeros_like(area), np.zeros_like(area)
    for k in range(count, -1, -1):
        run, chord, slope, quarter, curve = waist[k]
        if k < count:
            depth, centre = block.hip_depth * DART_LENGTHS[panel][k], (width - loss) * DART_PLACES[count][k]
            columns |= zip((f"dart{k + 1}_{name}" for name in DART_COLUMNS), (intake, depth, centre))
            area -= intake * (lowering + depth / 2)
        rise = run * slope
        area -= run * (lowering + rise / 2) + chord * chord * quarter * (5 + quarter * quarter) / 15
        lowering += rise
        seam += curve
    columns |= {"area": area, "waist_lowering": lowering, "centre_seam": length - lowering, "waist_seam": seam}
    return {f"{PANELS[panel]}_{name}": column for name, column in columns.items()}


def block_columns(block: Block, length: Array) -> Columns:
    """Returns all columns of the drafts of a block."""
    nominal = block.half - block.target
    residual = residual_of(block, stretches(block, apportion(block, nominal), TRIAL_RULE))
    trial = nominal + residual  # a curve is longer than its chord, by about the first residual
    trial_residual = residual_of(block, stretches(block, apportion(block, trial), TRIAL_RULE))
    amounts, waist = close(block, nominal, residual, trial, trial_residual)
    side, back, front, left = amounts
    squared_tangent = (0.75 * side / block.hip_depth) ** 2
    seam = sum((np.sqrt(squared_tangent * factor + zeroth) for factor, zeroth in SIDE_RULE), np.zeros_like(side))
    seam = block.hip_depth * seam + (length - block.hip_depth)
    columns: Columns = dict(zip(GARMENT_COLUMNS, (side + back + front, side, back, front, left, seam)))
    middle = block.counts[0] + 1
    back_columns = panel_columns(block, amounts, waist[:middle], 0, length)
    return columns | back_columns | panel_columns(block, amounts, waist[middle:], 1, length)


def group_numbers(half: Array, target: Array, hip_depth: Array) -> NDArray[np.int8]:
    """Returns the group of each row: 3 × back darts + front darts, plus 9 where the side seams may reach their limit.

    The nominal suppression and its estimated growth fix the numbers of darts.
    """
    nominal = half - target
    has_darts = np.multiply.outer(DART_SHARES, nominal) >= SMALLEST_DART
    near_limit = nominal * (1 - np.array(DART_SHARES) @ has_darts) > 0.9 * SIDE_LIMIT * hip_depth
    max_darts, shares = 2 * has_darts, np.where(has_darts, np.array(DART_SHARES)[:, None], 0.0)

    def apportion_nominal(total: Array) -> list[Array]:
        panels = np.minimum(shares * total, 2 * LARGEST_DART)
        amounts = [total - panels.sum(axis=0), *panels]
        limited = apportion_limited(total[near_limit], SIDE_LIMIT * hip_depth[near_limit], shares[:, near_limit], 2 * LARGEST_DART)
        for amount, limited_amount in zip(amounts, limited):
            amount[near_limit] = limited_amount
        return amounts

    side, *nominal_intakes = apportion_nominal(nominal)
    growth = estimated_growth(side, nominal_intakes, (half / 2 - BALANCE, half / 2 + BALANCE), hip_depth, list(max_darts))
    intakes = np.array(apportion_nominal(nominal + growth)[1:])
    back, front = has_darts + (intakes > LARGEST_DART).astype(np.int8)
    return np.asarray(3 * back + front + np.int8(9) * near_limit)


def draft_table(
    waist: Array,
    hip: Array,
    hip_depth: Array,
    length: Array,
    ease_waist: float,
    ease_hip: float,
    chunk: int | None = CHUNK,
) -> dict[str, Array]:
    """Drafts the straight skirt for a table of bodies, by the default rules; returns the columns `COLUMNS`.

    Suppressions belong to half the garment; the columns of a missing dart are NaN. At most `chunk` rows are drafted at
    a time; None drafts all rows with the same numbers of darts at once.
    """
    size = chunk or max(waist.size, 1)
    half, target = (hip + ease_hip) / 2, (waist + ease_waist) / 2
    groups = np.empty(waist.size, np.int8)
    for start in range(0, waist.size, size):
        chunk_rows = slice(start, start + size)
        groups[chunk_rows] = group_numbers(half[chunk_rows], target[chunk_rows], hip_depth[chunk_rows])
    columns = dict(zip(COLUMNS, np.empty((len(COLUMNS), waist.size))))
    for group in range(18):
        group_rows = np.flatnonzero(groups == group)
        for start in range(0, group_rows.size, size):
            rows = group_rows[start : start + size]
            block = Block((group % 9 // 3, group % 3), half[rows], target[rows], hip_depth[rows])
            for name, column in block_columns(block, length[rows]).items():
                columns[name][rows] = column
    return columns


def simulated(count: int) -> tuple[Array, Array, Array, Array]:
    """Returns waist, hip, hip depth and length of random bodies with the spread of the women of ANSUR II."""
    waist_draws, hip_draws, depth_draws = np.random.default_rng(1).standard_normal((3, count))
    hip = 102.12 + 7.59 * (0.803 * waist_draws + math.sqrt(1 - 0.803**2) * hip_draws)
    return 86.09 + 9.99 * waist_draws, hip, 19.22 + 1.90 * depth_draws, np.full(count, 60.0)


def main() -> None:
    """Prints median and minimum time of a million drafts, in chunks and in whole arrays, of seven rounds in turn."""
    bodies = simulated(1_000_000)
    chunk_sizes = {f"in chunks of {CHUNK}": CHUNK, "in whole arrays": None}
    works = [partial(draft_table, *bodies, 1.5, 5.0, chunk) for chunk in chunk_sizes.values()]
    rounds = [[timeit.timeit(work, number=1) for work in works] for _ in range(7)]
    for name, times in zip(chunk_sizes, zip(*rounds)):
        print(f"1,000,000 drafts {name}: median {statistics.median(times):.3f} s, minimum {min(times):.3f} s")


if __name__ == "__main__":
    main()
