"""Shared fixtures and helpers: an ordinary body with its draft and pattern, random drafts, points on curves."""

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
from pages import BODY_NAME

import kirtle

TESTS = Path(__file__).parents[1]

CASE_FACTOR = int(os.environ.get("KIRTLE_TIMES", "1"))
"""Factor on the number of cases of the randomised and the memory tests; at least 1, from the variable KIRTLE_TIMES."""

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
def sigint_enabled() -> Iterator[None]:
    """Makes SIGINT raise KeyboardInterrupt, also where a shell started the tests in the background with SIGINT ignored."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    signal.signal(signal.SIGINT, before)


@pytest.fixture(scope="session")
def pattern() -> kirtle.Pattern:
    """Returns the pattern that the tests of PDF print, with a name in three alphabets and side allowances of 1.5 cm."""
    body = kirtle.Body(waist=72, hip=98, hip_depth=20, length=60)
    return kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5)).pattern(name=BODY_NAME, side=1.5)


@pytest.fixture(scope="session")
def samples() -> dict[str, dict[str, Any]]:
    """Returns the sample requests: "accepted" and "refused", each a dictionary from a name to a request."""
    by_kind: dict[str, dict[str, Any]] = json.loads((TESTS / "requests" / "samples.json").read_text())
    return by_kind


def random_drafts(count: int) -> list[kirtle.Draft]:
    """Returns `count` drafts of random bodies, some with a waist larger than the hip; the seed is fixed."""
    rng = np.random.default_rng(20)
    drafts: list[kirtle.Draft] = []
    while len(drafts) < count:
        waist, drop = rng.uniform(58, 120), rng.uniform(-8, 40)
        body = kirtle.Body(waist=waist, hip=waist + drop, hip_depth=rng.uniform(15, 25), length=rng.uniform(40, 90))
        ease = kirtle.Ease(waist=rng.uniform(0, 4), hip=rng.uniform(0, 8))
        # The centre back of half the drafts slants.
        inset = max(0.0, rng.uniform(-1.5, 1.5))
        rules = kirtle.Rules(
            balance=rng.uniform(-1, 2), centre_back_lower=rng.uniform(0, 1.5), centre_back_in=inset
        )
        drafts.append(kirtle.draft(body, ease=ease, rules=rules))
    return drafts


def bezier_points(control: Points, t: npt.ArrayLike) -> Points:
    """Evaluates the Bézier curve of any degree at each parameter `t` from 0 to 1, by the Bernstein polynomials."""
    t = np.asarray(t, float)[..., None]
    degree = len(control) - 1
    bernstein = [math.comb(degree, k) * (1 - t) ** (degree - k) * t**k for k in range(degree + 1)]
    points: Points = np.sum([value * point for value, point in zip(bernstein, control, strict=True)], axis=0)
    return points


def outline(edges: Iterable[npt.ArrayLike], per_curve: int = 400) -> Points:
    """Flattens consecutive edges to a polyline with `per_curve` points on each cubic; the last end point is left out."""
    t = np.arange(per_curve) / per_curve
    controls = [np.asarray(points, float) for points in edges]
    return np.vstack([bezier_points(control, t if len(control) == 4 else [0.0]) for control in controls])
