"""The straight skirt for a whole table of bodies in NumPy as one would write it first: whole arrays, step by step.

It is the second yardstick for speed, beside the tuned one in `vectorised.py`. Angles are angles, every stretch of waist
is a Bézier cubic that is measured by a Gauss–Legendre rule, and all rows go through every step together: those with
fewer darts too, and those whose waist is closed already. Where there was a choice between ways that are as plain, it
is the faster one. All lengths are in centimetres.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from peer import BALANCE, DART_LENGTHS, DART_SHARES, LARGEST_DART, PLACES, SMALLEST_DART, STEEPEST_SIDE
from vectorised import COLUMNS, DART, MOST, MAX_ITERATIONS, PANELS

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Points = tuple[Array, Array, Array, Array]  # of a cubic, in one coordinate

CLOSED = 1e-9  # the gap at which the solver stops, on half the garment
SHARES = np.array(DART_SHARES)[:, None]

# Gauss–Legendre on [0, 1], and the Bernstein cubics and their derivatives at its nodes: one row for each node.
_nodes, _weights = np.polynomial.legendre.leggauss(16)
_t, WEIGHTS = (_nodes + 1) / 2, _weights / 2
_s = 1 - _t
PLACE = np.stack([_s**3, 3 * _s**2 * _t, 3 * _s * _t**2, _t**3], axis=1)
VELOCITY = 3 * np.stack([_s**2, 2 * _s * _t, _t**2], axis=1)


class Cubic(NamedTuple):
    """The control points of a cubic in each row."""

    x: Points
    y: Points


class Dart(NamedTuple):
    """A dart in each row; one that is not there lies at the side seam and has no intake."""

    there: Flags
    centre: Array
    intake: Array
    length: Array


class Panel(NamedTuple):
    """A panel in each row; its waist runs from the centre to the side."""

    width: Array
    darts: list[Dart]
    waist: list[Cubic]
    waist_seam: Array


class Trial(NamedTuple):
    """What comes of a suppression."""

    total: Array
    side: Array
    intakes: Array
    left: Array
    panels: list[Panel]
    gap: Array


def steps(points: Points) -> list[Array]:
    """From each control point to the next, in one coordinate."""
    return [after - before for before, after in pairwise(points)]


def mix(factors: Array, points: Sequence[Array]) -> Array:
    """The points, each times its factor, added up."""
    return sum((factor * point for factor, point in zip(factors, points)), np.zeros_like(points[0]))


def length_of(cubic: Cubic) -> Array:
    """The length of a cubic."""
    (x0, x1, x2), (y0, y1, y2) = steps(cubic.x), steps(cubic.y)
    length = np.zeros_like(x0)
    for weight, (a, b, c) in zip(WEIGHTS, VELOCITY):
        length += weight * np.sqrt((a * x0 + b * x1 + c * x2) ** 2 + (a * y0 + b * y1 + c * y2) ** 2)
    return length


def area_of(cubic: Cubic) -> Array:
    """What a cubic adds to the area inside an outline, by Green's theorem."""
    x_steps, y_steps = steps(cubic.x), steps(cubic.y)
    area = np.zeros_like(cubic.x[0])
    for weight, place, velocity in zip(WEIGHTS, PLACE, VELOCITY):
        x, y = (mix(place, points) for points in cubic)
        area += weight * (x * mix(velocity, y_steps) - y * mix(velocity, x_steps)) / 2
    return area


def share_out(total: Array, hip_depth: Array, sewn: Flags) -> tuple[Array, Array, Array]:
    """Share a suppression out; `sewn` tells which panels have darts.

    Returns what the side seams and each panel's darts take, and what the side takes beyond its limit.
    """
    shares = np.where(sewn, SHARES, 0.0)
    intakes = np.minimum(shares * total, MOST)
    limit = 2 * np.tan(STEEPEST_SIDE) * hip_depth / 1.5
    left = np.maximum(total - intakes.sum(axis=0) - limit, 0.0)
    # In proportion; what one panel has no room for goes to the other.
    for _ in PANELS:
        parts = np.where(intakes < MOST, shares, 0.0)
        whole = parts.sum(axis=0)
        more = np.minimum(intakes + left * parts / np.where(whole > 0, whole, 1.0), MOST)
        left = left - (more - intakes).sum(axis=0)
        intakes = more
    return total - intakes.sum(axis=0), intakes, left


def waist_of(width: Array, loss: Array, hip_depth: Array, darts: list[Dart]) -> list[Cubic]:
    """The waist of a panel from the centre to the side: one cubic for each stretch."""
    side, side_tilt = width - loss, np.arctan(1.5 * loss / hip_depth)
    x, tilt = np.zeros_like(width), np.zeros_like(width)
    stretches = []
    for dart in darts:
        # Where it is not there, the stretch runs to the side, and what follows has no length.
        half_angle = np.arctan(dart.intake / 2 / dart.length)
        end_tilt = np.where(dart.there, half_angle, side_tilt)
        stretches.append((x, dart.centre - dart.intake / 2, tilt, end_tilt))
        x, tilt = dart.centre + dart.intake / 2, -half_angle
    stretches.append((x, side, tilt, side_tilt))

    rises = [(end - start) * np.tan((b0 + b1) / 2) for start, end, b0, b1 in stretches]
    cubics = []
    y = sum(rises, np.zeros_like(width))  # the height of the waist is 0 at the side, and y runs down
    for rise, (start, end, b0, b1) in zip(rises, stretches):
        top = y - rise
        handle = np.sqrt((end - start) ** 2 + rise**2) / (3 * np.cos((b1 - b0) / 4) ** 2)
        xs = start, start + handle * np.cos(b0), end - handle * np.cos(b1), end
        ys = y, y - handle * np.sin(b0), top + handle * np.sin(b1), top
        cubics.append(Cubic(xs, ys))
        y = top
    return cubics


def panel_of(panel: int, width: Array, loss: Array, hip_depth: Array, intake: Array, count: Array) -> Panel:
    """A panel, 0 the back and 1 the front, with so many darts that take `intake` together."""
    darts = []
    for k, of_depth in enumerate(DART_LENGTHS[panel]):
        there = count > k
        place = np.where(count == 2, PLACES[2][k], PLACES[1][0])
        centre = (width - loss) * np.where(there, place, 1.0)
        each = np.where(there, intake / np.maximum(count, 1), 0.0)
        darts.append(Dart(there, centre, each, hip_depth * of_depth))
    waist = waist_of(width, loss, hip_depth, darts)
    return Panel(width, darts, waist, sum((length_of(cubic) for cubic in waist), np.zeros_like(width)))


def close(at: Callable[[Array], Trial], nominal: Array) -> Trial:
    """Find the suppressions at which the waists close, by secant steps of all rows together."""
    last = at(nominal)
    trial = at(nominal + last.gap)  # the curves are longer than the straight line, by about the first gap
    for _ in range(MAX_ITERATIONS):
        if np.abs(trial.gap).max(initial=0.0) < CLOSED:
            return trial
        change = trial.gap - last.gap
        step = trial.gap * (trial.total - last.total) / np.where(change == 0, -1.0, change)
        last, trial = trial, at(trial.total - step)
    raise ValueError("a waist does not close")


def panel_columns(panel: Panel, count: Array, side: Cubic, length: Array) -> dict[str, Array]:
    """The columns of a panel; `side` is its side seam from the waist to the hip line."""
    lowering = panel.waist[0].y[0]
    # Round the outline by the waist, the side and the hem; the line up the centre, where x is 0, adds nothing.
    area = sum((area_of(cubic) for cubic in (*panel.waist, side)), np.zeros_like(lowering))
    area += panel.width * (length - side.y[3]) / 2 + panel.width * length / 2
    columns = {"width": panel.width, "waist_seam": panel.waist_seam, "waist_lowering": lowering}
    columns |= {"centre_seam": length - lowering, "area": area, "darts": count}
    for k, dart in enumerate(panel.darts):
        # The line across the mouth, and the dart below it, which is cut out.
        area -= dart.intake * panel.waist[k].y[3] / 2 + dart.intake * dart.length / 2
        columns |= {f"dart{k + 1}_{name}": np.where(dart.there, getattr(dart, name), np.nan) for name in DART}
    return columns


def plain(
    waist: Array, hip: Array, hip_depth: Array, length: Array, ease_waist: float, ease_hip: float
) -> dict[str, Array]:
    """Draft the straight skirt for a table of bodies, as `vectorised.vectorised` does."""
    half, target = (hip + ease_hip) / 2, (waist + ease_waist) / 2
    widths = half / 2 - BALANCE, half / 2 + BALANCE
    nominal = half - target
    # Which darts there are is settled on the nominal suppression, so that it cannot change while the waist is closed.
    sewn = SHARES * nominal >= SMALLEST_DART
    _, nominal_intakes, _ = share_out(nominal, hip_depth, sewn)
    counts = np.where(sewn, np.where(nominal_intakes > LARGEST_DART, 2.0, 1.0), 0.0)

    def at(total: Array) -> Trial:
        side, intakes, left = share_out(total, hip_depth, sewn)
        panels = [panel_of(k, widths[k], side / 2, hip_depth, intakes[k], counts[k]) for k in range(len(PANELS))]
        gap = sum((panel.waist_seam for panel in panels), -target)
        return Trial(total, side, intakes, left, panels, gap)

    drafted = close(at, nominal)
    loss, none = drafted.side / 2, np.zeros_like(half)
    columns = {"suppression_total": drafted.total, "suppression_side": drafted.side, "left_in_side": drafted.left}
    for name, width, panel, intake, count in zip(PANELS, widths, drafted.panels, drafted.intakes, counts):
        xs = width - loss, width - loss / 2, width, width
        side = Cubic(xs, (none, hip_depth / 3, 2 * hip_depth / 3, hip_depth))
        columns[f"suppression_{name}"] = intake
        columns |= {f"{name}_{key}": column for key, column in panel_columns(panel, count, side, length).items()}
    columns["side_seam"] = length_of(side) + length - hip_depth  # that of the front; the back's is the same curve
    return {name: columns[name] for name in COLUMNS}
