"""Second implementation of the straight skirt, in plain NumPy and SciPy: a reference for results and for speed.

The script follows the construction step by step with angles, trigonometry and a bracketing root finder (Brent).
Nothing is shared with the crate. Lengths are in centimetres; the rules are the default ones.
"""

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.optimize import brentq

Points = NDArray[np.float64]
Dart = tuple[float, float, float]  # centre, intake, length

BALANCE = 1.0  # front = quarter + balance, back = quarter − balance
DART_SHARES = (0.3, 0.2)  # shares of the suppression: back darts, front darts; the side seams take the rest
LARGEST_DART = 3.0  # a panel whose darts take more in the end gets a second dart
SMALLEST_DART = 0.8  # a panel whose darts would take less gets none
DART_LENGTHS = ((0.68, 0.62), (0.50, 0.45))  # fractions of the hip depth: back, front; inner dart first
DART_PLACES = {0: (), 1: (1 / 2,), 2: (1 / 3, 2 / 3)}  # fractions of the waist from the centre, by dart count
STEEPEST_SIDE = math.radians(20.0)  # maximum angle between side seam and vertical, at the waist
GROWTH_MARGIN = 1.05  # factor by which the estimated growth of the suppression exceeds that of most bodies

# Gauss–Legendre rule on [0, 1], and the derivatives of the Bernstein cubics at its nodes: one row for each node.
_nodes, _weights = np.polynomial.legendre.leggauss(20)
_t, WEIGHTS = (_nodes + 1) / 2, _weights / 2
_s = 1 - _t
VELOCITY = 3 * np.stack([-_s * _s, _s * _s - 2 * _s * _t, 2 * _s * _t - _t * _t, _t * _t], axis=1)


def lengths_by_rule(cubics: Points) -> float:
    """Returns the total length of cubics of shape (n, 4, 2) by a fixed Gauss–Legendre rule: the fast way."""
    velocity = VELOCITY @ cubics
    speed: Points = np.hypot(velocity[..., 0], velocity[..., 1])
    return float((speed @ WEIGHTS).sum())


def lengths_by_quad(cubics: Points) -> float:
    """Returns the total length of cubics of shape (n, 4, 2) by SciPy's adaptive quadrature: the plain way."""

    def length(cubic: Points) -> float:
        a, b, c = 3 * np.diff(cubic, axis=0)

        def speed(t: float) -> float:
            velocity = a * (1 - t) ** 2 + b * (2 * t * (1 - t)) + c * t**2
            return math.hypot(velocity[0], velocity[1])

        return float(quad(speed, 0, 1, epsabs=1e-12, epsrel=1e-12)[0])

    return sum(length(cubic) for cubic in cubics)


def apportion(suppression: float, hip_depth: float, max_darts: Sequence[int]) -> tuple[float, list[float], float]:
    """Divides a suppression between the side seams and the darts of the panels, with up to `max_darts` in back and front.

    Returns the amounts of the side seams and of each panel, and the excess of the side seams over their limit.
    """
    max_panels = [LARGEST_DART * count for count in max_darts]
    shares = [share if count else 0.0 for share, count in zip(DART_SHARES, max_darts)]
    amounts = [min(share * suppression, most) for share, most in zip(shares, max_panels)]
    side = suppression - sum(amounts)
    limit = 2 * math.tan(STEEPEST_SIDE) * hip_depth / 1.5
    if side <= limit:
        return side, amounts, 0.0
    left = side - limit
    while room := [k for k in range(2) if shares[k] > 0 and amounts[k] < max_panels[k]]:
        total = sum(shares[k] for k in room)
        full = [k for k in room if amounts[k] + left * shares[k] / total >= max_panels[k]]
        if not full:
            for k in room:
                amounts[k] += left * shares[k] / total
            return limit, amounts, 0.0
        for k in full:
            left -= max_panels[k] - amounts[k]
            amounts[k] = max_panels[k]
    return limit + left, amounts, left


def estimated_growth(side: Any, intakes: Sequence[Any], widths: Sequence[Any], hip_depth: Any, max_darts: Sequence[Any]) -> Any:
    """Estimates by how much the suppression grows while the waist closes; numbers, or arrays with a number for each body.

    A stretch of run d between tilts a and b is about d (a² + ab + b²) / 6 longer than its run.
    """
    lean, growth = 0.75 * side / hip_depth, 0.0
    for width, intake, lengths, most in zip(widths, intakes, DART_LENGTHS, max_darts):
        count = np.where(intake <= LARGEST_DART, np.minimum(1, most), most)
        leg = intake / (lengths[0] * hip_depth * np.maximum(2 * count, 1))
        run = (width - side / 2 - intake) / (count + 1)
        growth = growth + run * ((count + 1) * leg**2 + lean * (lean - leg))
    return growth * GROWTH_MARGIN / 6


def waist_of(width: float, loss: float, hip_depth: float, darts: Sequence[Dart]) -> Points:
    """Returns a panel's waist from centre to side: one cubic for each stretch between darts, shape (n, 4, 2)."""
    stretches = []
    x, tilt = 0.0, 0.0
    for centre, intake, length in darts:
        half_angle = math.atan(intake / 2 / length)
        stretches.append((x, centre - intake / 2, tilt, half_angle))
        x, tilt = centre + intake / 2, -half_angle
    stretches.append((x, width - loss, tilt, math.atan(1.5 * loss / hip_depth)))

    rises = [(end - start) * math.tan((b0 + b1) / 2) for start, end, b0, b1 in stretches]
    cubics = np.empty((len(stretches), 4, 2))
    y = sum(rises)  # y is 0 at the side and points down
    for cubic, rise, (start, end, b0, b1) in zip(cubics, rises, stretches):
        handle = math.hypot(end - start, rise) / (3 * math.cos((b1 - b0) / 4) ** 2)
        cubic[0] = start, y
        cubic[1] = start + handle * math.cos(b0), y - handle * math.sin(b0)
        y -= rise
        cubic[2] = end - handle * math.cos(b1), y + handle * math.sin(b1)
        cubic[3] = end, y
    return cubics


def finished_panel(width: float, loss: float, hip_depth: float, length: float, darts: Sequence[Dart]) -> dict[str, Any]:
    """Returns the panel as a dictionary; its outline runs along waist, side, hem and centre line."""
    waist = waist_of(width, loss, hip_depth, darts)
    edges: list[tuple[str, Points]] = []
    for k, cubic in enumerate(waist):
        edges.append(("waist", cubic))
        if k < len(darts):
            inner, outer = cubic[3], waist[k + 1][0]
            tip = np.array([darts[k][0], inner[1] + darts[k][2]])
            edges.append(("dart", np.array([inner, tip])))
            edges.append(("dart", np.array([tip, outer])))
    w, d = width, hip_depth
    edges.append(("side", np.array([[w - loss, 0.0], [w - loss / 2, d / 3], [w, 2 * d / 3], [w, d]])))
    edges.append(("side", np.array([[w, d], [w, length]])))
    edges.append(("hem", np.array([[w, length], [0.0, length]])))
    edges.append(("centre", np.array([[0.0, length], waist[0][0]])))
    return {
        "width": width,
        "waist_width": width - loss,
        "waist_lowering": float(waist[0][0][1]),
        "darts": [{"centre": c, "intake": i, "length": n} for c, i, n in darts],
        "edges": edges,
    }


def peer_draft(
    waist: float,
    hip: float,
    hip_depth: float,
    length: float,
    ease_waist: float,
    ease_hip: float,
    lengths_of: Callable[[Points], float] = lengths_by_quad,
) -> dict[str, Any]:
    """Drafts the straight skirt for one body, by the default rules; `lengths_of` measures the waist.

    Suppressions, final and nominal, belong to half the garment. An edge is a pair of role and points in the direction
    of the outline: two points of a straight line, or four control points of a cubic.
    """
    half, target = (hip + ease_hip) / 2, (waist + ease_waist) / 2
    widths = half / 2 - BALANCE, half / 2 + BALANCE
    nominal = half - target
    # The nominal suppression and its estimated growth fix the numbers of darts, which stay constant while the waist is closed.
    max_darts = [2 if nominal * share >= SMALLEST_DART else 0 for share in DART_SHARES]
    nominal_side, nominal_intakes, _ = apportion(nominal, hip_depth, max_darts)
    growth = estimated_growth(nominal_side, nominal_intakes, widths, hip_depth, max_darts)
    counts = [0 if amount <= 0 else 1 if amount <= LARGEST_DART else 2 for amount in apportion(nominal + growth, hip_depth, max_darts)[1]]

    def trial(total: float) -> tuple[float, list[list[Dart]]]:
        """Returns the loss at each side edge, and the darts of back and front, for a suppression of `total`."""
        side, intakes, _ = apportion(total, hip_depth, counts)
        darts = [
            [
                ((width - side / 2) * place, amount / count, hip_depth * of_depth)
                for place, of_depth in zip(DART_PLACES[count], lengths)
            ]
            for width, amount, count, lengths in zip(widths, intakes, counts, DART_LENGTHS)
        ]
        return side / 2, darts

    def residual(total: float) -> float:
        """Returns the excess of the waist length over the target, on half the garment."""
        loss, darts = trial(total)
        waists = [waist_of(width, loss, hip_depth, panel_darts) for width, panel_darts in zip(widths, darts)]
        return lengths_of(np.concatenate(waists)) - target

    # A curve is longer than its chord, so the root lies above the nominal value, by about the first residual.
    upper = nominal + 2 * residual(nominal) + 1e-6
    total = brentq(residual, nominal - 1e-6, upper, xtol=1e-12)

    loss, darts = trial(total)
    back, front = (finished_panel(width, loss, hip_depth, length, each) for width, each in zip(widths, darts))
    intakes = [sum(intake for _, intake, _ in panel_darts) for panel_darts in darts]
    return {
        "suppression": {"total": total, "side": 2 * loss, "back": intakes[0], "front": intakes[1]},
        "nominal": {
            "total": nominal, "side": nominal_side, "back": nominal_intakes[0], "front": nominal_intakes[1],
        },
        "left_in_side": apportion(total, hip_depth, counts)[2],
        "back": back,
        "front": front,
    }


def main() -> None:
    """Prints the draft of one body."""
    draft = peer_draft(72.0, 98.0, 20.0, 60.0, 1.5, 5.0)
    print("waist 72, hip 98, hip depth 20, length 60, ease 1.5 and 5")
    for name in ("nominal", "suppression"):
        print(f"{name}: " + ", ".join(f"{place} {amount:.6f}" for place, amount in draft[name].items()))
    for part in ("back", "front"):
        panel = draft[part]
        print(f"{part}: width {panel['width']:.3f}, waist lowered {panel['waist_lowering']:.6f}")
        for dart in panel["darts"]:
            print("  dart: " + ", ".join(f"{name} {value:.6f}" for name, value in dart.items()))
        for role, points in panel["edges"]:
            print(f"  {role:6} " + "  ".join(f"({x:.4f}, {y:.4f})" for x, y in points))


if __name__ == "__main__":
    main()
