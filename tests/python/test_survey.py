"""Surveys in Python: simulated people, the fit of a chart, the best chart."""

import json
import math
import os
import pickle
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from jsonschema import Draft202012Validator

import kirtle
from kirtle._kirtle import _panic

EASE = kirtle.Ease(waist=1.5, hip=5)
CHART = kirtle.SizeChart.demo()

WAIST = [72.0, 73.0, 74.0, 76.0, 50.0, None, 72.0]
HIP = [96.0, 97.0, 98.0, 108.0, 80.0, 96.0, math.nan]


def seven_people() -> pa.Table:
    """Returns seven people with sizes known by hand; the demo chart has waist/hip 60/84 (smallest), …, 72/96, 76/100, 80/104."""
    return pa.table({"waist": WAIST, "hip": HIP})


def test_the_fit_of_seven_people_is_as_counted_by_hand() -> None:
    fit = kirtle.fit_chart(CHART, seven_people(), ease=EASE, tolerance=2)
    assert (len(fit), fit.count, fit.unmeasured, fit.served, fit.share_served) == (7, 7, 2, 3, 0.6)
    assert [load for load in fit.loads if load[1]] == [("32", 1, 0), ("38", 2, 2), ("40", 1, 1), ("42", 1, 0)]
    assert len(fit.loads) == len(CHART)
    assert {name: count for name, count in fit.unserved.items() if count} == {
        "waist_loose": 2, "hip_loose": 1, "hip_tight": 1,
    }
    assert fit.worst(1) == [(4, 8.0)] and fit.worst() == [(4, 8.0), (3, 2.0)]
    assert fit.regions(5) == [(50.0, 80.0, 1, 0), (70.0, 95.0, 3, 3), (75.0, 105.0, 1, 0)]
    assert repr(fit) == "ChartFit(people=7, served=3 (60.0%), unmeasured=2, sizes=12)"
    document = fit.to_dict()
    assert (document["unit"], document["count"], document["served"], document["loads"][0]) == ("cm", 7, 3, ["32", 1, 0])
    table = pa.table(fit)
    assert table.column_names == fit.columns == ["size", "ease_left_waist", "ease_left_hip", "serves", "excess"]
    assert table["size"].to_pylist() == ["38", "38", "40", "42", "32", None, None]
    # The third person lies half-way between 38 and 40; both sizes are at the bound, and the larger is given.
    assert table["ease_left_waist"].to_pylist() == [1.5, 0.5, 3.5, 5.5, 11.5, None, None]
    assert table["ease_left_hip"].to_pylist() == [5.0, 4.0, 7.0, 1.0, 9.0, None, None]
    assert table["serves"].to_pylist() == [True, True, True, False, False, None, None]
    assert table["excess"].to_pylist() == [0.0, 0.0, 0.0, 2.0, 8.0, None, None]
    assert pa.table(fit).equals(table)


def test_bounds_limit_the_ease_left_in_the_garment() -> None:
    bounds = {"waist": (-0.5, 3.5), "hip": (3.0, 7.0)}
    by_bounds = kirtle.fit_chart(CHART, seven_people(), ease=EASE, bounds=bounds)
    assert pa.table(by_bounds).equals(pa.table(kirtle.fit_chart(CHART, seven_people(), ease=EASE, tolerance=2)))
    wide = kirtle.fit_chart(CHART, seven_people(), ease=EASE, tolerance=2, bounds={"waist": (-0.5, 11.5)})
    assert wide.worst() == [(4, 2.0)] and wide.unserved["waist_loose"] == 0
    # The fourth person has 76/108; size 44 (84/108) is now within the bound at the waist.
    assert pa.table(wide)["size"][3].as_py() == "44"


def test_the_fit_takes_inches_and_other_column_names() -> None:
    expected = kirtle.fit_chart(CHART, seven_people(), ease=EASE, tolerance=2)
    inches = pa.table({
        "W": [waist and waist / 2.54 for waist in WAIST],
        "H": [hip / 2.54 for hip in HIP],
    })
    columns = {"waist": "W", "hip": "H"}
    fit = kirtle.fit_chart(CHART, inches, ease=EASE, tolerance=2 / 2.54, columns=columns, unit="in")
    assert (fit.unit, fit.loads, fit.unserved) == ("in", expected.loads, expected.unserved)
    for name in ("ease_left_waist", "ease_left_hip", "excess"):
        for found, cm in zip(pa.table(fit)[name].to_pylist(), pa.table(expected)[name].to_pylist(), strict=True):
            assert found == (None if cm is None else pytest.approx(cm / 2.54, abs=1e-9))
    [(row, excess)] = fit.worst(1)
    assert row == 4 and excess == pytest.approx(8 / 2.54)


def test_ease_at_the_high_hip_is_measured_on_the_draft() -> None:
    people = pa.table({"waist": [72.0, 72.0, 72.0], "hip": [96.0, 96.0, 96.0], "high": [90.0, 91.0, None]})
    columns = {"high_hip": "high", "high_hip_depth": 10.0}
    fit = kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2, bounds={"high_hip": (-50, 50)}, columns=columns)
    assert fit.unmeasured == 1 and "ease_left_high_hip" in fit.columns
    [first, second, third] = pa.table(fit)["ease_left_high_hip"].to_pylist()
    assert first - second == pytest.approx(1, abs=1e-9) and third is None
    with pytest.raises(kirtle.InputError, match=r"bounds.high_hip: missing: give the minimum and maximum ease at the high hip"):
        kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2, columns=columns)
    with pytest.raises(kirtle.InputError, match=r"people.high_hip_depth: missing"):
        kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2, columns={"high_hip": "high"})


def test_the_fit_takes_any_library_number_type_and_chunking() -> None:
    simulated = pa.table(kirtle.simulate(5000, seed=4))
    expected = pa.table(kirtle.fit_chart(CHART, simulated, ease=EASE, tolerance=3))
    chunked = pa.concat_tables([simulated.slice(k * 50, 50) for k in range(100)])
    frame = pd.DataFrame(simulated.to_pydict())
    for source in (kirtle.simulate(5000, seed=4), chunked, chunked.to_reader(), frame, pl.DataFrame(simulated)):
        assert pa.table(kirtle.fit_chart(CHART, source, ease=EASE, tolerance=3)).equals(expected), type(source)
    integers = pa.table({"waist": pa.array([72, None], pa.int16()), "hip": pa.array([96, 97], pa.uint8())})
    fit = kirtle.fit_chart(CHART, integers, ease=EASE, tolerance=0)
    assert (fit.served, fit.unmeasured) == (1, 1)
    empty = kirtle.fit_chart(CHART, seven_people().slice(0, 0), ease=EASE, tolerance=1)
    assert (empty.count, empty.share_served, pa.table(empty).num_rows) == (0, None, 0)


def test_a_fit_keeps_columns_of_the_people() -> None:
    people = seven_people().append_column("id", pa.array([f"W{row}" for row in range(7)]))
    plain = pa.table(kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2))
    kept = kirtle.fit_chart(CHART, people.to_reader(3), ease=EASE, tolerance=2, keep="id")
    assert pa.table(kept).equals(plain.add_column(0, "id", people["id"])) and (len(kept), kept.columns[0]) == (7, "id")
    assert kirtle.fit_chart(CHART, people.slice(0, 0), ease=EASE, tolerance=2, keep="all").columns == [*people.column_names, *plain.column_names]
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.fit_chart(CHART, people.rename_columns(["waist", "hip", "size"]), ease=EASE, tolerance=2, by="band", keep="all")
    columns = "the columns are waist, hip, size"
    assert str(refused.value).splitlines() == [
        'keep[2]: another column is already named "size"', f'by: "band" is not the name of exactly one column; {columns}'
    ]


def test_invalid_arguments_are_reported_all_at_once() -> None:
    people = pa.table({"waist": ["72"], "hips": [96.0]})
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.fit_chart(CHART, people, ease=EASE, columns={"hip": "hip", "knee": 30.0}, bounds={"waist": (0, 4)})
    found = [(problem.code, problem.field) for problem in refused.value.problems]
    assert found == [
        ("unknown_choice", "columns.knee"),
        ("wrong_type", "people.waist"),
        ("unknown_choice", "people.hip"),
        ("missing", "bounds.hip"),
    ]
    with pytest.raises(TypeError, match=r"give its \.chart\(hip_depth=…, length=…\)"):
        kirtle.fit_chart(kirtle.best_chart(five_people(), 2), people, ease=EASE, tolerance=2)  # type: ignore[arg-type]
    bounds = {"waist": (4.0, 0.0), "hip": (0.0, 100.0)}
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.fit_chart(CHART, seven_people(), ease=EASE, bounds=bounds, unit="in")
    assert [problem.unit for problem in refused.value.problems] == ["in", "in"]
    assert str(refused.value).splitlines()[0] == "bounds.waist.maximum: 0 in is below the minimum of 4 in"
    with pytest.raises(kirtle.InputError, match="people.waist: 2000 cm is above the maximum of 200 cm"):
        kirtle.fit_chart(CHART, seven_people(), ease=EASE, tolerance=1, columns={"waist": 2000.0})
    with pytest.raises(TypeError, match="list offers no Arrow stream"):
        kirtle.fit_chart(CHART, [1, 2], ease=EASE, tolerance=1)


def test_a_simulated_body_depends_only_on_seed_and_row_number() -> None:
    bodies = kirtle.simulate(1000, seed=3)
    table = pa.table(bodies)
    assert (len(bodies), table.column_names) == (1000, bodies.columns)
    assert bodies.columns == ["waist", "hip", "hip_depth", "length"]
    assert table.equals(pa.table(kirtle.simulate(1000, seed=3)))
    assert table.slice(400).combine_chunks().equals(pa.table(kirtle.simulate(600, seed=3, start=400)))
    assert not table.equals(pa.table(kirtle.simulate(1000, seed=4)))
    inches = pa.table(kirtle.simulate(1000, seed=3, unit="in"))
    assert np.allclose(inches["hip"].to_numpy() * 2.54, table["hip"].to_numpy(), rtol=1e-14)
    assert repr(bodies).startswith("BodyTable(rows=1000, ")
    with pytest.raises(kirtle.InputError, match="rows: 200000000 bodies are given, at most 100000000"):
        kirtle.simulate(200_000_000)


def test_a_population_has_the_stated_means_deviations_and_correlation() -> None:
    women = kirtle.Population.ansur_women()
    assert (women.waist, women.correlation, women.length) == ((86.09, 9.99), 0.803, 60.0)
    population = kirtle.Population(waist=(30, 2), hip=(40, 2), correlation=0.7, hip_depth=(8, 0.5), length=24, unit="in")
    assert population.waist == pytest.approx((30 * 2.54, 2 * 2.54))
    twin = pickle.loads(pickle.dumps(population))
    assert twin == population and hash(population) == hash(twin)
    table = pa.table(kirtle.simulate(20_000, population=population, unit="in"))
    waist, hip = table["waist"].to_numpy(), table["hip"].to_numpy()
    assert (waist.mean(), waist.std()) == (pytest.approx(30, abs=0.06), pytest.approx(2, abs=0.05))
    assert np.corrcoef(waist, hip)[0, 1] == pytest.approx(0.7, abs=0.02)
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.Population(waist=(7, 2), hip=(96, 2), correlation=1, hip_depth=(20, 1), length=60)
    assert [problem.field for problem in refused.value.problems] == ["population.waist.mean", "population.correlation"]


def five_people() -> pa.Table:
    """Returns two pairs of similar people, and a fifth without waist."""
    return pa.table({"waist": [70.0, 72.0, 80.0, 82.0, None], "hip": [95.0, 97.0, 105.0, 107.0, 99.0]})


@pytest.mark.parametrize("options", [{}, {"drop": 25}, {"steps": (10, 10)}])
def test_the_best_chart_of_two_pairs_has_their_means(options: dict[str, Any]) -> None:
    best = kirtle.best_chart(five_people(), 2, **options)
    assert (best.measured, best.unmeasured, best.unit) == (4, 1, "cm")
    for found, expected in zip(best.sizes, [(71, 96, 0.5), (81, 106, 0.5)], strict=True):
        assert found == pytest.approx(expected, abs=2e-3)
    assert best.loss == pytest.approx(2, abs=1e-4) and best.bound <= best.loss
    assert best.gap == max(best.loss - best.bound, 0)
    assert best.chart(hip_depth=20, length=60)["2"].hip == pytest.approx(106, abs=2e-3)
    assert best.to_dict()["sizes"] == [list(size) for size in best.sizes]
    assert repr(best).startswith("BestChart(sizes=2, people=4, loss=2.0000, bound=")
    twin = pickle.loads(pickle.dumps(best))
    assert twin == best and hash(twin) == hash(best) and twin != kirtle.best_chart(five_people(), 1, **options)


@pytest.mark.parametrize(("options", "loss"), [
    ({}, {"loss_name": "squared"}),
    ({"loss": "within", "tolerance": 1.5, "unit": "in"}, {"loss_name": "within", "tolerance": 1.5}),
    ({"loss": "within", "bounds": {"waist": (0, 3), "hip": (2, 9)}, "ease": EASE}, {"loss_name": "within", "differences": [[-1.5, 1.5], [-4, 3]]}),
    ({"loss": "log_band", "band": kirtle.LogBand(small=0.01, large=0.03, small_weight=4, large_weight=1)},
     {"loss_name": "log_band", "band": {"small": 0.01, "large": 0.03, "small_weight": 4, "large_weight": 1}}),
])
def test_a_best_chart_says_its_loss_and_whom_each_size_serves(options: dict[str, Any], loss: dict[str, Any]) -> None:
    best = kirtle.best_chart(kirtle.simulate(60, seed=1, unit=options.get("unit", "cm")), 3, **options)
    report = best.to_dict()
    Draft202012Validator(kirtle.schema("best_chart")).validate(report)
    assert {name: report[name] for name in ("loss_name", "tolerance", "differences", "band") if name in report} == loss
    assert best.loss_name == report["loss_name"] and best.tolerance == report.get("tolerance")
    assert sum(best.served) == pytest.approx(1 - best.loss if best.loss_name == "within" else 0)
    assert all(served <= share for served, (_, _, share) in zip(best.served, best.sizes))


def test_best_sizes_have_the_order_of_their_chart() -> None:
    best = kirtle.best_chart(kirtle.simulate(500, seed=1), 6, loss="within", tolerance=2, certify=False)
    assert best.chart(hip_depth=20, length=60).names == list("123456")
    assert best.sizes == sorted(best.sizes, key=lambda size: size[0] + size[1]) != sorted(best.sizes, key=lambda size: size[1])


def test_results_say_how_they_were_made(tmp_path: Path) -> None:
    people, given = kirtle.simulate(50, seed=1), {"tolerance": 20.0, "columns": {"hip": "hip"}, "bootstrap": 30, "seed": 7}
    options: Any = given | {"bounds": {"waist": (0.0, 40.0)}, "unit": "mm"}
    fit = kirtle.fit_chart(CHART, pl.DataFrame(people) * 10, ease=EASE, rules=kirtle.Rules(balance=2), **options)
    made = fit.settings
    assert made == fit.to_dict()["settings"] and made.items() >= given.items() and made["bounds"] == {"waist": [0, 40]}
    assert (made["function"], made["version"], made["unit"]) == ("fit_chart", kirtle.__version__, "mm")
    assert (made["ease"], made["rules"]["balance"], made["chart"][0]["waist"]) == ({"waist": 15, "hip": 50}, 20, 600)
    options = {"loss": "within", "tolerance": 3, "grid": 2, "fixed": [(72, 96)], "drop": {14: 2}, "restarts": 3, "certify": False}
    best = kirtle.best_chart(people, 3, **options)
    assert best.to_dict()["settings"] == best.settings and best.settings["drop"] == [[14, 2]] and best.settings["restarts"] == 3
    sizes, compared = kirtle.best_sizes(people, 2, girth="hip", loss="absolute"), kirtle.compare_charts(CHART, people, splits=2, restarts=1)
    assert sizes.settings.items() >= {"function": "best_sizes", "girth": "hip", "loss": "absolute", "sizes": 2}.items()
    said = compared.to_dict()["settings"]
    assert (said["function"], said["splits"], said["seed"], said["chart"][0]["waist"]) == ("compare_charts", 2, 0, 60)
    drafts = kirtle.draft_table(people, ease=EASE, rules=kirtle.Rules(balance=2), columns={"length": 55.0}, keep="waist")
    pq.write_table(pa.table(drafts), tmp_path / "drafts.parquet")
    for table, settings in ((pq.read_table(tmp_path / "drafts.parquet"), None), (pa.table(fit), made)):
        read = json.loads(table.schema.metadata[b"kirtle.settings"])
        assert table.schema.metadata[b"kirtle.version"].decode() == kirtle.__version__ and read == (settings or read)
    drafted = json.loads(pq.read_schema(tmp_path / "drafts.parquet").metadata[b"kirtle.settings"])
    assert (drafted["ease"], drafted["columns"], drafted["rules"]["balance"]) == ({"waist": 1.5, "hip": 5}, {"length": 55}, 2)
    assert drafts.settings == drafted and people.settings == {}
    skirt = kirtle.draft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=EASE)
    errors = skirt.uncertainty({"body.hip": 1.0}, drafts=200, seed=3, unit="in").settings
    assert errors["arguments"] == {"errors": {"body.hip": 1}, "errors_unit": None, "drafts": 200, "seed": 3} and errors["unit"] == "in"
    assert kirtle.Draft.from_json(json.dumps(errors["request"])).back.width == pytest.approx(skirt.back.width)
    rates = skirt.sensitivity("ease.hip")
    assert rates.settings["arguments"] == {"by": ["ease.hip"]} and rates.settings == json.loads(pa.table(rates).schema.metadata[b"kirtle.settings"])


def test_a_pickled_fit_is_restored() -> None:
    people = pa.table({"id": list("abcdefg"), "waist": seven_people()["waist"], "hip": seven_people()["hip"]})
    fit = kirtle.fit_chart(CHART, people, ease=EASE, tolerance=2, keep="id", bootstrap=20)
    twin = pickle.loads(pickle.dumps(fit))
    assert pa.table(twin).equals(pa.table(fit), check_metadata=True) and twin.to_dict() == fit.to_dict()
    assert (twin.worst(), twin.regions(4), repr(twin)) == (fit.worst(), fit.regions(4), repr(fit))
    assert kirtle.compare_fits(fit, twin).difference == 0


def test_the_chart_of_the_best_sizes_in_inches_has_these_sizes() -> None:
    best = kirtle.best_chart(pa.table({"waist": [28.1, 32.3], "hip": [38.2, 42.7]}), 2, unit="in")
    chart = best.chart(hip_depth=8, length=24)
    assert [size[:2] for size in best.sizes] == [(28.1, 38.2), (32.3, 42.7)]
    assert chart.to_csv("in").splitlines()[1:] == ["1,28.1,38.2,8,24", "2,32.3,42.7,8,24"]
    for name, (waist, hip, _) in zip(chart.names, best.sizes, strict=True):
        assert (chart[name].waist, chart[name].hip, chart[name].hip_depth, chart[name].length) == (waist * 2.54, hip * 2.54, 20.32, 60.96)
    with pytest.raises(kirtle.InputError, match="length: 5 in is below the minimum of 5.9"):
        best.chart(hip_depth=8, length=5)


BAND = kirtle.LogBand(small=0.01, large=0.03, small_weight=4, large_weight=1)


@pytest.mark.parametrize("girth", ["waist", "hip"])
def test_the_best_sizes_by_one_girth_are_known_by_hand(girth: str) -> None:
    found = kirtle.best_sizes(five_people(), 2, girth=girth)
    assert (found.unit, found.girth) == ("cm", girth)
    if girth == "waist":
        assert found.sizes == [(71, 70, 72, 0.5), (81, 80, 82, 0.5)]
        assert (found.measured, found.unmeasured, found.loss) == (4, 1, 1)
    else:
        # The fifth person has a hip, but no waist.
        assert [size[:3] for size in found.sizes] == [(97, 95, 99), (106, 105, 107)]
        assert (found.measured, found.unmeasured) == (5, 0) and found.loss == pytest.approx((4 + 4 + 1 + 1) / 5)
    assert found.to_dict()["sizes"] == [list(size) for size in found.sizes]
    assert repr(found).startswith(f'BestSizes(unit="cm", girth="{girth}", measured={found.measured}')
    twin = pickle.loads(pickle.dumps(found))
    assert twin == found and hash(twin) == hash(found) and twin != kirtle.best_sizes(five_people(), 1, girth=girth)
    with pytest.raises(AttributeError):
        setattr(found, "loss", 0.0)


def test_survey_documents_satisfy_their_schemas() -> None:
    results: dict[str, Any] = {
        "fit": kirtle.fit_chart(CHART, seven_people(), ease=EASE, tolerance=2),
        "best_chart": kirtle.best_chart(five_people(), 2),
        "best_sizes": kirtle.best_sizes(five_people(), 2, girth="hip"),
        "comparison": kirtle.compare_charts(CHART, kirtle.simulate(100), restarts=1),
    }
    for name, result in results.items():
        document = result.to_dict()
        schema = Draft202012Validator(kirtle.schema(name))
        schema.validate(document)
        for invalid in [{**document, "colour": "red"}, {**document, "unit": "ell"}, {**document, "unmeasured": -1},
                       {key: value for key, value in document.items() if key != "unmeasured"}]:
            assert not schema.is_valid(invalid)


def test_the_best_sizes_by_waist_ignore_the_hip_column() -> None:
    table = pa.table({"W": [70.0, 71.0, 74.0, None]})
    columns = {"waist": "W", "hip": "not there"}
    loss: Any
    for loss, tolerance, expected_loss in (("squared", None, 26 / 9), ("absolute", None, 4 / 3), ("within", 0.5, 1 / 3)):
        found = kirtle.best_sizes(table, 1, girth="waist", loss=loss, tolerance=tolerance, columns=columns)
        assert found.loss == pytest.approx(expected_loss), loss
        inches = pa.table({"waist": [value and value / 2.54 for value in table["W"].to_pylist()]})
        tolerance = tolerance and tolerance / 2.54
        found_in_inches = kirtle.best_sizes(inches, 1, girth="waist", loss=loss, tolerance=tolerance, unit="in")
        assert found_in_inches.sizes[0] == (*(pytest.approx(girth / 2.54) for girth in found.sizes[0][:3]), 1)
    banded = kirtle.best_sizes(table, 1, girth="waist", loss="log_band", band=BAND, columns=columns)
    [(size, smallest, largest, share)] = banded.sizes

    def loss_of(size: float) -> float:
        logs = np.log(np.array([70, 71, 74]) / size)
        return float(np.mean(4 * np.maximum(logs - 0.01, 0) ** 2 + np.maximum(-logs - 0.03, 0) ** 2))

    assert (smallest, largest, share) == pytest.approx((70, 74, 1))
    assert banded.loss == pytest.approx(loss_of(size), rel=1e-9)
    assert all(banded.loss <= loss_of(other) + 1e-15 for other in np.linspace(70, 74, 401))


def test_a_log_band_is_a_value_and_refuses_invalid_weights() -> None:
    assert eval(repr(BAND), vars(kirtle)) == BAND and repr(BAND).startswith("LogBand(small=0.01, large=0.03, ")
    twin = pickle.loads(pickle.dumps(BAND))
    assert twin == BAND and hash(twin) == hash(BAND)
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.LogBand(small=-1, large=0.02, small_weight=0, large_weight=math.nan)
    assert [problem.field for problem in refused.value.problems] == [
        "band.small", "band.small_weight", "band.large_weight",
    ]


def test_invalid_arguments_of_best_sizes_are_refused() -> None:
    invalid: list[tuple[dict[str, Any], str]] = [
        ({"girth": "knee"}, 'girth: "knee" is not waist or hip'),
        ({"loss": "log_band"}, "band: missing: give the band of ratios, person's girth divided by size's girth, without loss"),
        ({"band": BAND}, 'band: cannot be given together with the loss "squared"'),
        ({"girth": "hip", "columns": {"hip": "hips"}},
         'people.hip: "hips" is not the name of exactly one column; the columns are waist, hip'),
    ]
    for options, message in invalid:
        with pytest.raises(kirtle.InputError) as refused:
            kirtle.best_sizes(five_people(), 2, **{"girth": "waist", **options})
        assert str(refused.value) == message
    with pytest.raises(kirtle.InputError, match="sizes: 0 is below the minimum of 1"):
        kirtle.best_sizes(five_people(), 0, girth="waist")


def test_losses_are_in_the_unit_of_the_table() -> None:
    inches = pa.table({name: [value / 2.54 for value in five_people()[name].to_pylist()[:4]] for name in ("waist", "hip")})
    for loss, cm in (("squared", 2 / 2.54**2), ("absolute", 2 / 2.54)):
        best = kirtle.best_chart(inches, 2, loss=loss, unit="in")
        assert best.loss == pytest.approx(cm)
    within = kirtle.best_chart(inches, 1, loss="within", tolerance=1.001 / 2.54, unit="in")
    assert within.loss == 0.5


@pytest.mark.parametrize("steps", [None, (4, 4)])
def test_the_log_band_loss_of_a_chart_is_that_of_its_definition(steps: tuple[float, float] | None) -> None:
    women = pa.table(kirtle.simulate(500, seed=2))
    best = kirtle.best_chart(women, 8, loss="log_band", band=BAND, restarts=4, steps=steps)
    logs = np.stack([np.log(women[girth].to_numpy()) for girth in ("waist", "hip")])
    sizes = np.log(np.array([size[:2] for size in best.sizes]))
    above = logs[:, :, None] - sizes.T[:, None, :]
    losses = 4 * np.maximum(above - 0.01, 0) ** 2 + np.maximum(-above - 0.03, 0) ** 2
    assert best.loss == pytest.approx(losses.sum(axis=0).min(axis=1).mean(), rel=1e-9)
    one_girth_losses = [kirtle.best_sizes(women, 8, girth=girth, loss="log_band", band=BAND).loss for girth in ("waist", "hip")]
    assert sum(one_girth_losses) <= best.bound * (1 + 1e-9) and best.bound <= best.loss
    # The loss is a function of ratios, so inches give the same loss.
    inches = kirtle.simulate(500, seed=2, unit="in")
    per_inch = steps and (steps[0] / 2.54, steps[1] / 2.54)
    best_in_inches = kirtle.best_chart(inches, 8, loss="log_band", band=BAND, restarts=4, steps=per_inch, unit="in")
    assert best_in_inches.loss == pytest.approx(best.loss, rel=1e-3)


def test_the_best_chart_serves_more_than_the_demo_chart_and_is_reproducible() -> None:
    women = kirtle.simulate(500, seed=1)
    best = kirtle.best_chart(women, 12, loss="within", tolerance=3, steps=(4, 4))
    chart = best.chart(hip_depth=20, length=60)
    fits = [kirtle.fit_chart(sizes, women, ease=EASE, tolerance=3) for sizes in (chart, CHART)]
    assert fits[0].share_served == pytest.approx(1 - best.loss)
    assert fits[0].served > fits[1].served
    again = kirtle.best_chart(women, 12, loss="within", tolerance=3, steps=(4, 4))
    assert again.sizes == best.sizes


@pytest.mark.parametrize("loss", [{"loss": "squared"}, {"loss": "within", "tolerance": 3}, {"loss": "log_band", "band": BAND}])
def test_charts_are_compared_on_people_held_out(loss: dict[str, Any]) -> None:
    women = pa.table(kirtle.simulate(1000, seed=1))
    with_nulls = pa.concat_tables([women.select(["waist", "hip"]), pa.table({"waist": [None, 80.0], "hip": [99.0, math.nan]})])
    compared = kirtle.compare_charts(CHART, with_nulls, restarts=1, seed=3, **loss)
    assert compared.training + compared.held_out == 1000 and 400 < compared.training < 600
    assert (compared.unmeasured, compared.unit, len(compared.sizes)) == (2, "cm", len(CHART))
    assert compared.best_loss < compared.given_loss
    assert compared.training != kirtle.compare_charts(CHART, women, restarts=1, seed=4, **loss).training
    if loss["loss"] == "within":
        served = kirtle.fit_chart(CHART, women, ease=EASE, tolerance=3).share_served
        assert 1 - compared.given_loss == pytest.approx(served, abs=0.05)
    if loss["loss"] == "squared":
        inches = kirtle.simulate(1000, seed=1, unit="in")
        in_inches = kirtle.compare_charts(CHART, inches, restarts=1, seed=3, unit="in")
        assert in_inches.given_loss * 2.54**2 == pytest.approx(compared.given_loss)
        assert in_inches.sizes[0][0] * 2.54 == pytest.approx(compared.sizes[0][0])
    assert compared.to_dict()["given_loss"] == compared.given_loss
    counts = f"training={compared.training}, held_out={compared.held_out}, unmeasured=2"
    assert repr(compared).startswith(f'ChartComparison(unit="cm", {counts}, sizes=[')
    twin = pickle.loads(pickle.dumps(compared))
    assert twin == compared and hash(twin) == hash(compared)


def test_invalid_arguments_of_compare_charts_are_refused() -> None:
    one = five_people().slice(0, 1)
    with pytest.raises(kirtle.InputError, match="waist: 0 numbers are given, at least 1 number needed"):
        kirtle.compare_charts(CHART, one)
    with pytest.raises(kirtle.InputError, match="search.restarts: 0 is below the minimum of 1"):
        kirtle.compare_charts(CHART, five_people(), restarts=0)


def test_invalid_arguments_of_best_chart_are_refused() -> None:
    invalid: list[tuple[dict[str, Any], str]] = [
        ({"loss": "cubic"}, 'loss: "cubic" is not squared, absolute, within or log_band'),
        ({"loss": "within"}, "tolerance: missing: give the largest difference between a person's girth and a size's girth at which the size serves the person"),
        ({"tolerance": 2}, 'tolerance: cannot be given together with the loss "squared"'),
        ({"loss": "log_band"}, "band: missing: give the band of ratios, person's girth divided by size's girth, without loss"),
        ({"drop": [25, 101]}, "drop[1]: 101 cm is above the maximum of 100 cm"),
        ({"drop": {25: 2, 20: 1}}, "drop: 3 sizes are given, at most 2 sizes allowed"),
        ({"drop": 25, "drop_classes": 2}, "drop: cannot be given together with drop_classes"),
        ({"drop_classes": 0}, "drop: 0 drops are given, at least 1 drop needed"),
        ({"min_share": 0.3, "steps": (4, 4)}, "min_share: cannot be given together with steps"),
        ({"drop": 25, "steps": (4, 4)}, "drop: cannot be given together with steps"),
        ({"restarts": 0}, "search.restarts: 0 is below the minimum of 1"),
        ({"columns": {"hip": "hips"}}, 'people.hip: "hips" is not the name of exactly one column; the columns are waist, hip'),
    ]
    for options, message in invalid:
        with pytest.raises(kirtle.InputError) as refused:
            kirtle.best_chart(five_people(), 2, **options)
        assert str(refused.value) == message


def test_people_whom_no_size_with_the_drop_serves_are_given_the_nearest_size() -> None:
    person = pa.table({"waist": [76.0], "hip": [96.9]})
    best = kirtle.best_chart(person, 3, loss="within", tolerance=2, drop=25)
    assert (len(best.sizes), best.loss, best.bound) == (1, 1.0, 1.0)
    assert len(kirtle.best_chart(person, 5, steps=(4, 4)).sizes) == 5


def test_a_fault_in_the_code_is_raised_as_a_fault_of_kirtle() -> None:
    with pytest.raises(kirtle.InternalError) as fault:
        _panic()
    assert str(fault.value) == (
        "a fault in Kirtle, not in the input; please report it with the input of the call: a test of the exception"
    )


SIXTY_SIZES = kirtle.best_chart(kirtle.simulate(2000), 60, steps=(1, 1), restarts=1).chart(hip_depth=20, length=60)

LONG_CALLS: dict[str, tuple[int, Callable[[pa.Table], object]]] = {
    "fit": (1_000_000, lambda table: kirtle.fit_chart(SIXTY_SIZES, table, ease=EASE, tolerance=2)),
    "best sizes": (400_000, lambda table: kirtle.best_sizes(table, 20, girth="waist")),
    "best sizes by log band": (30_000, lambda table: kirtle.best_sizes(table, 10, girth="hip", loss="log_band", band=BAND)),
    "best chart": (200_000, lambda table: kirtle.best_chart(table, 12, restarts=1)),
    "best chart by tolerance": (200_000, lambda table: kirtle.best_chart(table, 12, loss="within", tolerance=3, restarts=2)),
    "best chart with steps": (100_000, lambda table: kirtle.best_chart(table, 12, steps=(4, 4), restarts=4)),
    "best chart with drop": (1_000_000, lambda table: kirtle.best_chart(table, 20, drop=16)),
    "comparison": (400_000, lambda table: kirtle.compare_charts(CHART, table, restarts=1)),
}


@pytest.mark.parametrize("name", LONG_CALLS)
def test_signal_handlers_run_during_long_calls(name: str) -> None:
    rows, work = LONG_CALLS[name]
    table = pa.table(kirtle.simulate(rows, seed=1))
    alarms = 0

    def count_alarm(*_: object) -> None:
        nonlocal alarms
        alarms += 1
        if alarms == 3:
            raise TimeoutError

    before = signal.signal(signal.SIGALRM, count_alarm)
    signal.setitimer(signal.ITIMER_REAL, 0.02, 0.02)
    try:
        # Without signal checks during the call, Python runs the handler at most twice: at the start and at the end.
        with pytest.raises(TimeoutError):
            work(table)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)


@pytest.mark.usefixtures("sigint_enabled")
def test_ctrl_c_ends_a_search() -> None:
    women = kirtle.simulate(100_000, seed=1)
    timer = threading.Timer(0.5, os.kill, (os.getpid(), signal.SIGINT))
    timer.start()
    start = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        # Without the interrupt this search takes minutes.
        kirtle.best_chart(women, 20, restarts=10_000)
    assert time.monotonic() - start < 30
    timer.join()
    # The next search is not affected.
    assert len(kirtle.best_chart(kirtle.simulate(100, seed=1), 2, restarts=1).sizes) == 2
