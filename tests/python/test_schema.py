"""An independent validator and the reader accept the same requests."""

import copy
import json
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from request_schema import request_schema

import kirtle
from kirtle.__main__ import SCHEMAS

REQUEST = Draft202012Validator(kirtle.schema("request"))
RESULT = Draft202012Validator(kirtle.schema("result"))
ERROR = Draft202012Validator(kirtle.schema("error"))

FOUND_WHEN_DRAFTING = {"needs_another", "does_not_fit_body", "decided_by_figure", "waist_too_tilted", "above_hip_line", "waist_not_closed",
                       "no_room_at_waist", "tip_below_hip", "waist_below_hip",
                       "side_too_flat", "dart_too_small", "opening_too_long", "facing_too_deep", "vent_too_high",
                       "cloth_too_narrow"}
"""Codes of contradictions between numbers; a schema, which checks each number alone, cannot find them."""

Path = tuple[str | int, ...]
Row = dict[str, Any]


def reader_accepts(document: object) -> bool:
    """Returns whether `draft_json` accepts a document up to contradictions; the result or error must satisfy its schema."""
    try:
        result = kirtle.draft_json(json.dumps(document))
    except kirtle.InputError as error:
        ERROR.validate(json.loads(error.to_json()))
        return {problem.code for problem in error.problems} <= FOUND_WHEN_DRAFTING
    RESULT.validate(json.loads(result))
    return True


@pytest.mark.parametrize("name", SCHEMAS)
def test_schemas_are_valid(name: str) -> None:
    Draft202012Validator.check_schema(kirtle.schema(name))


@pytest.mark.parametrize(("kind", "expected"), [("accepted", True), ("refused", False)])
def test_schema_and_reader_agree_on_the_samples(samples: dict[str, dict[str, Any]], kind: str, expected: bool) -> None:
    for name, sample in samples[kind].items():
        assert REQUEST.is_valid(sample) is expected, name
        assert reader_accepts(sample) is expected, name


def schema_without_corrections(unit: str) -> Row:
    """Returns the request schema of a unit, without corrections, whose results a schema cannot check."""
    schema = request_schema(unit)
    unit_row = {**schema["properties"]["unit"], "enum": [unit]}
    return {**schema, "properties": {name: row for name, row in schema["properties"].items() if name != "corrections"} | {"unit": unit_row}}


def values_of(row: Row) -> st.SearchStrategy[Any]:
    """Returns a strategy for the values that a schema accepts; covers the keywords that Kirtle's schemas use."""
    if "const" in row:
        return st.just(row["const"])
    if "enum" in row:
        return st.sampled_from(row["enum"])
    match row["type"]:
        case "number":
            ends = st.sampled_from([row["minimum"], row["maximum"]])
            return st.floats(row["minimum"], row["maximum"]) | ends
        case "string":
            return st.text("Ab 4é漢\\\"%", max_size=row["maxLength"])
        case "boolean":
            return st.booleans()
        case "array":
            demanded = [row["contains"]["const"], *set(row["items"]["enum"]).difference(row["not"]["items"]["enum"])] if "contains" in row else []
            free = values_of(row["items"]).filter(lambda value: value not in demanded)
            lists = st.lists(free, max_size=row["maxItems"] - len(demanded), unique=row.get("uniqueItems", False))
            return lists.flatmap(lambda values: st.permutations([*demanded, *values])) if demanded else lists
    # "else" demands exactly one of two fields, "not" allows at most one.
    one_of = [*row["if"]["required"], *row["else"]["required"]] if "required" in row.get("else", {}) else []
    exclusive = one_of or row.get("not", {}).get("required", [])
    return st.one_of([
        fields(row, {*row["required"], *(one_of and [name])}, set(exclusive) - {name}) for name in exclusive or [""]
    ])


def fields(row: Row, required: set[str], omitted: set[str]) -> st.SearchStrategy[Row]:
    """Returns a strategy for objects with the required fields, any optional fields, and none of the omitted fields."""
    values = {name: values_of(value) for name, value in row["properties"].items() if name not in omitted}
    needed = {name: value for name, value in values.items() if name in required}
    return st.fixed_dictionaries(needed, optional={name: value for name, value in values.items() if name not in required})


def slots(document: Any) -> list[tuple[Any, Any]]:
    """Returns every field and list item of a document, at any depth, as a pair of its container and its key."""
    keys = list(document) if isinstance(document, dict) else range(len(document)) if isinstance(document, list) else []
    return [slot for key in keys for slot in ((document, key), *slots(document[key]))]


REQUESTS = {unit: values_of(schema_without_corrections(unit)) for unit in ("cm", "in")}

ARBITRARY_VALUES = st.one_of(st.none(), st.booleans(), st.text(max_size=3), st.floats(-1e3, 1e3), st.integers(-9, 999),
                st.just([]), st.just({}), st.just({"waist": 70}))


@st.composite
def mutated_requests(draw: st.DrawFn, unit: str) -> tuple[Row, Row]:
    """Draws a valid request, and a copy with at most two random changes: a value removed, added, or replaced. Some changes stay valid."""
    valid: Row = draw(REQUESTS[unit])
    document = copy.deepcopy(valid)
    for _ in range(draw(st.sampled_from([0, 0, 1, 1, 2, 2]))):
        holder, key = draw(st.sampled_from(slots(document) or [(document, "unit")]))
        match draw(st.sampled_from(["remove", "replace", "replace", "add"])):
            case "remove":
                del holder[key]
            case "replace":
                holder[key] = copy.deepcopy(draw(ARBITRARY_VALUES))
            case "add" if isinstance(holder, dict):
                holder[draw(st.sampled_from(["colour", "Waist", "", "place", "shares"]))] = copy.deepcopy(draw(ARBITRARY_VALUES))
    return valid, document


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_schema_and_reader_agree_on_valid_and_mutated_requests(unit: str) -> None:
    counts = {True: 0, False: 0}  # by whether the schema accepts the document

    @settings(max_examples=600, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
    @given(mutated_requests(unit))
    def check(requests: tuple[Row, Row]) -> None:
        valid, mutated = requests
        assert REQUEST.is_valid(valid) and reader_accepts(valid), valid
        is_valid = REQUEST.is_valid(mutated)
        counts[is_valid] += 1
        assert is_valid == reader_accepts(mutated), mutated

    check()
    assert min(counts.values()) > 600 // 4, counts


def number_rows(row: Row, path: Path = ()) -> Iterator[tuple[Path, Row]]:
    """Yields path and schema of every number in a schema; a list is represented by its item 0."""
    if row.get("type") == "number":
        yield path, row
    for name, part in row.get("properties", {}).items():
        yield from number_rows(part, (*path, name))
    if "items" in row:
        yield from number_rows(row["items"], (*path, 0))


CM, IN = (dict(number_rows(schema_without_corrections(unit))) for unit in ("cm", "in"))
LENGTHS = {path for path, row in IN.items() if any(row[end] != CM[path][end] for end in ("minimum", "maximum"))}

ORDINARY_REQUEST: Row = {
    "unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24}, "ease": {"waist": 0.5, "hip": 2},
    "cutting": {"allowances": {}}, "cloth": {"width": 60},
}


def with_number(path: Path, value: float) -> Row:
    """Returns the ordinary request in inches with `value` set at `path`."""
    document = copy.deepcopy(ORDINARY_REQUEST)
    if path[:2] == ("rules", "darts"):
        dart = {"intake": 1.0, "length": 3.0} | ({} if path[-1] == "centre" else {"place": 0.5})
        document["rules"] = {"darts": {"back": [], "front": []} | {path[2]: [dart]}}
    elif path[0] == "rules":
        document["rules"] = {"shares": {}}
    elif path[:2] == ("body", "figure"):
        document["body"]["figure"] = {}
    holder: Any = document
    for key in path[:-1]:
        holder = holder[key]
    holder[path[-1]] = value
    return document


def in_cm(document: Any, path: Path = ()) -> Any:
    """Converts the lengths of a request in inches to centimetres."""
    if isinstance(document, dict):
        return {key: "cm" if key == "unit" else in_cm(part, (*path, key)) for key, part in document.items()}
    if isinstance(document, list):
        return [in_cm(part, (*path, k)) for k, part in enumerate(document)]
    return document * 2.54 if path in LENGTHS else document


@pytest.mark.parametrize("path", IN, ids=lambda path: ".".join(map(str, path)))
def test_range_limits_in_inches_are_accepted_in_both_units(path: Path) -> None:
    inches, cm, factor = IN[path], CM[path], 2.54 if path in LENGTHS else 1
    assert cm["minimum"] <= inches["minimum"] * factor < inches["maximum"] * factor <= cm["maximum"]
    for value, step in ((inches["minimum"], -1e-9), (inches["maximum"], 1e-9)):
        document = with_number(path, value)
        for accepted in (document, in_cm(document)):
            assert REQUEST.is_valid(accepted) and reader_accepts(accepted), accepted
        beyond = with_number(path, value + step)
        assert not REQUEST.is_valid(beyond) and not reader_accepts(beyond), beyond


def test_lengths_have_separate_ranges_in_inches_and_ratios_have_not() -> None:
    assert CM.keys() == IN.keys() and {path[-1] for path in LENGTHS} >= {
        "waist", "hip", "hip_depth", "length", "side", "hem", "centre_back", "opening", "width", "intake", "centre"}
    assert {path[-1] for path in IN.keys() - LENGTHS} & {"place", "back_share", "steepest_side"}
