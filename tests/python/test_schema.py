"""An independent validator and the reader accept the same requests."""

import copy
import json
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

import kirtle
from kirtle.__main__ import SCHEMAS

REQUEST = Draft202012Validator(kirtle.schema("request"))
RESULT = Draft202012Validator(kirtle.schema("result"))
ERROR = Draft202012Validator(kirtle.schema("error"))

FOUND_WHEN_DRAFTING = {"above_hip_line", "waist_not_closed", "no_room_at_waist", "tip_below_hip", "waist_below_hip",
                       "side_too_flat", "opening_too_long", "cloth_too_narrow"}
"""Codes for numbers that do not agree with each other, which a schema cannot know."""

Path = tuple[str | int, ...]
Row = dict[str, Any]


def reads(document: object) -> bool:
    """Whether the reader accepts a document; whatever comes of it must be as its schema says."""
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
def test_samples(samples: dict[str, dict[str, Any]], kind: str, expected: bool) -> None:
    for name, sample in samples[kind].items():
        assert REQUEST.is_valid(sample) is expected, name
        assert reads(sample) is expected, name


def request_in(unit: str) -> Row:
    """The schema of requests in a unit, without corrections: what those make of the numbers no schema can know."""
    (found,) = (row for row in kirtle.schema("request")["oneOf"] if row["properties"]["unit"]["const"] == unit)
    return {**found, "properties": {name: row for name, row in found["properties"].items() if name != "corrections"}}


def whatever_is(row: Row) -> st.SearchStrategy[Any]:
    """Whatever a schema accepts, by the few words that this one uses."""
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
            return st.lists(whatever_is(row["items"]), max_size=row["maxItems"])
    # Of some fields exactly one is asked for, of others at most one.
    exactly = [either["required"][0] for either in row.get("oneOf", [])]
    rivals = exactly or row.get("not", {}).get("required", [])
    return st.one_of([
        fields(row, {*row["required"], *(exactly and [name])}, set(rivals) - {name}) for name in rivals or [""]
    ])


def fields(row: Row, needed: set[str], left_out: set[str]) -> st.SearchStrategy[Row]:
    parts = {name: whatever_is(part) for name, part in row["properties"].items() if name not in left_out}
    required = {name: part for name, part in parts.items() if name in needed}
    return st.fixed_dictionaries(required, optional={name: part for name, part in parts.items() if name not in needed})


def places(document: Any) -> list[tuple[Any, Any]]:
    """Every field and every item in a document, by what holds it and its key there."""
    keys = list(document) if isinstance(document, dict) else range(len(document)) if isinstance(document, list) else []
    return [place for key in keys for place in ((document, key), *places(document[key]))]


REQUESTS = {unit: whatever_is(request_in(unit)) for unit in ("cm", "in")}

ODD = st.one_of(st.none(), st.booleans(), st.text(max_size=3), st.floats(-1e3, 1e3), st.integers(-9, 999),
                st.just([]), st.just({}), st.just({"waist": 70}))


@st.composite
def with_faults(draw: st.DrawFn, unit: str) -> Row:
    """A valid document, or one with something gone, added, or of another kind or range; some of which may still be."""
    document: Row = copy.deepcopy(draw(REQUESTS[unit]))
    for _ in range(draw(st.sampled_from([0, 0, 1, 1, 2]))):
        holder, key = draw(st.sampled_from(places(document) or [(document, "unit")]))
        match draw(st.sampled_from(["gone", "odd", "odd", "added"])):
            case "gone":
                del holder[key]
            case "odd":
                holder[key] = copy.deepcopy(draw(ODD))
            case "added" if isinstance(holder, dict):
                holder[draw(st.sampled_from(["colour", "Waist", "", "place", "shares"]))] = copy.deepcopy(draw(ODD))
    return document


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_whatever_is_in_range_is_read(unit: str) -> None:
    @settings(max_examples=300, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
    @given(REQUESTS[unit])
    def judged(document: Row) -> None:
        assert REQUEST.is_valid(document) and reads(document)

    judged()


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_odd_documents_are_judged_alike(unit: str) -> None:
    seen = {True: 0, False: 0}

    @settings(max_examples=600, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
    @given(with_faults(unit))
    def judged(document: Row) -> None:
        valid = REQUEST.is_valid(document)
        seen[valid] += 1
        assert valid == reads(document), document

    judged()
    # Neither kind is rare.
    assert min(seen.values()) > 600 // 4, seen


def number_rows(row: Row, path: Path = ()) -> Iterator[tuple[Path, Row]]:
    """Every number that a schema names, with its range; of a list that of its first item."""
    if row.get("type") == "number":
        yield path, row
    for name, part in row.get("properties", {}).items():
        yield from number_rows(part, (*path, name))
    if "items" in row:
        yield from number_rows(row["items"], (*path, 0))


CM, IN = (dict(number_rows(request_in(unit))) for unit in ("cm", "in"))
LENGTHS = {path for path, row in IN.items() if any(row[end] != CM[path][end] for end in ("minimum", "maximum"))}

PLAIN: Row = {
    "unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24}, "ease": {"waist": 0.5, "hip": 2},
    "cutting": {"allowances": {}}, "cloth": {"width": 60},
}


def with_number(path: Path, value: float) -> Row:
    """An ordinary request in inches with this number in its place."""
    document = copy.deepcopy(PLAIN)
    if path[:2] == ("rules", "darts"):
        dart = {"intake": 1.0, "length": 3.0} | ({} if path[-1] == "centre" else {"place": 0.5})
        document["rules"] = {"darts": {"back": [], "front": []} | {path[2]: [dart]}}
    elif path[0] == "rules":
        document["rules"] = {"shares": {}}
    holder: Any = document
    for key in path[:-1]:
        holder = holder[key]
    holder[path[-1]] = value
    return document


def in_cm(document: Any, path: Path = ()) -> Any:
    """The same document with its lengths in centimetres."""
    if isinstance(document, dict):
        return {key: "cm" if key == "unit" else in_cm(part, (*path, key)) for key, part in document.items()}
    if isinstance(document, list):
        return [in_cm(part, (*path, k)) for k, part in enumerate(document)]
    return document * 2.54 if path in LENGTHS else document


@pytest.mark.parametrize("path", IN, ids=lambda path: ".".join(map(str, path)))
def test_the_ends_of_a_range_in_inches_are_accepted_in_both_units(path: Path) -> None:
    inches, cm, factor = IN[path], CM[path], 2.54 if path in LENGTHS else 1
    assert cm["minimum"] <= inches["minimum"] * factor < inches["maximum"] * factor <= cm["maximum"]
    for value, step in ((inches["minimum"], -1e-9), (inches["maximum"], 1e-9)):
        document = with_number(path, value)
        for accepted in (document, in_cm(document)):
            assert REQUEST.is_valid(accepted) and reads(accepted), accepted
        beyond = with_number(path, value + step)
        assert not REQUEST.is_valid(beyond) and not reads(beyond), beyond


def test_every_length_has_a_range_in_inches_of_its_own() -> None:
    assert CM.keys() == IN.keys() and {path[-1] for path in LENGTHS} >= {
        "waist", "hip", "hip_depth", "length", "side", "hem", "centre_back", "opening", "width", "intake", "centre"}
    assert {path[-1] for path in IN.keys() - LENGTHS} & {"place", "back_share", "steepest_side"}
