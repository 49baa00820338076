"""Bodies, drafts and curves for the tests."""

import json
import math
import os
import signal
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from pages import NAME

import kirtle

TESTS = Path(__file__).parents[1]

TIMES = int(os.environ.get("KIRTLE_TIMES", "1"))
"""How many times as often as usual the tests that attack try."""

Points = npt.NDArray[np.float64]


@pytest.fixture
def body() -> kirtle.Body:
    return kirtle.Body(waist=72, hip=98, hip_depth=20, length=60)


@pytest.fixture
def ease() -> kirtle.Ease:
    return kirtle.Ease(waist=1.5, hip=5)


@pytest.fixture
def draft(body: kirtle.Body, ease: kirtle.Ease) -> kirtle.Draft:
    return kirtle.draft(body, ease=ease)


@pytest.fixture
def interrupts() -> Iterator[None]:
    """Ctrl-C is heard, whoever started the tests: in the background a shell lets it go unheard."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture(scope="session")
def pattern() -> kirtle.Pattern:
    """What the tests of paper print."""
    body = kirtle.Body(waist=72, hip=98, hip_depth=20, length=60)
    return kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5)).pattern(name=NAME, side=1.5)


@pytest.fixture(scope="session")
def samples() -> dict[str, dict[str, Any]]:
    """Requests that are accepted and refused, by name."""
    found: dict[str, dict[str, Any]] = json.loads((TESTS / "requests" / "samples.json").read_text())
    return found


def random_drafts(count: int) -> list[kirtle.Draft]:
    """Drafts of plausible bodies, some of them with a waist larger than the hip."""
    rng = np.random.default_rng(20)
    drafts: list[kirtle.Draft] = []
    while len(drafts) < count:
        waist, drop = rng.uniform(58, 120), rng.uniform(-8, 40)
        body = kirtle.Body(waist=waist, hip=waist + drop, hip_depth=rng.uniform(15, 25), length=rng.uniform(40, 90))
        ease = kirtle.Ease(waist=rng.uniform(0, 4), hip=rng.uniform(0, 8))
        rules = kirtle.Rules(balance=rng.uniform(-1, 2), centre_back_lower=rng.uniform(0, 1.5))
        drafts.append(kirtle.draft(body, ease=ease, rules=rules))
    return drafts


def at(points: Points, t: npt.ArrayLike) -> Points:
    """Places along an edge, by the Bernstein polynomials."""
    later: Points = np.asarray(t, float)[..., None]
    sooner: Points = 1 - later
    degree = len(points) - 1
    shares = [math.comb(degree, k) * sooner ** (degree - k) * later**k for k in range(degree + 1)]
    places: Points = np.sum([share * point for share, point in zip(shares, points, strict=True)], axis=0)
    return places


def outline(edges: Iterable[npt.ArrayLike], places: int = 400) -> Points:
    """Corners along edges that follow each other, each curve at so many places; without the very end."""
    t = np.arange(places) / places
    corners = [np.asarray(points, float) for points in edges]
    return np.vstack([at(points, t if len(points) == 4 else [0.0]) for points in corners])
