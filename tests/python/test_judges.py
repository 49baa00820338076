"""Independent libraries measure the drafts: shapely, scipy, and a plain script of the same construction."""

import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from conftest import Points, bezier_points, outline, random_drafts
from scipy.integrate import quad
from shapely import Polygon, affinity

import kirtle

sys.path.insert(0, str(Path(__file__).parents[2] / "benches"))
import peer


def length(points: Points) -> float:
    """Returns the length of an edge by adaptive quadrature of its speed."""
    if len(points) == 2:
        return float(np.hypot(*(points[1] - points[0])))
    steps = 3 * np.diff(points, axis=0)

    def speed(t: float) -> float:
        return float(np.hypot(*(steps[0] * (1 - t) ** 2 + 2 * steps[1] * t * (1 - t) + steps[2] * t**2)))

    return float(quad(speed, 0, 1, epsabs=1e-13, epsrel=1e-13, limit=200)[0])


DRAFTS = random_drafts(120)


def test_the_sewn_waist_by_quadrature_is_the_waist_plus_its_ease() -> None:
    """scipy.integrate.quad measures every waist edge."""
    for draft in DRAFTS:
        edges = [edge for panel in (draft.back, draft.front) for edge in panel.edges if edge.role == "waist"]
        lengths = [length(np.array(edge.points)) for edge in edges]
        assert lengths == pytest.approx([edge.length for edge in edges], abs=1e-11)
        assert 2 * sum(lengths) == pytest.approx(draft.body.waist + draft.ease.waist, abs=1e-10)


def test_shapely_finds_simple_outlines_of_the_stated_area() -> None:
    for draft in DRAFTS:
        for panel in (draft.back, draft.front):
            polygon = Polygon(outline(edge.points for edge in panel.edges))
            assert polygon.is_valid and polygon.exterior.is_simple
            # Chords between 400 points of a curve lose a few millionths of the area.
            assert polygon.area == pytest.approx(panel.area, rel=5e-6)


def test_the_side_seams_of_back_and_front_coincide() -> None:
    for draft in DRAFTS[:40]:
        seams = [
            np.vstack([bezier_points(np.array(edge.points), np.linspace(0, 1, 200))
                       for edge in panel.edges if edge.role == "side"]) - [panel.width, 0]
            for panel in (draft.back, draft.front)
        ]
        assert np.abs(seams[0] - seams[1]).max() < 1e-12


def test_the_legs_of_a_folded_dart_coincide() -> None:
    """shapely.affinity rotates the end of the outer leg about the tip by twice the half angle."""
    from shapely import Point

    for draft in DRAFTS:
        for dart in (*draft.back.darts, *draft.front.darts):
            rotated = affinity.rotate(Point(dart.outer), -2 * dart.half_angle_deg, origin=Point(dart.tip))
            assert rotated.distance(Point(dart.inner)) < 1e-10


def flat(value: Any) -> list[float]:
    """Returns all numbers of a nested value in order; dictionaries are sorted by key."""
    if isinstance(value, dict):
        return [number for key in sorted(value) for number in flat(value[key])]
    if isinstance(value, (list, tuple, np.ndarray)):
        return [number for item in value for number in flat(item)]
    return [float(value)]


def test_the_peer_script_gives_the_same_drafts() -> None:
    """benches/peer.py solves the construction with brentq and SciPy's quadrature."""
    rng = np.random.default_rng(7)
    for _ in range(60):
        waist, drop = rng.uniform(58, 120), rng.uniform(-8, 45)
        body = kirtle.Body(waist=waist, hip=waist + drop, hip_depth=rng.uniform(14, 25), length=65)
        ease = kirtle.Ease(waist=rng.uniform(0, 4), hip=rng.uniform(0, 8))
        draft = kirtle.draft(body, ease=ease)
        peer_result = peer.peer_draft(body.waist, body.hip, body.hip_depth, body.length, ease.waist, ease.hip)
        for name in ("total", "side", "back", "front"):
            assert getattr(draft.suppression, name) == pytest.approx(peer_result["suppression"][name], abs=1e-9)
        for name in ("back", "front"):
            panel, peer_panel = getattr(draft, name), peer_result[name]
            assert panel.waist_lowering == pytest.approx(peer_panel["waist_lowering"], abs=1e-9)
            darts = [[dart.centre, dart.intake, dart.length] for dart in panel.darts]
            assert flat(darts) == pytest.approx(
                flat([[dart["centre"], dart["intake"], dart["length"]] for dart in peer_panel["darts"]]), abs=1e-9
            )
