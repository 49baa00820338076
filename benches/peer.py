"""The straight skirt drafted once more, in plain NumPy and SciPy, as a peer to check and to time the crate against.

It follows the construction step by step with ordinary angles, trigonometry and a bracketing root finder; nothing is
shared with the crate. All lengths are in centimetres, and the rules are the default ones.
"""

import math
import time
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

Points = NDArray[np.float64]
Dart = tuple[float, float, float]  # centre, intake, length
Portion = tuple[float, float]  # an amount of suppression, and its share of what closing the waist adds

BALANCE = 1.0  # front = quarter + balance, back = quarter − balance
DART_SHARES = (0.3, 0.2)  # of the suppression: back, front; the side seams take the rest
LARGEST_DART = 3.0
SMALLEST_DART = 0.8
DART_LENGTHS = ((0.68, 0.62), (0.50, 0.45))  # of the hip depth: back, front; the dart next to the centre first
PLACES = {0: (), 1: (1 / 2,), 2: (1 / 3, 2 / 3)}  # of the panel's waist, by the number of darts
STEEPEST_SIDE = math.radians(20.0)  # from the upright, at the waist

# Gauss–Legendre on [0, 1], and the derivative of the Bernstein cubics at its nodes: one row for each node.
_nodes, _weights = np.polynomial.legendre.leggauss(20)
_t, WEIGHTS = (_nodes + 1) / 2, _weights / 2
_s = 1 - _t
VELOCITY = 3 * np.stack([-_s * _s, _s * _s - 2 * _s * _t, 2 * _s * _t - _t * _t, _t * _t], axis=1)


def arc_lengths(cubics: Points) -> Points:
    """Lengths of Bézier cubics given as an array of shape (n, 4, 2)."""
    velocity = VELOCITY @ cubics
    speed: Points = np.hypot(velocity[..., 0], velocity[..., 1])
    return speed @ WEIGHTS


def apportion(nominal: float, hip_depth: float) -> tuple[Portion, list[Portion], float]:
    """Share the nominal suppression out, once.

    Returns the portions of the side seams and of each panel's darts, and what the side takes beyond its limit. An amount
    that sits at a limit has no share in closing.
    """
    most = 2 * LARGEST_DART
    amounts, shares = [0.0, 0.0], [0.0, 0.0]
    for k, share in enumerate(DART_SHARES):
        if nominal * share > most:
            amounts[k] = most
        elif nominal * share >= SMALLEST_DART:
            amounts[k], shares[k] = nominal * share, share
    side, side_share = nominal - sum(amounts), 1.0 - sum(shares)

    limit = 2 * math.tan(STEEPEST_SIDE) * hip_depth / 1.5
    left = 0.0
    if side > limit:
        left, side, side_share = side - limit, limit, 0.0

        def open_panels() -> list[int]:
            return [k for k in range(2) if 0 < amounts[k] < most]

        while left > 0 and (room := open_panels()):
            total = sum(DART_SHARES[k] for k in room)
            until_full = {k: (most - amounts[k]) * total / DART_SHARES[k] for k in room}
            first = min(room, key=until_full.__getitem__)
            poured = min(left, until_full[first])
            for k in room:
                amounts[k] += poured * DART_SHARES[k] / total
            if poured < left:
                amounts[first] = most
            left -= poured
        room = open_panels()
        total = sum(DART_SHARES[k] for k in room)
        shares = [DART_SHARES[k] / total if k in room else 0.0 for k in range(2)]
        if not room:
            side, side_share = limit + left, 1.0
    return (side, side_share), list(zip(amounts, shares)), left


def waist_of(width: float, loss: float, hip_depth: float, darts: Sequence[Dart]) -> Points:
    """The waist of a panel from the centre to the side: one cubic for each stretch, as an array of shape (n, 4, 2)."""
    stretches = []
    x, tilt = 0.0, 0.0
    for centre, intake, length in darts:
        half_angle = math.atan(intake / 2 / length)
        stretches.append((x, centre - intake / 2, tilt, half_angle))
        x, tilt = centre + intake / 2, -half_angle
    stretches.append((x, width - loss, tilt, math.atan(1.5 * loss / hip_depth)))

    rises = [(end - start) * math.tan((b0 + b1) / 2) for start, end, b0, b1 in stretches]
    cubics = np.empty((len(stretches), 4, 2))
    y = sum(rises)  # the height of the waist is 0 at the side, and y runs down
    for cubic, rise, (start, end, b0, b1) in zip(cubics, rises, stretches):
        handle = math.hypot(end - start, rise) / (3 * math.cos((b1 - b0) / 4) ** 2)
        cubic[0] = start, y
        cubic[1] = start + handle * math.cos(b0), y - handle * math.sin(b0)
        y -= rise
        cubic[2] = end - handle * math.cos(b1), y + handle * math.sin(b1)
        cubic[3] = end, y
    return cubics


def finished_panel(width: float, loss: float, hip_depth: float, length: float, darts: Sequence[Dart]) -> dict[str, Any]:
    """The panel as a dictionary, with its outline from the centre of the waist round by the side and the hem."""
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
    waist: float, hip: float, hip_depth: float, length: float, ease_waist: float, ease_hip: float
) -> dict[str, Any]:
    """Draft the straight skirt for a body, by the default rules.

    The suppression (as drafted and nominal) is that of half the garment. Each edge is its role and its points in the
    direction of the outline: two of a straight line, the four control points of a cubic.
    """
    half, target = (hip + ease_hip) / 2, (waist + ease_waist) / 2
    widths = half / 2 - BALANCE, half / 2 + BALANCE
    nominal = half - target
    side, panels, left_in_side = apportion(nominal, hip_depth)
    # The number of darts is settled on the nominal amounts, so that it cannot change while the waist is closed.
    counts = [0 if amount == 0 else 1 if amount <= LARGEST_DART else 2 for amount, _ in panels]

    def at(total: float) -> tuple[float, list[list[Dart]]]:
        """Loss of each side seam, and the darts of both panels, at a suppression of `total`."""
        loss = (side[0] + side[1] * (total - nominal)) / 2
        darts = [
            [
                ((width - loss) * place, (amount + share * (total - nominal)) / count, hip_depth * of_depth)
                for place, of_depth in zip(PLACES[count], lengths)
            ]
            for width, (amount, share), count, lengths in zip(widths, panels, counts, DART_LENGTHS)
        ]
        return loss, darts

    def gap(total: float) -> float:
        loss, darts = at(total)
        waists = [waist_of(width, loss, hip_depth, each) for width, each in zip(widths, darts)]
        return float(arc_lengths(np.concatenate(waists)).sum()) - target

    # The curves are longer than the straight line, so the root lies above the nominal value, by about the first gap.
    upper = nominal + 2 * gap(nominal) + 1e-6
    total = brentq(gap, nominal - 1e-6, upper, xtol=1e-12)

    loss, darts = at(total)
    back, front = (finished_panel(width, loss, hip_depth, length, each) for width, each in zip(widths, darts))
    drafted = [sum(intake for _, intake, _ in each) for each in darts]
    return {
        "suppression": {"total": total, "side": 2 * loss, "back": drafted[0], "front": drafted[1]},
        "nominal": {"total": nominal, "side": side[0], "back": panels[0][0], "front": panels[1][0]},
        "left_in_side": left_in_side,
        "back": back,
        "front": front,
    }


def main() -> None:
    """Print one draft and the time that a draft takes."""
    inputs = {"waist": 72.0, "hip": 98.0, "hip_depth": 20.0, "length": 60.0, "ease_waist": 1.5, "ease_hip": 5.0}
    draft = peer_draft(**inputs)
    print(", ".join(f"{name} {value}" for name, value in inputs.items()))
    for name in ("nominal", "suppression"):
        print(f"{name}: " + ", ".join(f"{place} {amount:.6f}" for place, amount in draft[name].items()))
    for part in ("back", "front"):
        panel = draft[part]
        print(f"{part}: width {panel['width']:.3f}, waist lowered {panel['waist_lowering']:.6f}")
        for dart in panel["darts"]:
            print("  dart: " + ", ".join(f"{name} {value:.6f}" for name, value in dart.items()))
        for role, points in panel["edges"]:
            print(f"  {role:6} " + "  ".join(f"({x:.4f}, {y:.4f})" for x, y in points))
    rounds = 200
    start = time.perf_counter()
    for _ in range(rounds):
        peer_draft(**inputs)
    print(f"{(time.perf_counter() - start) / rounds * 1e6:.0f} µs per draft (mean of {rounds})")


if __name__ == "__main__":
    main()
