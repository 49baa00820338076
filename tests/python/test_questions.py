"""Derivatives, standard errors, solutions for a target and ease by level, from Python."""

import copy
import json
import pickle
from collections.abc import Callable
from typing import Any

import duckdb
import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest

import kirtle

BODY = kirtle.Body(waist=74, hip=96, hip_depth=20, length=60)
DRAFT = kirtle.draft(BODY, ease=kirtle.Ease(waist=1.5, hip=5))
ERRORS = kirtle.StandardErrors({"body.waist": 0.5, "body.hip": 0.7})


def test_quantities_are_read_by_name_in_both_units() -> None:
    numbers = DRAFT.quantities()
    assert numbers["suppression.total"] == DRAFT.suppression.total
    assert numbers["back.darts[1].intake"] == DRAFT.back.darts[1].intake
    assert numbers["front.waist_seam"] == pytest.approx(DRAFT.front.seams.waist, abs=1e-12)
    inches = DRAFT.quantities(unit="in")
    assert inches["back.width"] == pytest.approx(numbers["back.width"] / 2.54, rel=1e-15)
    assert inches["side_angle"] == numbers["side_angle"]


def quantities_with_hip(hip: float) -> dict[str, float]:
    """Returns the quantities of DRAFT with another hip."""
    body = kirtle.Body(waist=74, hip=hip, hip_depth=20, length=60)
    return kirtle.draft(body, ease=DRAFT.ease).quantities()


def test_derivatives_agree_with_central_differences() -> None:
    sensitivity = DRAFT.sensitivity()
    assert sensitivity.inputs[:2] == ["body.waist", "body.hip"]
    assert "rules.side_fullness" in sensitivity.inputs
    smaller, larger = quantities_with_hip(96 - 1e-4), quantities_with_hip(96 + 1e-4)
    for name, value in zip(sensitivity.quantities, sensitivity.values):
        assert value == DRAFT.quantities()[name]
        difference = (larger[name] - smaller[name]) / 2e-4
        assert sensitivity[name, "body.hip"] == pytest.approx(difference, rel=1e-6, abs=1e-7), name


def test_a_sensitivity_converts_to_a_table_and_a_matrix() -> None:
    sensitivity = DRAFT.sensitivity(["ease.hip", "rules.balance"])
    matrix = np.array(sensitivity.matrix)
    assert matrix.shape == (len(sensitivity.quantities), 2)
    table = pa.table(sensitivity)
    assert table.column_names == ["quantity", "unit", "value", "ease.hip", "rules.balance"] == sensitivity.columns
    assert np.array_equal(np.array(table["ease.hip"]), matrix[:, 0])
    assert set(table["unit"].to_pylist()) == set(sensitivity.units) == {"", "cm", "cm²", "deg"}
    assert sensitivity.input_units == ["cm", "cm"] and DRAFT.sensitivity(["rules.side_fullness"]).input_units == [""]
    assert len(sensitivity) == table.num_rows == pl.DataFrame(sensitivity).height
    rows = duckdb.sql("select \"rules.balance\" from sensitivity where quantity = 'front.width'")
    assert rows is not None and rows.fetchall() == [(1.0,)]


def test_derivatives_and_errors_convert_to_inches() -> None:
    cm, inches = DRAFT.sensitivity(["body.hip"]), DRAFT.sensitivity(["body.hip"], unit="in")
    assert inches["back.area", "body.hip"] == pytest.approx(cm["back.area", "body.hip"] / 2.54, rel=1e-14)
    assert DRAFT.uncertainty(kirtle.StandardErrors({"body.hip": 1}), unit="in")["back.width"] == pytest.approx(0.25, rel=1e-14)
    width_errors = [DRAFT.uncertainty(kirtle.StandardErrors.iso_20685(unit), unit=unit)["back.width"] for unit in ("cm", "in")]
    assert width_errors[1] * 2.54 == pytest.approx(width_errors[0], rel=1e-12)


def test_a_draft_in_inches_is_asked_in_inches_and_errors_keep_their_unit() -> None:
    body = kirtle.Body(waist=29.125, hip=39.75, hip_depth=8, length=24.5, unit="in")
    draft = kirtle.draft(body, ease=kirtle.Ease(waist=0.5, hip=2, unit="in"))
    assert draft.vary({"ease.hip": 3}).ease.hip == 3 * 2.54 and json.loads(draft.to_request())["body"]["waist"] == 29.125
    assert {draft.sensitivity().unit, draft.seek("ease.hip", "back.darts", 1).unit, draft.ease_by_level().unit} == {"in"}
    assert draft.quantities() == draft.quantities(unit="in")
    iso = kirtle.StandardErrors.iso_20685()
    for errors in (iso, kirtle.StandardErrors({"body.hip": 0.9}, unit="cm"), kirtle.StandardErrors.with_covariance(["body.hip"], [[0.81]], unit="cm")):
        inches, cm = draft.uncertainty(errors), draft.uncertainty(errors, unit="cm")
        assert errors.unit == "cm" and pickle.loads(pickle.dumps(errors)) == errors
        assert inches["back.width"] * 2.54 == pytest.approx(cm["back.width"]) == pytest.approx(0.225) and inches.note == cm.note


def test_the_high_hip_of_a_figure_counts_for_the_ease_by_level() -> None:
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=kirtle.Figure(high_hip=98, high_hip_depth=10))
    draft = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5))
    assert draft.ease_by_level() == draft.ease_by_level(high_hip=98, high_hip_depth=10) != draft.ease_by_level(high_hip=97, high_hip_depth=10)
    assert draft.ease_by_level(unit="in").tightest[1] == pytest.approx(draft.ease_by_level().tightest[1] / 2.54)


def test_a_spread_of_few_drafts_is_not_advised_and_one_of_none_refused() -> None:
    half = DRAFT.uncertainty({"rules.centre_back_in": 0.2})
    assert half.refused > 400 and half.note.partition(": ")[2].startswith("mean and spread are those of the other drafts only, so rely on neither")
    mean = dict(zip(half.quantities, half.mean, strict=True))["back.width"]
    assert half["back.width", "mean"] == mean == pa.table(half)["mean"].to_pylist()[half.quantities.index("back.width")]
    body = kirtle.Body(waist=70, hip=96, hip_depth=18, length=60, figure=kirtle.Figure(front_hip=50))
    with pytest.raises(kirtle.InputError, match="rules.balance: .* not used"):
        kirtle.draft(body, ease=DRAFT.ease).uncertainty({"rules.balance": 0.5})


def test_independent_standard_errors_add_in_quadrature() -> None:
    uncertainty = DRAFT.uncertainty(ERRORS)
    sensitivity = DRAFT.sensitivity(["body.waist", "body.hip"])
    expected = np.sqrt(((np.array(sensitivity.matrix) * [0.5, 0.7]) ** 2).sum(axis=1))
    assert np.allclose(uncertainty.standard_errors, expected, rtol=1e-12, atol=1e-15)
    table = pa.table(uncertainty)
    assert table["standard_error"].to_pylist() == uncertainty.standard_errors
    assert table["spread"].to_pylist() == uncertainty.spread and table.schema.metadata[b"kirtle.note"].decode() == uncertainty.note
    assert uncertainty["back.width"] == pytest.approx(0.175, rel=1e-12)


def test_standard_errors_follow_from_a_covariance_matrix() -> None:
    covariance = np.array([[0.25, 0.2], [0.2, 0.49]])
    errors = kirtle.StandardErrors.with_covariance(["body.waist", "body.hip"], covariance.tolist())
    assert np.array_equal(errors.covariance, covariance)
    matrix = np.array(DRAFT.sensitivity(errors.names).matrix)
    expected = np.sqrt(np.einsum("ri,ij,rj->r", matrix, covariance, matrix))
    assert np.allclose(DRAFT.uncertainty(errors).standard_errors, expected, rtol=1e-9, atol=1e-9)


def test_an_ellipse_has_the_principal_axes_of_its_points_covariance() -> None:
    uncertainty = DRAFT.uncertainty(kirtle.StandardErrors.iso_20685())
    matrix = np.array(DRAFT.sensitivity(["body.waist", "body.hip", "body.hip_depth"]).matrix) * [0.9, 0.9, 0.5]
    rows = dict(zip(uncertainty.quantities, matrix))
    for ellipse in uncertainty.ellipses:
        point = f"{ellipse.panel}.{ellipse.point}"
        xy_rows = np.array([rows[f"{point}.x"], rows[f"{point}.y"]])
        values, vectors = np.linalg.eigh(xy_rows @ xy_rows.T)
        assert np.sqrt(values.clip(0))[::-1] == pytest.approx(ellipse.semi_axes, abs=1e-7)
        direction = np.array([np.cos(np.radians(ellipse.angle_deg)), np.sin(np.radians(ellipse.angle_deg))])
        if ellipse.semi_axes[0] > ellipse.semi_axes[1] + 1e-6:
            assert abs(direction @ vectors[:, 1]) == pytest.approx(1, abs=1e-9)


def test_seek_finds_the_input_for_a_target() -> None:
    one_dart = DRAFT.seek("ease.hip", "back.darts", 1)
    assert (one_dart.input, len(one_dart.draft.back.darts)) == ("ease.hip", 1)
    assert one_dart.interval == (-10, one_dart.value)
    intake = DRAFT.seek("ease.hip", "back.darts[0].intake", 2)
    assert intake.draft.back.darts[0].intake == pytest.approx(2, abs=1e-10)
    girth = DRAFT.seek("rules.side_fullness", "girth", DRAFT.girth_at(8) + 0.5, level=8)
    assert girth.draft.girth_at(8) == pytest.approx(DRAFT.girth_at(8) + 0.5, abs=1e-10)
    inches = DRAFT.seek("ease.hip", "girth", DRAFT.girth_at(5.08) / 2.54 + 1, level=2, unit="in")
    assert inches.draft.girth_at(2) == pytest.approx(DRAFT.girth_at(5.08) / 2.54 + 1, abs=1e-9)
    assert inches.value * 2.54 == pytest.approx(inches.draft.ease.hip, rel=1e-12)


def test_ease_by_level_is_garment_minus_body() -> None:
    ease = DRAFT.ease_by_level(high_hip=90, high_hip_depth=9, step=1)
    assert ease.ease[0] == pytest.approx(1.5, abs=1e-9) and ease.ease[-1] == pytest.approx(5, abs=1e-9)
    assert np.allclose(np.array(ease.garment) - ease.body, ease.ease)
    assert ease.body[ease.levels.index(9)] == pytest.approx(90, abs=1e-9)
    assert ease.tightest[1] <= min(ease.ease) + 0.01 and ease.hip_line == 20
    table = pa.table(ease)
    assert table.column_names == ["level", "garment", "body", "ease"]
    assert table["ease"].to_pylist() == ease.ease
    assert [finding.code for finding in ease.findings] == []
    scant = kirtle.draft(BODY, ease=kirtle.Ease(waist=0, hip=2)).ease_by_level()
    assert [finding.code for finding in scant.findings] == ["little_waist_ease", "little_hip_ease"]


@pytest.mark.parametrize(
    "instance",
    [
        DRAFT.sensitivity(["ease.hip"], unit="in"),
        DRAFT.uncertainty(ERRORS),
        DRAFT.ease_by_level(high_hip=90, high_hip_depth=9),
        DRAFT.ease_by_level(step=2, unit="in"),
        DRAFT.seek("ease.hip", "girth", 37, level=4, between=(0, 4), unit="in"),
        ERRORS,
        kirtle.StandardErrors.with_covariance(["body.hip"], [[0.3]]),
    ],
    ids=lambda instance: type(instance).__name__,
)
def test_results_can_be_pickled_copied_compared_and_hashed(instance: object) -> None:
    for twin in (pickle.loads(pickle.dumps(instance)), copy.deepcopy(instance)):
        assert twin == instance and hash(twin) == hash(instance) and repr(twin) == repr(instance)
    assert instance != object()


@pytest.mark.parametrize("errors", [ERRORS, kirtle.StandardErrors.with_covariance(["body.hip", "ease.hip"], [[1, 0.5], [0.5, 1]])])
def test_the_repr_of_standard_errors_is_code_that_rebuilds_them(errors: kirtle.StandardErrors) -> None:
    assert eval(repr(errors), vars(kirtle)) == errors


def test_the_name_of_a_column_is_a_name_of_its_quantity() -> None:
    derivatives, errors = DRAFT.sensitivity(), DRAFT.uncertainty(kirtle.StandardErrors({"body.hip": 1}))
    for column, name in {"back_dart1_intake": "back.darts[0].intake", "front_width": "front.width", "side_seam": "side_seam"}.items():
        assert derivatives[column, "ease.hip"] == derivatives[name, "ease.hip"] and errors[column] == errors[name]
    assert DRAFT.seek("ease.hip", "back_dart1_intake", 2).value == DRAFT.seek("ease.hip", "back.darts[0].intake", 2).value
    with pytest.raises(kirtle.InputError, match=r"did you mean back.darts\[0\].intake, ") as wrong:
        DRAFT.seek("ease.hip", "back_dart1_intak", 2)
    assert len(wrong.value.problems[0].choices) == len(derivatives.quantities)


def test_attributes_of_a_draft_are_names_of_their_quantities() -> None:
    derivatives, errors = DRAFT.sensitivity(), DRAFT.uncertainty(kirtle.StandardErrors({"body.hip": 1}))
    paths = [f"girths.{name}" for name in ("waist", "hip", "hem")] + [f"lengths.{name}" for name in ("centre_back", "centre_front", "side")]
    for path in paths + [f"{half}.seams.{name}" for half in ("back", "front") for name in ("waist", "centre", "side")]:
        value: Any = DRAFT
        for name in path.split("."):
            value = getattr(value, name)
        assert derivatives.values[derivatives.row(path)] == pytest.approx(value, rel=1e-12)
    assert errors["girths.hem"] == errors["hem_girth"] == errors["hip_girth", "standard_error"] == pytest.approx(1)
    assert errors["back_dart1_intake", "spread"] == errors["back.darts[0].intake", "spread"] != errors["back_dart1_intake"]


def test_an_unknown_name_is_answered_with_names_that_fit() -> None:
    for name, hint in (("back_darts", "rules.shares.back_darts, "), ("rules.shares.back_dart", "rules.shares.back_darts, "), ("body.front_hip", "body.figure.front_hip, ")):
        with pytest.raises(kirtle.InputError, match=f"not one of 33 names: did you mean {hint}"):
            DRAFT.vary({name: 1})
    with pytest.raises(kirtle.InputError, match=r'quantity: "mouth" is not one of 81 names$'):
        DRAFT.sensitivity()["mouth", "ease.hip"]
    with pytest.raises(TypeError, match="ease.hip: must be real number, not str"):
        DRAFT.vary({"ease.hip": "wide"})  # type: ignore[dict-item]


INVALID: list[tuple[Callable[[], object], str]] = [
    (lambda: DRAFT.sensitivity(["ease.knee"]), 'by: "ease.knee" is not one of 24 names: did you mean ease.'),
    (lambda: DRAFT.sensitivity()["back.knee", "ease.hip"], 'quantity: "back.knee" is not one of 81 names: did you mean back.'),
    (lambda: DRAFT.uncertainty(kirtle.StandardErrors({"body.knee": 1})), 'by: "body.knee" is not one of 24 names: did you mean body.'),
    (lambda: DRAFT.uncertainty(kirtle.StandardErrors({})), "errors: missing: give the standard error of at least one input"),
    (lambda: kirtle.StandardErrors({"body.hip": -1}), "errors.body.hip: -1 is below the minimum of 0"),
    (lambda: kirtle.StandardErrors.with_covariance(["body.hip"], [[-1]]), "covariance: not a covariance matrix: "),
    (lambda: kirtle.StandardErrors.with_covariance(["body.hip"], []), "covariance: a list of length 0 is not "),
    (lambda: DRAFT.seek("ease.hip", "back.darts", 3), "darts: 3 cannot be reached: ease.hip from -10 to 60 cm gives 1 to 2"),
    (lambda: DRAFT.seek("ease.hip", "back.darts", 1.5), "value: 1.5 is not a whole number of darts"),
    (lambda: DRAFT.seek("ease.hip", "girth", 90), "level: missing: give how far below the waist the girth lies"),
    (lambda: DRAFT.seek("ease.hip", "back.width", 20, level=3), 'level: cannot be given together with "back.width"'),
    (lambda: DRAFT.seek("ease.hip", "back.width", 900), "value: 900 cm cannot be reached: ease.hip from -10 to 60 cm gives "),
    (lambda: DRAFT.seek("ease.hip", "back.width", 20, between=(3, 2)), "between: 3 to 2 is not a range with the smaller value first"),
    (lambda: kirtle.Ellipse.growth(1), "probability: 1 is above the maximum of 0.999999"),
    (lambda: kirtle.Ellipse.growth(float("nan")), "probability: NaN is not finite; give a number from 0 to 0.999999"),
    (lambda: DRAFT.ease_by_level(high_hip=35, unit="in"), "high_hip_depth: missing: give a number from 0.4 to 15.35 in"),
    (lambda: DRAFT.ease_by_level(high_hip=90), "high_hip_depth: missing: give a number from 1 to 39 cm"),
    (lambda: DRAFT.ease_by_level(step=0), "step: 0 cm is below the minimum of 0.1 cm"),
]


@pytest.mark.parametrize(("call", "message"), INVALID, ids=[message[:30] for _, message in INVALID])
def test_invalid_arguments_are_refused(call: Callable[[], object], message: str) -> None:
    with pytest.raises(kirtle.InputError) as refused:
        call()
    assert str(refused.value).startswith(message)


def test_an_error_or_a_spread_is_asked_for_by_name_and_errors_are_a_mapping_too() -> None:
    uncertainty = DRAFT.uncertainty({"body.waist": 0.5, "body.hip": 0.7})
    assert uncertainty == DRAFT.uncertainty(kirtle.StandardErrors({"body.waist": 0.5, "body.hip": 0.7}))
    assert pickle.loads(pickle.dumps(uncertainty)) == uncertainty
    spreads = dict(zip(uncertainty.quantities, uncertainty.spread, strict=True))
    assert uncertainty["back.width", "spread"] == spreads["back.width"] != uncertainty["back.width"]
    assert uncertainty["back.width", "standard_error"] == uncertainty["back.width"]
    series = pd.Series({"body.waist": 0.25, "body.hip": 0.49})
    assert DRAFT.uncertainty(series**0.5) == uncertainty
    for matrix in (pd.DataFrame(np.diag(series)), pl.DataFrame(np.diag(series)), np.diag(series)):
        assert kirtle.StandardErrors.with_covariance(list(series.index), matrix).covariance == [[0.25, 0], [0, 0.49]]  # type: ignore[arg-type]
    assert kirtle.StandardErrors({"body.waist": 5}, unit="mm").unit == "mm"
    assert DRAFT.uncertainty(kirtle.StandardErrors({"body.waist": 5}, unit="mm"))["back.width"] == DRAFT.uncertainty({"body.waist": 0.5})["back.width"]
    for names, message in ((("back.width", "value"), 'column: "value" is not "standard_error" or "spread"'), ("back.knee", "quantity: .*back.knee")):
        with pytest.raises(kirtle.InputError, match=message):
            uncertainty[names]


def test_a_varied_draft_has_other_inputs_and_derivatives_are_its_small_differences() -> None:
    rate = DRAFT.sensitivity(["rules.balance"])["front.width", "rules.balance"]
    assert DRAFT.vary({"rules.balance": DRAFT.rules.balance + 0.5}).front.width - DRAFT.front.width == pytest.approx(0.5 * rate)
    assert DRAFT.vary({"ease.hip": 2}, unit="in") == DRAFT.vary({"ease.hip": 5.08}) and DRAFT.vary({}) == DRAFT
    with pytest.raises(kirtle.InputError, match="body.waist: 2 in is below the minimum of 15.75 in"):
        DRAFT.vary({"body.waist": 2}, unit="in")


def test_uncertainty_says_how_often_the_number_of_darts_changes_and_how_far_quantities_spread() -> None:
    draft = kirtle.draft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=kirtle.Ease(waist=1.5, hip=5))
    errors = kirtle.StandardErrors.iso_20685()
    uncertainty = draft.uncertainty(errors, drafts=50_000, seed=3)
    rng, rows = np.random.default_rng(1), 50_000
    bodies = pa.table({name: rng.normal(mean, error, rows) for name, mean, error in (("waist", 74, 0.9), ("hip", 101, 0.9), ("hip_depth", 20.5, 0.5))})
    table = pa.table(kirtle.draft_table(bodies, columns={"length": 62}, ease=draft.ease))
    counts = [table[name].to_numpy() for name in ("back_darts", "front_darts")]
    others = np.mean((counts[0] != 2) | (counts[1] != 2))
    assert uncertainty.other_darts / 50_000 == pytest.approx(others, abs=0.01) and uncertainty.refused == 0
    assert f"{100 * uncertainty.other_darts / 50_000:.1f} % have another number of darts" in uncertainty.note
    spread = dict(zip(uncertainty.quantities, uncertainty.spread, strict=True))
    for name, column in (("front.darts[0].intake", "front_dart1_intake"), ("back.darts[1].length", "back_dart2_length"), ("side_seam", "side_seam")):
        assert spread[name] == pytest.approx(np.nanstd(np.asarray(table[column].to_numpy(), float)), rel=0.02), name
    assert spread["front.darts[0].intake"] > 8 * uncertainty["front.darts[0].intake"]
    assert pickle.loads(pickle.dumps(uncertainty)).spread == uncertainty.spread
    with pytest.raises(kirtle.InputError, match="drafts: 99 is below the minimum of 100"):
        draft.uncertainty(errors, drafts=99)
