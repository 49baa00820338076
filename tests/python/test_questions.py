"""Derivatives, standard errors, questions asked backwards and the ease at all levels, from Python."""

import copy
import pickle
from collections.abc import Callable

import duckdb
import numpy as np
import polars as pl
import pyarrow as pa
import pytest

import kirtle

BODY = kirtle.Body(waist=74, hip=96, hip_depth=20, length=60)
DRAFT = kirtle.draft(BODY, ease=kirtle.Ease(waist=1.5, hip=5))
ERRORS = kirtle.StandardErrors({"body.waist": 0.5, "body.hip": 0.7})


def test_numbers_by_name() -> None:
    numbers = DRAFT.quantities()
    assert numbers["suppression.total"] == DRAFT.suppression.total
    assert numbers["back.darts[1].intake"] == DRAFT.back.darts[1].intake
    assert numbers["front.waist_seam"] == pytest.approx(DRAFT.front.seams.waist, abs=1e-12)
    inches = DRAFT.quantities(unit="in")
    assert inches["back.width"] == pytest.approx(numbers["back.width"] / 2.54, rel=1e-15)
    assert inches["side_angle"] == numbers["side_angle"]


def with_hip(hip: float) -> dict[str, float]:
    body = kirtle.Body(waist=74, hip=hip, hip_depth=20, length=60)
    return kirtle.draft(body, ease=DRAFT.ease).quantities()


def test_derivatives_are_those_of_drafts_side_by_side() -> None:
    sensitivity = DRAFT.sensitivity()
    assert sensitivity.inputs[:2] == ["body.waist", "body.hip"]
    assert "rules.side_fullness" in sensitivity.inputs
    less, more = with_hip(96 - 1e-4), with_hip(96 + 1e-4)
    for name, value in zip(sensitivity.quantities, sensitivity.values):
        assert value == DRAFT.quantities()[name]
        difference = (more[name] - less[name]) / 2e-4
        assert sensitivity[name, "body.hip"] == pytest.approx(difference, rel=1e-6, abs=1e-7), name


def test_a_sensitivity_is_a_table_and_a_matrix() -> None:
    sensitivity = DRAFT.sensitivity(["ease.hip", "rules.balance"])
    matrix = np.array(sensitivity.matrix)
    assert matrix.shape == (len(sensitivity.quantities), 2)
    table = pa.table(sensitivity)
    assert table.column_names == ["quantity", "unit", "value", "ease.hip", "rules.balance"] == sensitivity.columns
    assert np.array_equal(np.array(table["ease.hip"]), matrix[:, 0])
    assert set(table["unit"].to_pylist()) == set(sensitivity.units) == {"cm", "cm²", "deg"}
    assert sensitivity.input_units == ["cm", "cm"] and DRAFT.sensitivity(["rules.side_fullness"]).input_units == [""]
    assert len(sensitivity) == table.num_rows == pl.DataFrame(sensitivity).height
    found = duckdb.sql("select \"rules.balance\" from sensitivity where quantity = 'front.width'")
    assert found is not None and found.fetchall() == [(1.0,)]


def test_inches_on_both_sides() -> None:
    cm, inches = DRAFT.sensitivity(["body.hip"]), DRAFT.sensitivity(["body.hip"], unit="in")
    assert inches["back.area", "body.hip"] == pytest.approx(cm["back.area", "body.hip"] / 2.54, rel=1e-14)
    assert DRAFT.uncertainty(kirtle.StandardErrors({"body.hip": 1}), unit="in")["back.width"] == pytest.approx(0.25, rel=1e-14)
    published = [DRAFT.uncertainty(kirtle.StandardErrors.iso_20685(unit), unit=unit)["back.width"] for unit in ("cm", "in")]
    assert published[1] * 2.54 == pytest.approx(published[0], rel=1e-12)


def test_standard_errors_add_up() -> None:
    uncertainty = DRAFT.uncertainty(ERRORS)
    sensitivity = DRAFT.sensitivity(["body.waist", "body.hip"])
    expected = np.sqrt(((np.array(sensitivity.matrix) * [0.5, 0.7]) ** 2).sum(axis=1))
    assert np.allclose(uncertainty.standard_errors, expected, rtol=1e-12, atol=1e-15)
    table = pa.table(uncertainty)
    assert table["standard_error"].to_pylist() == uncertainty.standard_errors
    assert uncertainty["back.width"] == pytest.approx(0.175, rel=1e-12)


def test_a_covariance_from_numpy() -> None:
    covariance = np.array([[0.25, 0.2], [0.2, 0.49]])
    errors = kirtle.StandardErrors.with_covariance(["body.waist", "body.hip"], covariance.tolist())
    assert np.array_equal(errors.covariance, covariance)
    matrix = np.array(DRAFT.sensitivity(errors.names).matrix)
    expected = np.sqrt(np.einsum("ri,ij,rj->r", matrix, covariance, matrix))
    assert np.allclose(DRAFT.uncertainty(errors).standard_errors, expected, rtol=1e-9, atol=1e-9)


def test_an_ellipse_is_the_spread_of_its_point() -> None:
    uncertainty = DRAFT.uncertainty(kirtle.StandardErrors.iso_20685())
    matrix = np.array(DRAFT.sensitivity(["body.waist", "body.hip", "body.hip_depth"]).matrix) * [0.9, 0.9, 0.5]
    rows = dict(zip(uncertainty.quantities, matrix))
    for ellipse in uncertainty.ellipses:
        point = f"{ellipse.panel}.{ellipse.point}"
        both = np.array([rows[f"{point}.x"], rows[f"{point}.y"]])
        values, vectors = np.linalg.eigh(both @ both.T)
        assert np.sqrt(values.clip(0))[::-1] == pytest.approx(ellipse.semi_axes, abs=1e-7)
        along = np.array([np.cos(np.radians(ellipse.angle_deg)), np.sin(np.radians(ellipse.angle_deg))])
        if ellipse.semi_axes[0] > ellipse.semi_axes[1] + 1e-6:
            assert abs(along @ vectors[:, 1]) == pytest.approx(1, abs=1e-9)


def test_questions_asked_backwards() -> None:
    answer = DRAFT.seek("ease.hip", "back.darts", 1)
    assert (answer.input, len(answer.draft.back.darts)) == ("ease.hip", 1)
    assert answer.interval == (-10, answer.value)
    intake = DRAFT.seek("ease.hip", "back.darts[0].intake", 2)
    assert intake.draft.back.darts[0].intake == pytest.approx(2, abs=1e-10)
    girth = DRAFT.seek("rules.side_fullness", "girth", DRAFT.girth_at(8) + 0.5, level=8)
    assert girth.draft.girth_at(8) == pytest.approx(DRAFT.girth_at(8) + 0.5, abs=1e-10)
    inches = DRAFT.seek("ease.hip", "girth", DRAFT.girth_at(5.08) / 2.54 + 1, level=2, unit="in")
    assert inches.draft.girth_at(5.08) == pytest.approx(DRAFT.girth_at(5.08) + 2.54, abs=1e-9)
    assert inches.value * 2.54 == pytest.approx(inches.draft.ease.hip, rel=1e-12)


def test_ease_by_level() -> None:
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
    "made",
    [
        DRAFT.sensitivity(["ease.hip"], unit="in"),
        DRAFT.uncertainty(ERRORS),
        DRAFT.ease_by_level(high_hip=90, high_hip_depth=9),
        DRAFT.ease_by_level(step=2, unit="in"),
        ERRORS,
        kirtle.StandardErrors.with_covariance(["body.hip"], [[0.3]]),
    ],
    ids=lambda made: type(made).__name__,
)
def test_what_is_found_can_be_kept(made: object) -> None:
    for other in (pickle.loads(pickle.dumps(made)), copy.deepcopy(made)):
        assert other == made and hash(other) == hash(made) and repr(other) == repr(made)
    assert made != object()


@pytest.mark.parametrize("errors", [ERRORS, kirtle.StandardErrors.with_covariance(["body.hip", "ease.hip"], [[1, 0.5], [0.5, 1]])])
def test_errors_show_how_they_are_made(errors: kirtle.StandardErrors) -> None:
    assert eval(repr(errors), vars(kirtle)) == errors


WRONG: list[tuple[Callable[[], object], str]] = [
    (lambda: DRAFT.sensitivity(["ease.knee"]), 'by: "ease.knee" is not one of body.waist, body.hip, '),
    (lambda: DRAFT.sensitivity()["back.knee", "ease.hip"], 'quantity: "back.knee" is not one of nominal.total, '),
    (lambda: DRAFT.uncertainty(kirtle.StandardErrors({"body.knee": 1})), 'by: "body.knee" is not one of body.waist, '),
    (lambda: DRAFT.uncertainty(kirtle.StandardErrors({})), "errors: missing; give the error of one input at least"),
    (lambda: kirtle.StandardErrors({"body.hip": -1}), "errors.body.hip: -1 is below the minimum of 0"),
    (lambda: kirtle.StandardErrors.with_covariance(["body.hip"], [[-1]]), "covariance: is not a covariance: "),
    (lambda: kirtle.StandardErrors.with_covariance(["body.hip"], []), "covariance: a list of 0 rows of "),
    (lambda: DRAFT.seek("ease.hip", "back.darts", 3), "darts: 3 is out of reach: ease.hip from -10 to 60 cm gives 1 to 2"),
    (lambda: DRAFT.seek("ease.hip", "back.darts", 1.5), "value: 1.5 is not a whole number of darts"),
    (lambda: DRAFT.seek("ease.hip", "girth", 90), "level: missing; give how far down from the waist"),
    (lambda: DRAFT.seek("ease.hip", "back.width", 20, level=3), 'level: cannot be given together with "back.width"'),
    (lambda: DRAFT.seek("ease.hip", "back.width", 900), "value: 900 cm is out of reach: ease.hip from -10 to 60 cm gives "),
    (lambda: DRAFT.seek("ease.hip", "back.width", 20, between=(3, 2)), "between: 3 to 2 is not a range from less to more"),
    (lambda: kirtle.Ellipse.growth(1), "probability: 1 is above the maximum of 0.999999"),
    (lambda: kirtle.Ellipse.growth(float("nan")), "probability: NaN is not finite; give a number from 0 to 0.999999"),
    (lambda: DRAFT.ease_by_level(high_hip=35, unit="in"), "high_hip_depth: missing; give a number from 0.5 to 15 in"),
    (lambda: DRAFT.ease_by_level(high_hip=90), "high_hip_depth: missing; give a number from 1 to 39 cm"),
    (lambda: DRAFT.ease_by_level(step=0), "step: 0 cm is below the minimum of 0.1 cm"),
]


@pytest.mark.parametrize(("ask", "sentence"), WRONG, ids=[sentence[:30] for _, sentence in WRONG])
def test_wrong_questions_are_refused(ask: Callable[[], object], sentence: str) -> None:
    with pytest.raises(kirtle.InputError) as refused:
        ask()
    assert str(refused.value).startswith(sentence)
