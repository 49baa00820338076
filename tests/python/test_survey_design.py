"""Surveys by design: weights, groups, replicates and refused rows, against a plain implementation with NumPy."""

import math
import pickle
from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
from jsonschema import Draft202012Validator
from matplotlib.patches import Rectangle
from scipy import stats

import kirtle
from kirtle import plots

EASE = kirtle.Ease(waist=1.5, hip=5)
CHART = kirtle.SizeChart.demo()
BANDS = np.array(["18-29", "30-49", "50-69", "70+"])
REPLICATES = [f"rep{k}" for k in range(40)]


def women(count: int = 1500) -> pa.Table:
    """Returns simulated women with an age band, a weight, and 40 replicate weights that balance half-samples, by Fay's k = 0.3."""
    rng = np.random.default_rng(5)
    table = pa.table(kirtle.simulate(count, seed=2)).select(["waist", "hip"])
    weight = rng.gamma(2, 500, count)
    table = table.append_column("age_band", pa.array(BANDS[rng.integers(0, 4, count)])).append_column("w", pa.array(weight))
    for name in REPLICATES:
        table = table.append_column(name, pa.array(weight * np.where(rng.random(count) < 0.5, 1.7, 0.3)))
    return table


def fit(table: Any, **options: Any) -> kirtle.ChartFit:
    return kirtle.fit_chart(CHART, table, ease=EASE, tolerance=4, columns={"weight": "w"}, **options)


def share(serves: np.ndarray, weight: np.ndarray) -> float:
    return float(np.sum(weight * serves) / np.sum(weight))


def standard_error(serves: np.ndarray, weight: np.ndarray, replicates: list[np.ndarray], factor: float) -> float:
    own = share(serves, weight)
    return math.sqrt(factor * sum((share(serves, replicate) - own) ** 2 for replicate in replicates))


def test_shares_by_group_and_their_errors_are_those_of_numpy() -> None:
    table, factor = women(), 1 / (len(REPLICATES) * 0.7**2)
    found = fit(table, by="age_band", replicates=REPLICATES, replicate_factor=factor)
    serves, weight = np.array(pa.table(found)["serves"]), np.array(table["w"])
    replicates = [np.array(table[name]) for name in REPLICATES]
    assert found.share_served == pytest.approx(share(serves, weight), rel=1e-12)
    assert found.standard_error == pytest.approx(standard_error(serves, weight, replicates, factor), rel=1e-9)
    assert [group.group for group in found.groups] == sorted(BANDS)
    for group in found.groups:
        inside = np.array(table["age_band"]) == group.group
        parts = [replicate[inside] for replicate in replicates]
        assert (group.count, group.unmeasured, group.served) == (inside.sum(), 0, serves[inside].sum())
        assert group.share_served == pytest.approx(share(serves[inside], weight[inside]), rel=1e-12)
        assert group.standard_error == pytest.approx(standard_error(serves[inside], weight[inside], parts, factor), rel=1e-9)
    assert found.to_dict()["groups"][0]["group"] == BANDS[0]
    Draft202012Validator(kirtle.schema("fit")).validate(found.to_dict())


def test_intervals_are_wilsons_and_nobody_has_a_share_without_measured_people() -> None:
    people = pa.table({
        "waist": [72.0 if row % 3 else 90.0 for row in range(20)] + [72.0, 72.5, 71.5, None],
        "hip": [96.0] * 23 + [99.0], "group": ["some"] * 20 + ["all"] * 3 + ["unmeasured"],
    })
    # With this factor the jackknife of a group of 20 people has the variance p (1 - p) / 20 exactly.
    for person in range(20):
        people = people.append_column(f"r{person}", pa.array([0.0 if row == person else 1.0 for row in range(24)]))
    found = kirtle.fit_chart(
        CHART, people, ease=EASE, tolerance=2, by="group", replicates=[f"r{person}" for person in range(20)], replicate_factor=(19 / 20) ** 2
    )
    # The level at which the normal quantile is that of Student's t with 20 degrees of freedom.
    level = 2 * stats.norm.cdf(stats.t.ppf(0.975, 20)) - 1
    for group, count in zip(found.groups[:2], (3, 20), strict=True):
        wilson = stats.binomtest(group.served, count).proportion_ci(level, method="wilson")
        assert group.interval == pytest.approx((wilson.low, wilson.high), abs=1e-7), group.group
    assert [group.share_served for group in found.groups] == [1.0, 0.65, None]
    assert (found.groups[2].standard_error, found.groups[2].interval) == (None, None)
    Draft202012Validator(kirtle.schema("fit")).validate(found.to_dict())
    # Weights times one factor give the share of the survey but for rounding: the interval is that of the effective count.
    scaled = people.append_column("half", pa.array([0.3] * 24)).append_column("double", pa.array([1.7] * 24))
    same = kirtle.fit_chart(CHART, scaled, ease=EASE, tolerance=2, replicates=["half", "double"], replicate_factor=1)
    assert same.interval is not None and same.interval[1] - same.interval[0] > 0.3
    assert repr(kirtle.fit_chart(CHART, people.slice(23), ease=EASE, tolerance=2)) == "ChartFit(people=1, served=0 (nobody measured), unmeasured=1, sizes=12)"
    assert plots.served_by_group(found).get_yticklabels()[2].get_text() == "unmeasured (0)"
    assert "unmeasured (0): nobody measured." in plots.description(plots.served_by_group(found))


def test_two_fits_of_the_same_people_are_compared_in_each_replicate() -> None:
    table, factor = women(), 1 / (len(REPLICATES) * 0.7**2)
    options: Any = {"ease": EASE, "columns": {"weight": "w"}, "by": "age_band", "replicates": REPLICATES, "replicate_factor": factor}
    first, second = (kirtle.fit_chart(CHART, table, **options, **bounds) for bounds in ({"tolerance": 4}, {"bounds": {"waist": (0, 9), "hip": (2, 9)}}))
    one, two = (np.array(pa.table(fit)["serves"]) for fit in (first, second))
    replicates = [np.array(table[name]) for name in REPLICATES]
    assert first.replicate_shares == pytest.approx([share(one, weight) for weight in replicates])
    inside = np.array(table["age_band"]) == BANDS[1]
    assert first.groups[1].replicate_shares == pytest.approx([share(one[inside], weight[inside]) for weight in replicates])
    compared = kirtle.compare_fits(first, second)
    assert (compared.both, compared.only_first) == (np.sum(one & two), np.sum(one & ~two))
    assert (compared.only_second, compared.neither) == (np.sum(~one & two), np.sum(~one & ~two))
    weight, difference = np.array(table["w"]), two.astype(float) - one
    assert compared.difference == pytest.approx(share(difference, weight))
    error = standard_error(difference, weight, replicates, factor)
    assert compared.standard_error == pytest.approx(error, rel=1e-9)
    assert compared.interval == pytest.approx(stats.t.interval(0.95, len(REPLICATES), share(difference, weight), error))
    assert pickle.loads(pickle.dumps(compared)) == compared
    with pytest.raises(kirtle.InputError, match="a fit with other replicates"):
        kirtle.compare_fits(first, kirtle.fit_chart(CHART, table, ease=EASE, tolerance=4, columns={"weight": "w"}))
    with pytest.raises(kirtle.InputError, match="a fit of other people"):
        kirtle.compare_fits(first, kirtle.fit_chart(CHART, table, tolerance=4, **{**options, "columns": {"weight": "rep0"}}))


@pytest.mark.parametrize(("replicates", "degrees"), [(2, None), (3, None), (8, None), (40, None), (8, 1), (40, 7), (2, 10_000)])
def test_intervals_have_the_quantile_of_students_t(replicates: int, degrees: int | None) -> None:
    options: Any = {"by": "age_band", "replicates": REPLICATES[:replicates], "replicate_factor": 1 / replicates, "degrees_of_freedom": degrees}
    first, second = (fit(women(), **options | bounds) for bounds in ({}, {"bounds": {"waist": (0, 9), "hip": (2, 9)}}))
    quantile = stats.t.ppf(0.975, degrees or replicates)
    people: Any
    for people in (first, *first.groups):
        assert people.share_served is not None and people.interval is not None
        # The ends of a score interval are the shares from which the share found is t standard errors away.
        count = people.share_served * (1 - people.share_served) / people.standard_error**2
        for end in people.interval:
            assert abs(end - people.share_served) == pytest.approx(quantile * math.sqrt(end * (1 - end) / count), rel=1e-9)
    compared: Any = kirtle.compare_fits(first, second)
    ends: Any = np.clip(stats.t.interval(0.95, degrees or replicates, compared.difference, compared.standard_error), -1, 1)
    assert compared.interval == pytest.approx(ends, rel=1e-9)


def test_the_band_of_coverage_has_the_effective_number_of_people() -> None:
    people = pl.DataFrame(kirtle.simulate(300, seed=1)).with_columns(w=pl.int_range(300) % 50 * 10 + 1)
    best = kirtle.best_chart(people, 2, loss="within", tolerance=4, certify=False, columns={"weight": "w"})
    weight = people["w"].to_numpy().astype(float)
    assert best.effective == pytest.approx(weight.sum() ** 2 / (weight**2).sum())
    ends = np.asarray(plots.coverage([best]).collections[0].get_paths()[0].vertices)[:2, 1]
    served = 1 - best.loss
    assert np.ptp(ends) == pytest.approx(2 * 196 * math.sqrt(served * (1 - served) / best.effective))


def test_ordered_categories_are_groups_in_their_order() -> None:
    waists = np.linspace(60, 90, 30)
    people = pd.DataFrame({"waist": waists, "hip": waists + 26, "bands": pd.cut(pd.Series(waists), [0, 65, 75, 200])})
    people["levels"] = pd.Categorical(["low", "high", None] * 10, categories=["low", "mid", "high"], ordered=True)
    people["names"] = people.levels.cat.as_unordered()

    def groups(by: str) -> list[str | None]:
        return [group.group for group in kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2, by=by).groups]

    assert (groups("levels"), groups("names")) == (["low", "high", None], ["high", "low", None])
    with pytest.raises(kirtle.InputError, match=r"is not a column of texts, .* in pandas, \.cat\.rename_categories\(str\) makes texts of intervals$"):
        groups("bands")
    people["bands"] = people["bands"].cat.rename_categories(str)
    assert groups("bands") == ["(0, 65]", "(65, 75]", "(75, 200]"]


def test_a_bootstrap_is_that_of_numpy_but_for_chance() -> None:
    table = women()
    found = fit(table, by="age_band", bootstrap=400, seed=7)
    serves, weight = np.array(pa.table(found)["serves"]), np.array(table["w"])
    rng = np.random.default_rng(1)
    drawn = [rng.integers(0, len(serves), len(serves)) for _ in range(400)]
    error = np.std([share(serves[rows], weight[rows]) for rows in drawn])
    # Both errors have a relative error of √(1 / 800).
    assert found.standard_error == pytest.approx(error, rel=4 * math.sqrt(2 / 800))
    again = fit(table, by="age_band", bootstrap=400, seed=7)
    assert again.groups == found.groups and again.to_dict() == found.to_dict()
    assert fit(table, bootstrap=400, seed=8).standard_error != found.standard_error
    assert fit(table, by="age_band").standard_error is None


def test_weights_count_in_every_function_and_zero_has_no_effect() -> None:
    table = pa.table({"waist": [70.0, 72.0, 80.0, 90.0], "hip": [95.0, 97.0, 105.0, 120.0], "w": [1.0, 3.0, 2.0, 0.0]})
    repeated = table.take([0, 1, 1, 1, 2, 2])
    weights: dict[str, Any] = {"columns": {"weight": "w"}}
    options: Any
    for options in ({"loss": "squared"}, {"loss": "absolute"}, {"loss": "within", "tolerance": 1}, {"drop": 25}, {"steps": (10, 10)}):
        best, expected = kirtle.best_chart(table, 2, **options, **weights), kirtle.best_chart(repeated, 2, **options)
        assert (best.sizes, best.loss, best.bound) == (expected.sizes, expected.loss, expected.bound)
        assert (best.measured, expected.measured) == (4, 6)
    assert kirtle.best_sizes(table, 2, girth="waist", **weights).sizes == kirtle.best_sizes(repeated, 2, girth="waist").sizes
    weighted, plain = fit(table), kirtle.fit_chart(CHART, repeated, ease=EASE, tolerance=4)
    assert (weighted.share_served, weighted.count, plain.count) == (plain.share_served, 4, 6)
    assert weighted.load_weights == [(assigned, served) for _, assigned, served in plain.loads]
    assert weighted.unserved_weights == plain.unserved
    assert (sum(people for _, people, _ in weighted.loads), plain.load_weights, plain.unserved_weights) == (4, [], {})
    assert [square for square in weighted.regions(5) if square[2]] == plain.regions(5)
    # A column named weight may hold kilograms.
    assert kirtle.fit_chart(CHART, table.rename_columns(["waist", "hip", "weight"]), ease=EASE, tolerance=4).load_weights == []
    ax = plots.chart_fit(weighted)
    assert ax.get_ylabel().endswith("sum of weights") and "by weight" in ax.get_title(loc="left") + ax.get_title()
    assert max(bar.get_height() for bar in ax.patches if isinstance(bar, Rectangle)) == max(served for _, served in weighted.load_weights)
    with pytest.raises(kirtle.InputError, match="weights: 0 numbers above 0 are given, at least 1 number above 0 needed"):
        kirtle.best_chart(table, 2, columns={"weight": 0.0})
    with pytest.raises(kirtle.InputError, match="people.weight: -1 is below the minimum of 0"):
        kirtle.best_chart(table, 2, columns={"weight": -1.0})


def test_refused_rows_are_counted_by_reason_with_their_means() -> None:
    nan = math.nan
    table = pa.table({
        "waist": [720.0, 730.0, 999.0, -9.0, 0.0, None, 740.0, 9990.0],
        "hip": [960.0, 970.0, 970.0, 990.0, 1000.0, nan, 980.0, 1010.0],
        "w": [1.0, 1.0, 1.0, 1.0, 1.0, 1.0, None, 1.0],
    })
    found = fit(table, unit="mm")
    refused = [(of.field, of.code, of.people, of.waist, of.hip) for of in found.refused]
    assert refused == [
        ("waist", "above_maximum", 1, None, 1010.0),
        ("waist", "below_minimum", 2, None, 995.0),
        ("waist", "missing", 1, None, None),
        ("hip", "missing", 1, None, None),
        ("weight", "missing", 1, 740.0, 980.0),
    ]
    for of in found.refused:
        assert (of.accepted_waist, of.accepted_hip) == pytest.approx(((720 + 730 + 999) / 3, (960 + 970 + 970) / 3))
    assert pa.table(found)["size"].null_count == found.unmeasured == 5
    with pytest.raises(kirtle.InputError, match='people.waist: 7 of 7 numbers are out of range in cm: give unit="mm"'):
        kirtle.fit_chart(CHART, table, ease=EASE, tolerance=40)
    for call in (lambda: kirtle.best_chart(table, 2), lambda: kirtle.compare_charts(CHART, table)):
        with pytest.raises(kirtle.InputError, match='give unit="mm"'):
            call()
    best = kirtle.best_chart(table, 1, unit="mm")
    assert best.unmeasured == 4 and [(of.field, of.code, of.people) for of in best.refused] == [
        ("waist", "above_maximum", 1), ("waist", "below_minimum", 2), ("waist", "missing", 1), ("hip", "missing", 1),
    ]
    by_hip = kirtle.best_sizes(table, 1, girth="hip", unit="mm")
    assert [(of.field, of.code, of.people, of.waist) for of in by_hip.refused] == [("hip", "missing", 1, None)]
    assert by_hip.refused[0].accepted_hip == pytest.approx(by_hip.sizes[0][0])
    assert kirtle.compare_charts(CHART, pa.concat_tables([table] * 9), unit="mm").refused[0].people == 9
    for result, name in ((best, "best_chart"), (by_hip, "best_sizes")):
        Draft202012Validator(kirtle.schema(name)).validate(result.to_dict())
        assert pickle.loads(pickle.dumps(result)) == result


def test_millimetres_give_the_results_of_centimetres() -> None:
    cm, mm = (pa.table(kirtle.simulate(300, seed=4, unit=unit)) for unit in ("cm", "mm"))
    assert np.allclose(mm["hip"].to_numpy(), 10 * cm["hip"].to_numpy(), rtol=1e-15)
    fits = [kirtle.fit_chart(CHART, table, ease=EASE, tolerance=2 * factor, unit=unit) for table, factor, unit in ((cm, 1, "cm"), (mm, 10, "mm"))]
    assert fits[0].loads == fits[1].loads and fits[1].unit == "mm"
    assert fits[1].worst(1)[0][1] == pytest.approx(10 * fits[0].worst(1)[0][1])
    charts = [kirtle.best_chart(table, 4, unit=unit) for table, unit in ((cm, "cm"), (mm, "mm"))]
    assert np.allclose(charts[1].sizes, np.array(charts[0].sizes) * [10, 10, 1], rtol=1e-9)
    assert charts[1].loss == pytest.approx(100 * charts[0].loss)
    assert charts[1].chart(hip_depth=200, length=600)["1"].hip == pytest.approx(charts[0].sizes[0][1])
    drafts = [pl.DataFrame(kirtle.draft_table(table, ease=EASE, unit=unit)) for table, unit in ((cm, "cm"), (mm, "mm"))]
    assert np.allclose(drafts[1]["side_seam"], 10 * drafts[0]["side_seam"], rtol=1e-12)
    assert np.allclose(drafts[1]["back_area"], 100 * drafts[0]["back_area"], rtol=1e-12)
    row = pl.DataFrame(kirtle.draft_table(pa.table({"waist": [72.0], "hip": [960.0], "hip_depth": [200.0], "length": [600.0]}), ease=EASE, unit="mm"))
    assert row["error_text"][0] == "body.waist: 72 mm is below the minimum of 400 mm"


@pytest.mark.parametrize("labels", [
    pa.array(["b", None, "a"]), pa.array(["b", None, "a"]).dictionary_encode(), pa.array(["b", None, "a"], pa.string_view()),
    pd.Series(["b", None, "a"], dtype="category"), pl.Series(["b", None, "a"], dtype=pl.Categorical), pa.array([10, None, 9]),
    pa.array([True, None, False]),
])
def test_groups_may_be_of_any_type(labels: Any) -> None:
    girths = {"waist": [72.0, 73.0, 74.0], "hip": [96.0, 97.0, 98.0]}
    if isinstance(labels, pd.Series):
        table: Any = pd.DataFrame({**girths, "group": labels})
    else:
        table = pl.DataFrame({**girths, "group": labels}) if isinstance(labels, pl.Series) else pa.table({**girths, "group": labels})
    found = kirtle.fit_chart(CHART, table, ease=EASE, tolerance=4, by="group")
    names = {"b": ["a", "b", None], 10: ["9", "10", None], True: ["false", "true", None]}
    assert [group.group for group in found.groups] == names[next(iter(pa.array(labels).to_pylist()))]
    assert [group.count for group in found.groups] == [1, 1, 1]
    with pytest.raises(kirtle.InputError, match='by: "size" is not the name of exactly one column'):
        kirtle.fit_chart(CHART, table, ease=EASE, tolerance=4, by="size")


def test_wrong_replicates_are_refused() -> None:
    table = women(20)
    wrong: list[tuple[dict[str, Any], str]] = [
        ({"bootstrap": 1}, "bootstrap: 1 is below the minimum of 2"),
        ({"replicates": REPLICATES}, "replicate_factor: missing: give a number from 0.000000001 to 1000"),
        ({"replicates": ["rep0", "age_band"], "replicate_factor": 1},
         'replicates[1]: column "age_band" of type Utf8 is not a column of numbers'),
        ({"bootstrap": 9, "degrees_of_freedom": 5}, "replicates: missing: give replicate weights"),
        ({"replicates": REPLICATES, "replicate_factor": 1, "degrees_of_freedom": 0}, "degrees_of_freedom: 0 is below the minimum of 1"),
        ({"bootstrap": 9, "replicate_factor": 1}, "bootstrap: cannot be given together with replicate_factor"),
    ]
    for options, message in wrong:
        with pytest.raises(kirtle.InputError) as refused:
            fit(table, **options)
        assert str(refused.value) == message


@pytest.mark.parametrize("splits", [2, 3, 5, 6, 200])
def test_the_interval_of_a_gain_is_that_of_students_t(splits: int) -> None:
    compared = kirtle.compare_charts(CHART, women(40), splits=splits, loss="within", tolerance=3, restarts=1, grid=8)
    error = math.sqrt((1 / splits + compared.held_out / compared.training) * np.var(compared.gains, ddof=1))
    assert compared.gain_interval == pytest.approx(stats.t.interval(0.95, splits - 1, np.mean(compared.gains), error), rel=1e-6)


def test_repeated_splits_have_an_interval() -> None:
    table = women(240)
    options: dict[str, Any] = {"loss": "within", "tolerance": 3, "restarts": 2}
    compared = kirtle.compare_charts(CHART, table, splits=12, **options)
    one = kirtle.compare_charts(CHART, table, **options)
    assert (one.gains, one.gain_interval) == ([], None)
    assert compared.gains[0] == pytest.approx(one.given_loss - one.best_loss) and one.sizes == compared.sizes
    gains = np.array(compared.gains)
    assert gains.mean() == pytest.approx(compared.given_loss - compared.best_loss)
    error = math.sqrt((1 / 12 + compared.held_out / compared.training) * gains.var(ddof=1))
    assert compared.gain_interval == pytest.approx(stats.t.interval(0.95, 11, gains.mean(), error), rel=1e-6)
    assert compared.training_loss < compared.best_loss
    Draft202012Validator(kirtle.schema("comparison")).validate(compared.to_dict())
    grouped = kirtle.compare_charts(CHART, table, splits=12, by="age_band", grid=1, **options)
    assert [of.group for of in grouped.groups] == sorted(BANDS) and sum(of.held_out for of in grouped.groups) == grouped.held_out
    assert all(len(of.gains) == 12 and of.gain_interval is not None for of in grouped.groups)
    assert all(girth == round(girth) for waist, hip, _ in grouped.sizes for girth in (waist, hip))
    (alone,) = kirtle.compare_charts(CHART, table.append_column("all", pa.array(["all"] * len(table))), splits=12, by="all", **options).groups
    assert (alone.held_out, alone.best_loss, alone.given_loss) == (compared.held_out, compared.best_loss, compared.given_loss)
    assert (alone.gains, alone.gain_interval) == (compared.gains, compared.gain_interval)
    Draft202012Validator(kirtle.schema("comparison")).validate(grouped.to_dict())
    quick = kirtle.compare_charts(CHART, table, certify=False, time_limit=1, **options)
    assert quick.training == one.training and quick.training_loss >= one.training_loss
    with pytest.raises(kirtle.InputError, match="search.time_limit: 0 is below the minimum"):
        kirtle.compare_charts(CHART, table, time_limit=0)
    with pytest.raises(kirtle.InputError, match="splits: 0 is below the minimum of 1"):
        kirtle.compare_charts(CHART, table, splits=0)


def test_a_search_stops_at_the_gap_or_the_time_given() -> None:
    table = women(1500)
    for options in ({"loss": "within", "tolerance": 2}, {"loss": "squared"}):
        wide: Any = {"target_gap": 0.2, **options}
        stopped, whole = kirtle.best_chart(table, 8, **wide), kirtle.best_chart(table, 8, **options)
        assert stopped == kirtle.best_chart(table, 8, **wide)
        assert stopped.gap <= 0.2 * stopped.loss and stopped.bound <= whole.bound + 1e-12
        limited = kirtle.best_chart(table, 8, time_limit=0.001, **options)
        assert limited.bound <= limited.loss and limited.gap >= whole.gap - 1e-12 and len(limited.sizes) == 8
    with pytest.raises(kirtle.InputError, match="search.time_limit: 0 is below the minimum of 0.001"):
        kirtle.best_chart(table, 2, time_limit=0)
