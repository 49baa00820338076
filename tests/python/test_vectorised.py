"""The vectorised NumPy scripts draft a table as the plain script drafts each body."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).parents[2] / "benches"))
import peer
import plain
import vectorised

Array = NDArray[np.float64]

EASES = ((1.5, 5.0), (0.0, 0.0), (4.0, 2.5))


def bodies(count: int) -> tuple[Array, Array, Array, Array]:
    """Returns waist, hip, hip depth and length; some waists exceed the hip, and some side seams reach their limit."""
    rng = np.random.default_rng(20)
    waist, drop = rng.uniform(58, 120, count), rng.uniform(-8, 52, count)
    return waist, waist + drop, rng.uniform(12, 25, count), rng.uniform(40, 90, count)


def area(edges: list[tuple[str, Array]]) -> float:
    """Returns the area inside an outline of lines and cubics, by Green's theorem."""
    nodes, weights = np.polynomial.legendre.leggauss(4)
    t = (nodes[:, None] + 1) / 2
    total = 0.0
    for _, points in edges:
        if len(points) == 2:
            points = points[0] + np.array([[0.0], [1 / 3], [2 / 3], [1.0]]) * (points[1] - points[0])
        a, b, c, d = points
        point = a * (1 - t) ** 3 + b * 3 * (1 - t) ** 2 * t + c * 3 * (1 - t) * t**2 + d * t**3
        velocity = 3 * ((b - a) * (1 - t) ** 2 + (c - b) * 2 * (1 - t) * t + (d - c) * t**2)
        total += float(weights @ (point[:, 0] * velocity[:, 1] - point[:, 1] * velocity[:, 0])) / 4
    return total


def columns(draft: dict[str, Any]) -> dict[str, float]:
    """Converts a draft of benches/peer.py to the columns of the vectorised scripts."""
    found = {f"suppression_{name}": amount for name, amount in draft["suppression"].items()}
    found["left_in_side"] = draft["left_in_side"]
    for name in ("back", "front"):
        panel = draft[name]
        curve, line = [points for role, points in panel["edges"] if role == "side"]
        side = peer.lengths_by_quad(curve[None]) + line[1][1] - line[0][1]
        assert found.setdefault("side_seam", side) == pytest.approx(side, abs=1e-11)
        waist = np.array([points for role, points in panel["edges"] if role == "waist"])
        (centre,) = [points for role, points in panel["edges"] if role == "centre"]
        values = {
            "width": panel["width"],
            "waist_seam": peer.lengths_by_quad(waist),
            "waist_lowering": panel["waist_lowering"],
            "centre_seam": centre[0][1] - centre[1][1],
            "area": area(panel["edges"]),
            "darts": len(panel["darts"]),
        }
        missing = dict.fromkeys(vectorised.DART_COLUMNS, np.nan)
        for k, dart in enumerate((*panel["darts"], missing, missing)[:2], 1):
            values |= {f"dart{k}_{key}": dart[key] for key in vectorised.DART_COLUMNS}
        found |= {f"{name}_{key}": value for key, value in values.items()}
    return found


@pytest.mark.parametrize("ease", EASES)
def test_each_row_of_the_optimised_script_agrees_with_the_peer(ease: tuple[float, float]) -> None:
    table = bodies(160)
    drafted = vectorised.draft_table(*table, *ease)
    single_drafts = [columns(peer.peer_draft(w, h, d, n, *ease)) for w, h, d, n in np.transpose(table).tolist()]
    assert list(drafted) == list(vectorised.COLUMNS)
    for name, column in drafted.items():
        assert column == pytest.approx([row[name] for row in single_drafts], abs=1e-8, rel=0, nan_ok=True), name
    # The bodies cover all pairs of dart counts, outward side seams, and reached limits with and without an excess.
    dart_counts = set(zip(drafted["back_darts"], drafted["front_darts"]))
    assert dart_counts == {(0, 0), (1, 0), (1, 1), (2, 1), (2, 2)}
    assert drafted["suppression_side"].min() < 0 < drafted["left_in_side"].max()
    above_share = drafted["suppression_back"] > 0.3 * drafted["suppression_total"] + 1e-6
    assert (above_share & (drafted["left_in_side"] == 0)).any()


@pytest.mark.parametrize("chunk", [1, 7, 50, None])
def test_the_chunk_size_does_not_change_the_drafts(chunk: int | None) -> None:
    table = bodies(400)
    whole = vectorised.draft_table(*table, 1.5, 5.0)
    for name, column in vectorised.draft_table(*table, 1.5, 5.0, chunk).items():
        assert column == pytest.approx(whole[name], abs=1e-8, rel=0, nan_ok=True), name


@pytest.mark.parametrize("ease", EASES)
def test_the_unoptimised_script_agrees_with_the_optimised_one(ease: tuple[float, float]) -> None:
    waist, hip, hip_depth, length = map(np.concatenate, zip(bodies(400), vectorised.simulated(4000)))
    table = waist, hip, hip_depth, length
    optimised, drafted = vectorised.draft_table(*table, *ease), plain.draft_table(*table, *ease)
    assert list(drafted) == list(vectorised.COLUMNS)
    for name, column in drafted.items():
        tolerance = 1e-6 if name.endswith("area") else 1e-8
        np.testing.assert_allclose(column, optimised[name], rtol=0, atol=tolerance, equal_nan=True, err_msg=name)
    # The bodies include outward side seams without darts, and rows that reach every limit.
    assert (np.isnan(drafted["back_dart1_intake"]) & (drafted["suppression_side"] < 0)).any()
    assert (drafted["left_in_side"] > 1).any()


@pytest.mark.parametrize("draft_table", [vectorised.draft_table, plain.draft_table])
def test_an_empty_table_gives_empty_columns(draft_table: Callable[..., dict[str, Array]]) -> None:
    empty = np.empty(0)
    assert all(column.size == 0 for column in draft_table(empty, empty, empty, empty, 1.5, 5.0).values())


def test_the_fixed_rules_measure_lengths_to_1e_12() -> None:
    """Compares with adaptive quadrature: waist stretches that turn by up to 56°, side seams up to 20° from vertical."""
    quarters = np.linspace(-0.25, 0.25, 41)
    for quarter, length in zip(quarters, vectorised.relative_length(quarters, vectorised.EXACT_RULE)):
        turn = 4 * np.arctan(quarter)
        handle = np.array([np.cos(turn / 2), np.sin(turn / 2)]) / (3 * np.cos(turn / 4) ** 2)
        points = np.array([[0, 0], handle, [1 - handle[0], handle[1]], [1, 0]])
        assert length == pytest.approx(peer.lengths_by_quad(points[None]), abs=1e-12, rel=0)
    for tangent in np.tan(np.radians(np.linspace(-20, 20, 25))):
        length = sum(np.sqrt(tangent**2 * factor + zeroth) for factor, zeroth in vectorised.SIDE_RULE)
        points = np.array([[0, 0], [tangent / 3, 1 / 3], [2 * tangent / 3, 2 / 3], [2 * tangent / 3, 1]])
        assert length == pytest.approx(peer.lengths_by_quad(points[None]), abs=1e-12, rel=0)
