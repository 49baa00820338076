"""`benches/vectorised.py` and `benches/plain.py` draft a whole table as `benches/peer.py` drafts each body."""

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
    """Waist, hip, hip depth and length: some waists are larger than the hip, and some side seams meet their limit."""
    rng = np.random.default_rng(20)
    waist, drop = rng.uniform(58, 120, count), rng.uniform(-8, 52, count)
    return waist, waist + drop, rng.uniform(12, 25, count), rng.uniform(40, 90, count)


def area(edges: list[tuple[str, Array]]) -> float:
    """The area inside an outline of lines and cubics, by Green's theorem."""
    nodes, weights = np.polynomial.legendre.leggauss(4)
    t = (nodes[:, None] + 1) / 2
    total = 0.0
    for _, points in edges:
        if len(points) == 2:
            points = points[0] + np.array([[0.0], [1 / 3], [2 / 3], [1.0]]) * (points[1] - points[0])
        a, b, c, d = points
        place = a * (1 - t) ** 3 + b * 3 * (1 - t) ** 2 * t + c * 3 * (1 - t) * t**2 + d * t**3
        velocity = 3 * ((b - a) * (1 - t) ** 2 + (c - b) * 2 * (1 - t) * t + (d - c) * t**2)
        total += float(weights @ (place[:, 0] * velocity[:, 1] - place[:, 1] * velocity[:, 0])) / 4
    return total


def columns(draft: dict[str, Any]) -> dict[str, float]:
    """The columns of one draft by the peer."""
    found = {f"suppression_{name}": amount for name, amount in draft["suppression"].items()}
    found["left_in_side"] = draft["left_in_side"]
    for name in ("back", "front"):
        panel = draft[name]
        curve, line = [points for role, points in panel["edges"] if role == "side"]
        side = peer.lengths_by_quad(curve[None]) + line[1][1] - line[0][1]
        assert found.setdefault("side_seam", side) == pytest.approx(side, abs=1e-11)
        waist = np.array([points for role, points in panel["edges"] if role == "waist"])
        (centre,) = [points for role, points in panel["edges"] if role == "centre"]
        own = {
            "width": panel["width"],
            "waist_seam": peer.lengths_by_quad(waist),
            "waist_lowering": panel["waist_lowering"],
            "centre_seam": centre[0][1] - centre[1][1],
            "area": area(panel["edges"]),
            "darts": len(panel["darts"]),
        }
        none = dict.fromkeys(vectorised.DART, np.nan)
        for k, dart in enumerate((*panel["darts"], none, none)[:2], 1):
            own |= {f"dart{k}_{key}": dart[key] for key in vectorised.DART}
        found |= {f"{name}_{key}": value for key, value in own.items()}
    return found


@pytest.mark.parametrize("ease", EASES)
def test_a_table_is_drafted_as_its_bodies_are(ease: tuple[float, float]) -> None:
    table = bodies(160)
    drafted = vectorised.vectorised(*table, *ease)
    singly = [columns(peer.peer_draft(w, h, d, n, *ease)) for w, h, d, n in np.transpose(table).tolist()]
    assert list(drafted) == list(vectorised.COLUMNS)
    for name, column in drafted.items():
        assert column == pytest.approx([each[name] for each in singly], abs=1e-8, rel=0, nan_ok=True), name
    # Every number of darts is there, an outward side seam, and limits that are met with and without something left over.
    kinds = set(zip(drafted["back_darts"], drafted["front_darts"]))
    assert kinds == {(0, 0), (1, 0), (1, 1), (2, 1), (2, 2)}
    assert drafted["suppression_side"].min() < 0 < drafted["left_in_side"].max()
    poured = drafted["suppression_back"] > 0.3 * drafted["suppression_total"] + 1e-6
    assert (poured & (drafted["left_in_side"] == 0)).any()


@pytest.mark.parametrize("chunk", [1, 7, 50, None])
def test_chunks_make_no_difference(chunk: int | None) -> None:
    table = bodies(400)
    whole = vectorised.vectorised(*table, 1.5, 5.0)
    for name, column in vectorised.vectorised(*table, 1.5, 5.0, chunk).items():
        assert column == pytest.approx(whole[name], abs=1e-8, rel=0, nan_ok=True), name


@pytest.mark.parametrize("ease", EASES)
def test_the_plain_way_drafts_the_same(ease: tuple[float, float]) -> None:
    waist, hip, hip_depth, length = map(np.concatenate, zip(bodies(400), vectorised.simulated(4000)))
    table = waist, hip, hip_depth, length
    tuned, drafted = vectorised.vectorised(*table, *ease), plain.plain(*table, *ease)
    assert list(drafted) == list(vectorised.COLUMNS)
    for name, column in drafted.items():
        most = 1e-6 if name.endswith("area") else 1e-8
        np.testing.assert_allclose(column, tuned[name], rtol=0, atol=most, equal_nan=True, err_msg=name)
    # Outward side seams without darts are there, and rows with every limit met.
    assert (np.isnan(drafted["back_dart1_intake"]) & (drafted["suppression_side"] < 0)).any()
    assert (drafted["left_in_side"] > 1).any()


@pytest.mark.parametrize("way", [vectorised.vectorised, plain.plain])
def test_an_empty_table_is_drafted(way: Callable[..., dict[str, Array]]) -> None:
    none = np.empty(0)
    assert all(column.size == 0 for column in way(none, none, none, none, 1.5, 5.0).values())


def test_eight_nodes_measure_to_1e_12() -> None:
    """Beside adaptive quadrature, for stretches that turn by up to 56° and side seams that lean by up to 20°."""
    quarters = np.linspace(-0.25, 0.25, 41)
    for quarter, length in zip(quarters, vectorised.relative_length(quarters, vectorised.EXACT)):
        turn = 4 * np.arctan(quarter)
        handle = np.array([np.cos(turn / 2), np.sin(turn / 2)]) / (3 * np.cos(turn / 4) ** 2)
        points = np.array([[0, 0], handle, [1 - handle[0], handle[1]], [1, 0]])
        assert length == pytest.approx(peer.lengths_by_quad(points[None]), abs=1e-12, rel=0)
    for lean in np.tan(np.radians(np.linspace(-20, 20, 25))):
        length = sum(np.sqrt(lean**2 * factor + zeroth) for factor, zeroth in vectorised.SIDE)
        points = np.array([[0, 0], [lean / 3, 1 / 3], [2 * lean / 3, 2 / 3], [2 * lean / 3, 1]])
        assert length == pytest.approx(peer.lengths_by_quad(points[None]), abs=1e-12, rel=0)
