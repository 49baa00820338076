"""The straight skirt for a table of bodies in unoptimised NumPy: whole arrays, one step of the construction at a time.

The script is the lower of two yardsticks for speed; `vectorised.py` is the optimised one. Every stretch of waist is a
Bézier cubic whose length comes from a Gauss–Legendre rule. Every step treats all rows: also rows with fewer darts, and
rows whose waist is closed already. Of equally simple formulations the script uses the fastest. Lengths are in cm.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from peer import BALANCE, DART_LENGTHS, DART_PLACES, DART_SHARES, LARGEST_DART, SMALLEST_DART, STEEPEST_SIDE, estimated_growth
from vectorised import COLUMNS, DART_COLUMNS, MAX_ITERATIONS, PANELS

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Points = tuple[Array, Array, Array, Array]  # one coordinate of the four control points of a cubic

TOLERANCE = 1e-9  # maximum residual of a closed waist in cm, on half the garment
SHARES = np.array(DART_SHARES)[:, None]

# Gauss–Legendre rule on [0, 1], the Bernstein cubics and their derivatives at its nodes: one row for each node.
_nodes, _weights = np.polynomial.legendre.leggauss(16)
_t, WEIGHTS = (_nodes + 1) / 2, _weights / 2
_s = 1 - _t
PLACE = np.stack([_s**3, 3 * _s**2 * _t, 3 * _s * _t**2, _t**3], axis=1)
VELOCITY = 3 * np.stack([_s**2, 2 * _s * _t, _t**2], axis=1)


class Cubic(NamedTuple):
    """One cubic for each body, by its control points."""

    x: Points
    y: Points


class Dart(NamedTuple):
    """One dart for each body; a missing dart (`exists` is false) lies at the side seam and has intake 0."""

    exists: Flags
    centre: Array
    intake: Array
    length: Array


class Panel(NamedTuple):
    """One panel for each body; the waist runs from the centre to the side."""

    width: Array
    darts: list[Dart]
    waist: list[Cubic]
    waist_seam: Array


class Trial(NamedTuple):
    """Amounts, panels and residual of the waist length for a trial value of each body's suppression."""

    total: Array
    side: Array
    intakes: Array
    left: Array
    panels: list[Panel]
    residual: Array


def steps(points: Points) -> list[Array]:
    """Returns the differences between consecutive control points, in one coordinate."""
    return [after - before for before, after in pairwise(points)]


def weighted_sum(factors: Array, points: Sequence[Array]) -> Array:
    """Returns the sum of the points weighted by the factors."""
    return sum((factor * point for factor, point in zip(factors, points)), np.zeros_like(points[0]))


def length_of(cubic: Cubic) -> Array:
    """Returns the length of the cubic of each body."""
    (x0, x1, x2), (y0, y1, y2) = steps(cubic.x), steps(cubic.y)
    length = np.zeros_like(x0)
    for weight, (a, b, c) in zip(WEIGHTS, VELOCITY):
        length += weight * np.sqrt((a * x0 + b * x1 + c * x2) ** 2 + (a * y0 + b * y1 + c * y2) ** 2)
    return length


def area_of(cubic: Cubic) -> Array:
    """Returns the contribution of a cubic to the area inside an outline, by Green's theorem."""
    x_steps, y_steps = steps(cubic.x), steps(cubic.y)
    area = np.zeros_like(cubic.x[0])
    for weight, place, velocity in zip(WEIGHTS, PLACE, VELOCITY):
        x, y = (weighted_sum(place, points) for points in cubic)
        area += weight * (x * weighted_sum(velocity, y_steps) - y * weighted_sum(velocity, x_steps)) / 2
    return area


def apportion(total: Array, hip_depth: Array, max_darts: Array) -> tuple[Array, Array, Array]:
    """Divides suppressions between the side seams and the darts of the panels, with up to `max_darts` in back and front.

    Returns the amounts of the side seams and of each panel, and the excess of the side seams over their limit.
    """
    shares, max_intakes = np.where(max_darts > 0, SHARES, 0.0), LARGEST_DART * max_darts
    intakes = np.minimum(shares * total, max_intakes)
    limit = 2 * np.tan(STEEPEST_SIDE) * hip_depth / 1.5
    left = np.maximum(total - intakes.sum(axis=0) - limit, 0.0)
    # The panels take the excess in proportion; the second pass gives the rest of a full panel to the other panel.
    for _ in PANELS:
        parts = np.where(intakes < max_intakes, shares, 0.0)
        whole = parts.sum(axis=0)
        more = np.minimum(intakes + left * parts / np.where(whole > 0, whole, 1.0), max_intakes)
        left = left - (more - intakes).sum(axis=0)
        intakes = more
    return total - intakes.sum(axis=0), intakes, left


def waist_of(width: Array, loss: Array, hip_depth: Array, darts: list[Dart]) -> list[Cubic]:
    """Returns the waist of a panel from the centre to the side: one cubic for each stretch between darts."""
    side, side_tilt = width - loss, np.arctan(1.5 * loss / hip_depth)
    x, tilt = np.zeros_like(width), np.zeros_like(width)
    stretches = []
    for dart in darts:
        # Where a body lacks the dart, the stretch runs to the side, and the remaining stretches have length 0.
        half_angle = np.arctan(dart.intake / 2 / dart.length)
        end_tilt = np.where(dart.exists, half_angle, side_tilt)
        stretches.append((x, dart.centre - dart.intake / 2, tilt, end_tilt))
        x, tilt = dart.centre + dart.intake / 2, -half_angle
    stretches.append((x, side, tilt, side_tilt))

    rises = [(end - start) * np.tan((b0 + b1) / 2) for start, end, b0, b1 in stretches]
    cubics = []
    y = sum(rises, np.zeros_like(width))  # y is 0 at the side and points down
    for rise, (start, end, b0, b1) in zip(rises, stretches):
        top = y - rise
        handle = np.sqrt((end - start) ** 2 + rise**2) / (3 * np.cos((b1 - b0) / 4) ** 2)
        xs = start, start + handle * np.cos(b0), end - handle * np.cos(b1), end
        ys = y, y - handle * np.sin(b0), top + handle * np.sin(b1), top
        cubics.append(Cubic(xs, ys))
        y = top
    return cubics


def panel_of(panel: int, width: Array, loss: Array, hip_depth: Array, intake: Array, count: Array) -> Panel:
    """Returns panel 0 (back) or 1 (front); `count` darts take `intake` together."""
    darts = []
    for k, of_depth in enumerate(DART_LENGTHS[panel]):
        exists = count > k
        place = np.where(count == 2, DART_PLACES[2][k], DART_PLACES[1][0])
        centre = (width - loss) * np.where(exists, place, 1.0)
        each = np.where(exists, intake / np.maximum(count, 1), 0.0)
        darts.append(Dart(exists, centre, each, hip_depth * of_depth))
    waist = waist_of(width, loss, hip_depth, darts)
    return Panel(width, darts, waist, sum((length_of(cubic) for cubic in waist), np.zeros_like(width)))


def close(evaluate: Callable[[Array], Trial], nominal: Array) -> Trial:
    """Solves for the suppressions at which the waists close, by secant steps of all rows together."""
    last = evaluate(nominal)
    trial = evaluate(nominal + last.residual)  # a curve is longer than its chord, by about the first residual
    for _ in range(MAX_ITERATIONS):
        if np.abs(trial.residual).max(initial=0.0) < TOLERANCE:
            return trial
        change = trial.residual - last.residual
        step = trial.residual * (trial.total - last.total) / np.where(change == 0, -1.0, change)
        last, trial = trial, evaluate(trial.total - step)
    raise ValueError(f"a waist is not closed after {MAX_ITERATIONS} secant steps")


def panel_columns(panel: Panel, count: Array, side: Cubic, length: Array) -> dict[str, Array]:
    """Returns the columns of a panel; `side` is the side seam from the waist to the hip line."""
    lowering = panel.waist[0].y[0]
    # Green's theorem along the waist, the side and the hem; on the centre line x is 0, so that its contribution is 0.
    area = sum((area_of(cubic) for cubic in (*panel.waist, side)), np.zeros_like(lowering))
    area += panel.width * (length - side.y[3]) / 2 + panel.width * length / 2
    columns = {"width": panel.width, "waist_seam": panel.waist_seam, "waist_lowering": lowering}
    columns |= {"centre_seam": length - lowering, "area": area, "darts": count}
    for k, dart in enumerate(panel.darts):
        # Subtract the dart: its mouth closes the waist line, and the triangle below the mouth is outside the outline.
        area -= dart.intake * panel.waist[k].y[3] / 2 + dart.intake * dart.length / 2
        columns |= {f"dart{k + 1}_{name}": np.where(dart.exists, getattr(dart, name), np.nan) for name in DART_COLUMNS}
    return columns


def draft_table(
    waist: Array, hip: Array, hip_depth: Array, length: Array, ease_waist: float, ease_hip: float
) -> dict[str, Array]:
    """Drafts the straight skirt for a table of bodies; same arguments and columns as `vectorised.draft_table`."""
    half, target = (hip + ease_hip) / 2, (waist + ease_waist) / 2
    widths = half / 2 - BALANCE, half / 2 + BALANCE
    nominal = half - target
    # The nominal suppression and its estimated growth fix the numbers of darts, which stay constant while the waist is closed.
    max_darts = np.where(SHARES * nominal >= SMALLEST_DART, 2.0, 0.0)
    nominal_side, nominal_intakes, _ = apportion(nominal, hip_depth, max_darts)
    growth = estimated_growth(nominal_side, list(nominal_intakes), widths, hip_depth, list(max_darts))
    counts = np.where(max_darts > 0, np.where(apportion(nominal + growth, hip_depth, max_darts)[1] > LARGEST_DART, 2.0, 1.0), 0.0)

    def evaluate(total: Array) -> Trial:
        side, intakes, left = apportion(total, hip_depth, counts)
        panels = [panel_of(k, widths[k], side / 2, hip_depth, intakes[k], counts[k]) for k in range(len(PANELS))]
        residual = sum((panel.waist_seam for panel in panels), -target)
        return Trial(total, side, intakes, left, panels, residual)

    closed = close(evaluate, nominal)
    loss, zero = closed.side / 2, np.zeros_like(half)
    columns = {"suppression_total": closed.total, "suppression_side": closed.side, "left_in_side": closed.left}
    for name, width, panel, intake, count in zip(PANELS, widths, closed.panels, closed.intakes, counts):
        xs = width - loss, width - loss / 2, width, width
        side = Cubic(xs, (zero, hip_depth / 3, 2 * hip_depth / 3, hip_depth))
        columns[f"suppression_{name}"] = intake
        columns |= {f"{name}_{key}": column for key, column in panel_columns(panel, count, side, length).items()}
    columns["side_seam"] = length_of(side) + length - hip_depth  # back and front have the same side seam
    return {name: columns[name] for name in COLUMNS}
