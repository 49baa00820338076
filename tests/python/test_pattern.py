"""Presets, copies and documents of a pattern, and refused input."""

import copy
import json
import pickle
from collections.abc import Callable
from typing import Any

import pytest
from jsonschema import Draft202012Validator

import kirtle


@pytest.mark.parametrize(("unit", "preset", "round_values"), [
    ("cm", "trial", {"waist": 1, "side": 2, "hem": 1, "centre_back": 2}),
    ("cm", "garment", {"waist": 1, "side": 1.5, "hem": 4, "centre_back": 2}),
    ("in", "trial", {"waist": 0.5, "side": 1, "hem": 0.5, "centre_back": 1}),
    ("in", "garment", {"waist": 0.5, "side": 0.625, "hem": 1.5, "centre_back": 0.75}),
])
def test_presets_have_round_values_in_each_unit(
    draft: kirtle.Draft, unit: str, preset: str, round_values: dict[str, float]
) -> None:
    pattern = draft.pattern(preset=preset, unit=unit)
    document, (opening, in_cm) = pattern.to_dict(unit), {"cm": (20, 1), "in": (8, 2.54)}[unit]
    assert (document["allowances"], document["opening"]) == (round_values, opening)
    assert pattern.opening == pytest.approx(opening * in_cm, abs=1e-12) and pattern.press == "centre"
    assert pattern.allowances == pytest.approx({edge: value * in_cm for edge, value in round_values.items()}, abs=1e-12)
    assert draft.pattern(unit=unit) == draft.pattern(preset="trial", unit=unit)


def test_a_pattern_keeps_allowances_opening_press_name_and_copies(draft: kirtle.Draft) -> None:
    pattern = draft.pattern(waist=0, side=1.2, hem=3, centre_back=2.5, opening=18, press="side", name="Ann")
    assert pattern.allowances == {"waist": 0, "side": 1.2, "hem": 3, "centre_back": 2.5}
    assert (pattern.opening, pattern.press, pattern.name, pattern.draft) == (18, "side", "Ann", draft)
    assert [(piece.copies, piece.on_fold) for piece in (pattern.back, pattern.front)] == [(2, False), (1, True)]
    assert [edge.points for edge in pattern.back.seam] == [edge.points for edge in draft.back.edges]
    assert [finding.code for finding in draft.pattern(opening=8).findings] == ["hip_cannot_pass"]


INSTANCES: list[Callable[[kirtle.Pattern], object]] = [
    lambda pattern: pattern,
    lambda pattern: pattern.back,
    lambda pattern: pattern.back.notches[0],
    lambda pattern: pattern.back.cut[0],
    lambda pattern: pattern.lay(140),
    lambda pattern: pattern.lay(45, unit="in", one_way=True, folded=False),
    lambda pattern: pattern.lay(140).placed[0],
    lambda pattern: pattern.draft.pattern(unit="in", side=pattern.allowances["side"] / 2.54),
    lambda pattern: pattern.draft.pattern(preset="garment", hem=pattern.allowances["side"], name="漢字", press="side", unfolded=True),
]


@pytest.mark.parametrize("select", INSTANCES)
def test_classes_are_frozen_equal_hashable_and_copied(
    select: Callable[[kirtle.Pattern], object], draft: kirtle.Draft
) -> None:
    instance, equal, other = (select(draft.pattern(waist=width, side=width)) for width in (1, 1, 1.5))
    for twin in (equal, copy.copy(instance), copy.deepcopy(instance), pickle.loads(pickle.dumps(instance))):
        assert twin == instance and hash(twin) == hash(instance) and repr(twin) == repr(instance)
    assert instance != other and instance != object()
    with pytest.raises(AttributeError):
        setattr(instance, "name", "Bea")


@pytest.mark.parametrize("options", [
    {}, {"opening": 18.5, "press": "side", "name": "Zoë's \"44\"\\"}, {"preset": "garment", "waist": 0, "hem": 7},
    {"unit": "in", "preset": "garment", "press": "side", "opening": 7.5}, {"unit": "in"},
    {"pieces": ["back", "front", "waistband"], "underlap": 0}, {"unit": "in", "pieces": ("facing", "back", "front")},
    {"vent": 15, "vent_width": 5}, {"unit": "in", "vent": 8, "preset": "garment", "notes": ["Order 17", "Zoë's \"44\"\\"]},
])
def test_the_repr_of_a_pattern_is_code_that_rebuilds_it(draft: kirtle.Draft, options: dict[str, Any]) -> None:
    pattern = draft.pattern(**options)
    assert eval(repr(pattern), vars(kirtle)) == pattern


@pytest.mark.parametrize("unit", [None, "cm", "in"])
def test_a_stored_request_gives_the_draft_and_the_pattern_again(draft: kirtle.Draft, unit: str | None) -> None:
    for pattern in (draft.pattern(preset="garment", vent=15, notes=["Order 17"]), draft.pattern(unit="in"), kirtle.Pattern.from_json(draft.to_request("in"))):
        again = kirtle.Pattern.from_json(pattern.to_request(unit))
        assert again.opening == pytest.approx(pattern.opening, abs=1e-12) and again.draft.document_unit == (unit or pattern.draft.document_unit)
        assert "Order 17" in again.svg() or "Order 17" not in pattern.svg()
        assert again.allowances == pytest.approx(pattern.allowances, abs=1e-12)
    assert kirtle.Draft.from_json(draft.to_request()) == draft
    chart = kirtle.SizeChart.demo()
    assert kirtle.SizeChart.from_json(chart.to_json(unit or "cm")).names == chart.names
    assert kirtle.SizeChart.from_json(chart.to_json()) == chart
    for result in (draft.to_json(), draft.pattern().to_json(), draft.pattern().lay(140).to_json()):
        with pytest.raises(kirtle.InputError, match="^request: a result is not a request: give the request that the result answers$"):
            kirtle.Draft.from_json(result)
    with pytest.raises(kirtle.InputError, match="^back: unknown field"):
        kirtle.Draft.from_json('{"unit": "cm", "back": []}')


def pattern_with(**options: Any) -> Callable[[kirtle.Draft], object]:
    """Returns a function that makes a pattern of a draft with the options."""
    return lambda draft: draft.pattern(**options)


@pytest.mark.parametrize(("call", "expected"), [
    (pattern_with(side=-0.5), [("below_minimum", "cutting.allowances.side")]),
    (pattern_with(opening=59.5), [("opening_too_long", "cutting.opening")]),
    (pattern_with(press="left"), [("unknown_choice", "cutting.press")]),
    (pattern_with(preset="couture"), [("unknown_choice", "cutting.preset")]),
    (pattern_with(unit="ell"), [("unknown_choice", "unit")]),
    (pattern_with(name="Ann\nBea"), [("wrong_type", "cutting.name")]),
    (pattern_with(name="x" * 61), [("too_many", "cutting.name")]),
    (pattern_with(waist="1", side=True, hem=float("nan")),
     [("wrong_type", "cutting.allowances.waist"), ("wrong_type", "cutting.allowances.side"),
      ("not_finite", "cutting.allowances.hem")]),
    (pattern_with(waist=-1, hem=11, opening=4, press=1),
     [("below_minimum", "cutting.allowances.waist"), ("above_maximum", "cutting.allowances.hem"),
      ("below_minimum", "cutting.opening"), ("unknown_choice", "cutting.press")]),
    (pattern_with(pieces="waistband", waistband_width=11),
     [("wrong_type", "cutting.pieces"), ("above_maximum", "cutting.waistband_width")]),
    (pattern_with(pieces=("back", "front", "front", "apron")),
     [("duplicate_field", "cutting.pieces[2]"), ("unknown_choice", "cutting.pieces[3]")]),
    (pattern_with(pieces=["back", "front", "waistband", "facing"]), [("conflict", "cutting.pieces[3]")]),
    (pattern_with(vent=9, vent_width="wide"), [("below_minimum", "cutting.vent"), ("wrong_type", "cutting.vent_width")]),
    (pattern_with(vent=40, opening=20), [("vent_too_high", "cutting.vent")]),
    (pattern_with(pieces=[]), [("missing", "cutting.pieces")]),
    (lambda draft: draft.pattern().lay(0, folded="no"),
     [("below_minimum", "cloth.width"), ("wrong_type", "cloth.folded")]),
    (lambda draft: draft.pattern().to_dict("ell"), [("unknown_choice", "unit")]),
])
def test_invalid_input_reports_all_problems_at_once(
    call: Callable[[kirtle.Draft], object], expected: list[tuple[str, str]], draft: kirtle.Draft
) -> None:
    with pytest.raises(kirtle.InputError) as caught:
        call(draft)
    assert [(problem.code, problem.field) for problem in caught.value.problems] == expected
    Draft202012Validator(kirtle.schema("error")).validate(json.loads(caught.value.to_json()))


@pytest.mark.parametrize("request_", [
    {"unit": "cm", "body": {"waist": 72, "hip": 98, "hip_depth": 20, "length": 60}, "ease": {"waist": 1.5, "hip": 5},
     "cutting": {"preset": "garment", "name": "Ann", "allowances": {"side": 2.2}, "opening": 19, "press": "side"},
     "cloth": {"width": 140, "folded": False, "one_way": True}},
    {"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24}, "ease": {"waist": 0.5, "hip": 2},
     "cutting": {}, "cloth": {"width": 45}},
    {"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24}, "ease": {"waist": 0.5, "hip": 2},
     "cutting": {"pieces": ["back", "front", "facing"], "facing_depth": 2.25}, "cloth": {"width": 45}},
    {"unit": "cm", "body": {"waist": 72, "hip": 98, "hip_depth": 20, "length": 60}, "ease": {"waist": 1.5, "hip": 5},
     "cutting": {"pieces": ["back", "front", "waistband"], "waistband_width": 4, "vent": 16}, "cloth": {"width": 140, "folded": False}},
])
def test_a_json_request_and_python_calls_give_the_same_documents(request_: dict[str, Any]) -> None:
    text, unit, cloth = json.dumps(request_), request_["unit"], request_["cloth"]
    result = json.loads(kirtle.draft_json(text))
    pattern, lay = kirtle.Pattern.from_json(text), kirtle.Lay.from_json(text)
    for name, document in (("result", result), ("pattern", result["pattern"]), ("lay", result["lay"])):
        Draft202012Validator(kirtle.schema(name)).validate(document)
    assert result["pattern"] == pattern.to_dict() == json.loads(pattern.to_json())
    assert result["lay"] == lay.to_dict() == json.loads(lay.to_json())
    cutting = dict(request_["cutting"])
    allowances = cutting.pop("allowances", {})
    draft = kirtle.Draft.from_json(json.dumps({name: request_[name] for name in ("unit", "body", "ease")}))
    assert draft.pattern(**cutting, **allowances) == pattern and pattern.lay(**cloth) == lay
    assert pattern.to_dict("cm")["back"] == pattern.back.to_dict() and pattern.draft.document_unit == unit
