"""An independent validator and the reader accept the same requests."""

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

import kirtle

REQUEST = Draft202012Validator(kirtle.schema("request"))
RESULT = Draft202012Validator(kirtle.schema("result"))
ERROR = Draft202012Validator(kirtle.schema("error"))

FOUND_WHEN_DRAFTING = {"above_hip_line", "waist_not_closed", "no_room_at_waist", "tip_below_hip", "waist_below_hip",
                       "side_too_flat"}
"""Codes for numbers that do not agree with each other, which a schema cannot know."""


def reads(document: object) -> bool:
    """Whether the reader accepts a document; whatever comes of it must be as its schema says."""
    try:
        result = kirtle.draft_json(json.dumps(document))
    except kirtle.MeasurementError as error:
        ERROR.validate(json.loads(error.to_json()))
        return {problem.code for problem in error.problems} <= FOUND_WHEN_DRAFTING
    RESULT.validate(json.loads(result))
    return True


@pytest.mark.parametrize("name", ["request", "result", "error"])
def test_schemas_are_valid(name: str) -> None:
    Draft202012Validator.check_schema(kirtle.schema(name))


@pytest.mark.parametrize(("kind", "expected"), [("accepted", True), ("refused", False)])
def test_samples(samples: dict[str, dict[str, Any]], kind: str, expected: bool) -> None:
    for name, sample in samples[kind].items():
        assert REQUEST.is_valid(sample) is expected, name
        assert reads(sample) is expected, name


def table(rows: dict[str, dict[str, Any]], drop: bool) -> st.SearchStrategy[dict[str, Any]]:
    """Numbers in or about the ranges of a schema's properties, some of them left out or of a wrong kind."""
    odd = st.one_of(st.none(), st.booleans(), st.text(max_size=3), st.floats(-1e3, 1e3))

    def number(row: dict[str, Any]) -> st.SearchStrategy[Any]:
        within = st.floats(row["minimum"], row["maximum"])
        return st.one_of(*[within] * 40, odd) if drop else within

    fields = {name: number(row) for name, row in rows.items()}
    return st.fixed_dictionaries({}, optional=fields) if drop else st.fixed_dictionaries(fields)


def requests(unit: str, drop: bool) -> st.SearchStrategy[dict[str, Any]]:
    (variant,) = (v for v in kirtle.schema("request")["oneOf"] if v["properties"]["unit"]["const"] == unit)
    properties = variant["properties"]
    rules = properties["rules"]["properties"]
    stance = {name: row for name, row in rules.items() if row["type"] == "number"}
    return st.fixed_dictionaries(
        {"unit": st.just(unit), "body": table(properties["body"]["properties"], drop),
         "ease": table(properties["ease"]["properties"], drop)},
        optional={"rules": st.builds(
            lambda stance, shares: stance | shares,
            table(stance, drop),
            st.fixed_dictionaries({}, optional={"shares": table(rules["shares"]["properties"], drop)}),
        )},
    )


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_whatever_is_in_range_is_read(unit: str) -> None:
    @settings(max_examples=300, deadline=None, derandomize=True)
    @given(requests(unit, drop=False))
    def judged(document: dict[str, Any]) -> None:
        assert REQUEST.is_valid(document) and reads(document)

    judged()


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_odd_documents_are_judged_alike(unit: str) -> None:
    seen = set()

    @settings(max_examples=600, deadline=None, derandomize=True)
    @given(requests(unit, drop=True))
    def judged(document: dict[str, Any]) -> None:
        valid = REQUEST.is_valid(document)
        seen.add(valid)
        assert valid == reads(document), document

    judged()
    assert seen == {True, False}
