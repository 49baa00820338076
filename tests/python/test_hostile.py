"""Damaged random documents of the schemas, and objects of any type: accepted, or refused in a message."""

import copy
import decimal
import fractions
import json
import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from conftest import CASE_FACTOR
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from request_schema import request_schema
from test_schema import ARBITRARY_VALUES, ERROR, REQUESTS, RESULT, Row, slots, values_of

import kirtle

SIZES = Draft202012Validator(kirtle.schema("sizes"))
UNITS = ("cm", "in")

FEW_EXAMPLES = settings(max_examples=120 * CASE_FACTOR, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])


def field_paths(row: Row, path: str = "") -> set[str]:
    """Returns the dotted paths of all fields of a schema; items of a list have the path of the list."""
    paths = {path}
    for name, part in row.get("properties", {}).items():
        paths |= field_paths(part, f"{path}.{name}".lstrip("."))
    if "items" in row:
        paths |= field_paths(row["items"], path)
    return paths


FIELD_PATHS = {
    name: set[str]().union(*(field_paths(request_schema(unit, name)) for unit in UNITS)) for name in ("request", "chart")
}
"""Dotted paths of all fields of requests and charts."""


def has_valid_field(problem: kirtle.Problem, name: str) -> bool:
    """Returns whether a problem names a field of the schema, or an unknown field inside an object of the schema."""
    field = re.sub(r"\[\d+\]", "", problem.field)
    if problem.code == "unknown_field":
        return field.rpartition(".")[0] in FIELD_PATHS[name] or "." in field
    if problem.code == "outside_chart":
        return field in {"body.waist", "body.hip"}
    if size := re.fullmatch(r'size ".*" (\S+)', field):
        return size[1] in FIELD_PATHS[name] or f"body.{size[1]}" in FIELD_PATHS[name]
    return field == name or field in FIELD_PATHS[name]


def is_accepted(text: str, name: str) -> bool:
    """Returns whether a text is accepted; the result or error must satisfy its schema, and problems must name valid fields."""
    function: Callable[[str], str] = kirtle.draft_json if name == "request" else kirtle.chart_json
    schema = RESULT if name == "request" else SIZES
    try:
        document = function(text)
    except kirtle.InputError as error:
        ERROR.validate(json.loads(error.to_json()))
        assert str(error).splitlines() == [problem.message for problem in error.problems]
        for problem in error.problems:
            assert has_valid_field(problem, name), problem
            assert problem.message.startswith(problem.field) and "nothing" not in problem.message, problem
        return False
    schema.validate(json.loads(document))
    return True


def charts_in(unit: str) -> st.SearchStrategy[Row]:
    """Returns a strategy for charts whose sizes grow; charts of random sizes would nearly always be refused."""
    row = request_schema(unit, "chart")
    parts = {name: values_of(part) for name, part in row["properties"].items() if name not in ("sizes", "unit", "blend")}
    steps = st.lists(st.tuples(st.floats(0.1, 6), st.floats(0.1, 6)), min_size=2, max_size=6)

    def sizes(steps: list[tuple[float, float]]) -> list[Row]:
        inch = 1 if unit == "cm" else 2.54
        waist, hip = np.cumsum([(60, 84), *steps], axis=0).T / inch
        return [{"name": f"{k}", "waist": w, "hip": h, "hip_depth": 20 / inch, "length": 60 / inch}
                for k, (w, h) in enumerate(zip(waist, hip, strict=True))]

    return st.fixed_dictionaries({"unit": st.just(unit), "sizes": steps.map(sizes)}, optional=parts)


DOCUMENTS = {"request": REQUESTS, "chart": {unit: charts_in(unit) for unit in UNITS}}

EXTREME_VALUES = ARBITRARY_VALUES | st.sampled_from([
    5e-324, -0.0, 1.7976931348623157e308, 2**53 + 1, -(2**63), 2**64, 10**300, "\0", "\ufffe", "1e3", "NaN", [[]], [{}],
    {"": {}}, "é" * 61, "\u202e", [None] * 30, {"from": "1"}, {"intake": 1, "length": 9, "place": 0.5},
])

UNKNOWN_NAMES = ["colour", "Waist", "", "wаist", "place", "shares", "a\nb", "x" * 99]
"""Field names to insert; one contains a Cyrillic letter that looks like a Latin one."""


@st.composite
def mutated(draw: st.DrawFn, documents: st.SearchStrategy[Row]) -> Row:
    """Draws a valid document and applies at most four changes: removes, replaces, copies or adds values."""
    document: Row = json.loads(json.dumps(draw(documents)))
    for _ in range(draw(st.integers(0, 4))):
        if not (all_slots := slots(document)):
            break
        holder, key = draw(st.sampled_from(all_slots))
        match draw(st.sampled_from(["remove", "replace", "replace", "add", "copy"])):
            case "remove":
                del holder[key]
            case "replace":
                holder[key] = copy.deepcopy(draw(EXTREME_VALUES))
            case "copy":
                source, source_key = draw(st.sampled_from(all_slots))
                holder[key] = json.loads(json.dumps(source[source_key]))
            case "add" if isinstance(holder, dict):
                holder[draw(st.sampled_from(UNKNOWN_NAMES))] = copy.deepcopy(draw(EXTREME_VALUES))
    return document


@pytest.mark.parametrize("unit", UNITS)
@pytest.mark.parametrize("name", DOCUMENTS)
def test_mutated_documents_are_accepted_or_refused_with_valid_problems(name: str, unit: str) -> None:
    counts = {True: 0, False: 0}  # by whether the text is accepted

    @FEW_EXAMPLES
    @given(mutated(DOCUMENTS[name][unit]))
    def check(document: Row) -> None:
        counts[is_accepted(json.dumps(document), name)] += 1

    check()
    assert min(counts.values()) >= 10, counts


TOKENS = ["{", "}", "[", "]", ":", ",", '"', "\\", "\\u", "\\ud800", "nan", "NaN", "Infinity", "-", "-0", "1e999", "1e-999",
          "0x10", "01", ".5", "5.", "1" * 400, "0." + "3" * 400, "\0", "\ufeff", "\u2028", "\ud800", "é", "😀", "//", "/*", "'",
          '"waist":', '"unit": "in",', '"unit": null,', "true", "null", "\t", "\r\n"]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_texts_with_inserted_tokens_are_accepted_or_refused_with_valid_problems(name: str) -> None:
    counts = {True: 0, False: 0}  # by whether the text is accepted

    @FEW_EXAMPLES
    @given(DOCUMENTS[name]["cm"], st.lists(st.tuples(st.floats(0, 1), st.integers(0, 9), st.sampled_from(TOKENS)), max_size=3))
    def check(document: Row, insertions: list[tuple[float, int, str]]) -> None:
        text = json.dumps(document)
        for fraction, length, token in insertions:
            start = int(fraction * len(text))
            text = text[:start] + token + text[start + length:]
        counts[is_accepted(text, name)] += 1

    check()
    assert min(counts.values()) >= 10, counts


class Broken:
    """Object whose every conversion raises ZeroDivisionError."""

    def __float__(self) -> float:
        raise ZeroDivisionError

    def __repr__(self) -> str:
        raise ZeroDivisionError

    __index__ = __str__ = __iter__ = __len__ = __hash__ = __repr__  # type: ignore[assignment]


class FalseFloat:
    """Object whose `__float__` returns a text."""

    def __float__(self) -> float:
        return "72"  # type: ignore[return-value]


class BrokenStr(str):
    """Text whose `str()` and `repr()` raise ZeroDivisionError."""

    __str__ = __repr__ = Broken.__repr__


JUNK: list[Any] = [
    None, True, 0, -1, 72, 10**400, -(10**400), 10**5000, 72.5, math.nan, math.inf, -0.0, 5e-324, 1j, "72", "", "\ud800", "a\0b",
    "x" * 100_000, b"72", bytearray(b"72"), decimal.Decimal("72"), decimal.Decimal("NaN"), fractions.Fraction(145, 2),
    np.float64(72), np.float32("nan"), np.int8(72), np.bool_(True), np.str_("72"), np.array(72.0), np.array([72.0, 1.0]),
    np.datetime64("2020-01-01"), pa.scalar(72.0), [], [72.0], (1, 2), ("a", "b", 0.5), {}, {"what": "waist"}, {1: 2}, set(), object(),
    type, len, Ellipsis, Broken(), FalseFloat(), BrokenStr("72"), range(3), memoryview(b"72"),
]

BODY: dict[str, Any] = {"waist": 72.0, "hip": 98.0, "hip_depth": 20.0, "length": 60.0}
TABLE = pa.table({name: [value] * 3 for name, value in BODY.items()})
EASE = kirtle.Ease(waist=1.5, hip=5)
DRAFT = kirtle.draft(kirtle.Body(**BODY), ease=EASE)
PATTERN = DRAFT.pattern()
CHART = kirtle.SizeChart.demo()
RANGE = CHART.draft(ease=EASE)

CALLS: dict[str, Callable[[Any], object]] = {
    "Body": lambda x: kirtle.Body(**BODY | {"waist": x}),
    "Body in": lambda x: kirtle.Body(**BODY, unit=x),
    "Ease": lambda x: kirtle.Ease(waist=x, hip=x),
    "Rules": lambda x: kirtle.Rules(balance=x, side_fullness=x),
    "Rules of": lambda x: kirtle.Rules(shares=x, darts=x),
    "Shares": lambda x: kirtle.Shares(back_share=x, back_largest_dart=x),
    "GivenDart": lambda x: kirtle.GivenDart(intake=x, length=x, place=x),
    "Darts": lambda x: kirtle.Darts(back=x, front=x),
    "draft": lambda x: kirtle.draft(x, ease=x),
    "draft_json": kirtle.draft_json,
    "chart_json": kirtle.chart_json,
    "from_json": kirtle.Pattern.from_json,
    "from_csv": kirtle.SizeChart.from_csv,
    "schema": kirtle.schema,
    "drawing_texts": kirtle.drawing_texts,
    "girth_at": DRAFT.girth_at,
    "to_json": DRAFT.to_json,
    "svg": lambda x: DRAFT.svg(fit=x),
    "sensitivity": DRAFT.sensitivity,
    "uncertainty": DRAFT.uncertainty,
    "StandardErrors": kirtle.StandardErrors,
    "error": lambda x: kirtle.StandardErrors({"body.waist": x}),
    "covariance": lambda x: kirtle.StandardErrors.with_covariance(["body.waist"], [[x]]),
    "seek": lambda x: DRAFT.seek("ease.hip", "back.width", x),
    "seek what": lambda x: DRAFT.seek(x, x, 25.0),
    "seek between": lambda x: DRAFT.seek("ease.hip", "back.width", 25.0, between=(x, x)),
    "seek level": lambda x: DRAFT.seek("ease.hip", "girth", 100.0, level=x),
    "ease_by_level": lambda x: DRAFT.ease_by_level(high_hip=x, high_hip_depth=x),
    "step": lambda x: DRAFT.ease_by_level(step=x),
    "pattern": lambda x: DRAFT.pattern(name=x, press=x, preset=x),
    "hem": lambda x: DRAFT.pattern(hem=x, opening=x),
    "lay": PATTERN.lay,
    "folded": lambda x: PATTERN.lay(140, folded=x, one_way=x),
    "pdf": lambda x: PATTERN.pdf(paper=x),
    "margin": lambda x: PATTERN.pdf(margin_mm=x, overlap_mm=x),
    "save": PATTERN.save,
    "SizeChart": kirtle.SizeChart,
    "size": lambda x: kirtle.SizeChart([(x, kirtle.Body(**BODY))]),
    "choose": CHART.choose,
    "between": lambda x: CHART.between(waist=x, hip=x),
    "mark": lambda x: CHART.between(waist=("38", "40", x), hip="38", length=x),
    "getitem": lambda x: RANGE[x],
    "alter": lambda x: RANGE.alter(kirtle.Body(**BODY), tolerance_mm=x),
    "correct": lambda x: kirtle.Fitting(DRAFT).correct(x),
    "correction": lambda x: kirtle.Fitting(DRAFT).correct([x]),
    "correct what": lambda x: kirtle.Fitting(DRAFT).correct([{"what": x, "by": x, "at": x}]),
    "source": lambda x: kirtle.draft_table(x, ease=EASE),
    "columns": lambda x: kirtle.draft_table(TABLE, ease=EASE, columns=x),
    "column": lambda x: kirtle.draft_table(TABLE, ease=EASE, columns={"waist": x}),
    "key": lambda x: kirtle.draft_table(TABLE, ease=EASE, columns={x: 72.0}),
    "threads": lambda x: kirtle.draft_table(TABLE, ease=EASE, threads=x),
    "progress": lambda x: kirtle.draft_table(TABLE, ease=EASE, progress=x),
    "simulate": lambda x: kirtle.simulate(7, seed=x, start=x),
    "rows": lambda x: kirtle.simulate(x if not isinstance(x, int) or x < 1000 else 10**400),
    "Population": lambda x: kirtle.Population(waist=(x, x), hip=(98, 8), correlation=x, hip_depth=(20, 1), length=60),
    "fit_chart": lambda x: kirtle.fit_chart(CHART, TABLE, ease=EASE, tolerance=x),
    "bounds": lambda x: kirtle.fit_chart(CHART, TABLE, ease=EASE, tolerance=1, bounds={"waist": (x, x)}),
    "regions": lambda x: kirtle.fit_chart(CHART, TABLE, ease=EASE, tolerance=1).regions(x),
    "worst": lambda x: kirtle.fit_chart(CHART, TABLE, ease=EASE, tolerance=1).worst(x),
    "best_sizes": lambda x: kirtle.best_sizes(TABLE, x, girth="hip"),
    "girth": lambda x: kirtle.best_sizes(TABLE, 1, girth=x, loss=x),
    "best_chart": lambda x: kirtle.best_chart(TABLE, x),
    "best_chart_by_draft": lambda x: kirtle.best_chart_by_draft(TABLE, 2, ease=EASE, grid=x),
    "LogBand": lambda x: kirtle.LogBand(small=x, large=x, small_weight=x, large_weight=x),
    "growth": kirtle.Ellipse.growth,
}

PYTHON_ERRORS = (ZeroDivisionError, UnicodeEncodeError, OverflowError, KeyError, TypeError, ValueError, OSError)
"""Exceptions that Python itself raises for a bad argument, before Kirtle receives a value."""


@pytest.mark.parametrize("name", CALLS)
@pytest.mark.filterwarnings("error::pytest.PytestUnraisableExceptionWarning")
def test_junk_in_any_argument_raises_an_exception_and_prints_nothing(
    name: str, capfd: pytest.CaptureFixture[str], tmp_path: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    refused = 0
    for junk in JUNK:
        try:
            CALLS[name](junk)
        except kirtle.InputError as error:
            ERROR.validate(json.loads(error.to_json()))
            assert all(len(problem.message) < 5000 for problem in error.problems)
            refused += 1
        except PYTHON_ERRORS:
            refused += 1
    assert refused >= 10
    assert capfd.readouterr() == ("", "")


def test_names_that_are_not_text_are_refused() -> None:
    for junk in (b"Ann", ["Ann"], {"a": 1}, 7.5, object(), Broken(), type):
        with pytest.raises(kirtle.InputError, match="^cutting.name: .* is not a text on one line$"):
            DRAFT.pattern(name=junk)  # type: ignore[arg-type]
    with pytest.raises(kirtle.InputError, match="^cutting.name: an object of Broken is not a text on one line$"):
        DRAFT.pattern(name=Broken())  # type: ignore[arg-type]
    with pytest.raises(kirtle.InputError, match=r"^request: invalid JSON: .*column 1$"):
        kirtle.draft_json("\ud800")
    with pytest.raises(kirtle.InputError, match=r'^sizes\[0\].name \(line 2\): "a\\u\{ffff\}" is not a name on one line'):
        kirtle.SizeChart.from_csv("name,waist,hip,hip_depth,length\na\ud800,60,84,20,60\nb,64,88,20,60\n")
