"""Drafts in Python: values, classes, copies, errors."""

import copy
import json
import pickle
import threading
from collections.abc import Callable

import numpy as np
import pytest

import kirtle

DARTS = kirtle.Darts(
    back=[kirtle.GivenDart(intake=3.9, length=13, place=0.5)],
    front=[kirtle.GivenDart(intake=2.6, length=8, centre=10.875)],
)


def test_a_draft_has_widths_darts_girths_lengths_and_a_proof(draft: kirtle.Draft) -> None:
    assert (draft.back.width, draft.front.width) == (24.75, 26.75)
    assert draft.nominal.total == pytest.approx(14.75, abs=1e-12)
    assert draft.suppression.total == pytest.approx(
        draft.suppression.side + draft.suppression.back + draft.suppression.front, abs=1e-12
    )
    assert [len(panel.darts) for panel in (draft.back, draft.front)] == [2, 1]
    assert draft.girths.waist == pytest.approx(73.5, abs=1e-10)
    assert draft.girths.hip == draft.girths.hem == pytest.approx(103, abs=1e-10)
    assert draft.girth_at(20) == pytest.approx(103, abs=1e-10)
    inches = kirtle.Draft.from_json(draft.to_request("in"))
    assert inches.girth_at(8) == pytest.approx(draft.girth_at(8, unit="in")) == pytest.approx(draft.girth_at(20.32) / 2.54)
    assert inches.distance_to(inches.vary({"ease.hip": 3})) == pytest.approx(draft.distance_to(draft.vary({"ease.hip": 7.62})) / 2.54)
    with pytest.raises(kirtle.InputError, match="level: 30 in is outside the garment; give a level from 0 to 23.62 in"):
        inches.girth_at(30)
    assert draft.lengths.centre_front == pytest.approx(60 - draft.front.waist_lowering, abs=1e-12)
    assert draft.proof.holds and all(check.holds for check in draft.proof.checks)
    assert draft.left_in_side == 0.0


def test_attributes_equal_the_fields_of_the_result_document(draft: kirtle.Draft) -> None:
    document = draft.to_dict()
    assert json.loads(draft.to_json()) == document
    for name in ("back", "front", "suppression", "nominal", "girths", "lengths", "proof"):
        assert getattr(draft, name).to_dict() == document[name], name
    for edge, row in zip(draft.back.edges, document["back"]["edges"], strict=True):
        assert (edge.role, edge.points, edge.length) == (row["role"], row["points"], row["length"])
    for dart, row in zip(draft.back.darts, document["back"]["darts"], strict=True):
        assert {name: getattr(dart, name) for name in row} == row


def test_a_slanted_centre_back_is_a_rule() -> None:
    body, ease = kirtle.Body(waist=70, hip=98, hip_depth=20, length=60), kirtle.Ease(waist=1.5, hip=5)
    draft = kirtle.draft(body, ease=ease, rules=kirtle.Rules(centre_back_in=1))
    below, slant = (edge.points for edge in draft.back.edges if edge.role == "centre")
    assert below == [[0.0, 60.0], [0.0, 20.0]] and slant[0] == [0.0, 20.0]
    x, y = slant[1]
    assert x / (20 - y) == pytest.approx(1 / 20, abs=1e-12) and y == draft.back.waist_lowering
    taken = draft.suppression
    assert taken.total - taken.side - taken.back - taken.front == pytest.approx(1, abs=1e-12)
    assert draft.rules.centre_back_in == 1 and "centre_back_in=1" in repr(draft.rules)
    assert {check.name for check in draft.proof.checks if check.holds} >= {"centre_back_in", "centre_back_straight"}


def test_edges_convert_to_numpy_and_join_end_to_start(draft: kirtle.Draft) -> None:
    for panel in (draft.back, draft.front):
        outline = [np.array(edge.points) for edge in panel.edges]
        assert {points.shape for points in outline} == {(2, 2), (4, 2)}
        ends = [points[-1] for points in outline]
        starts = [points[0] for points in outline[1:] + outline[:1]]
        assert np.array_equal(ends, starts)


def test_inches_and_centimetres_give_the_same_draft() -> None:
    inches = kirtle.Body(waist=28, hip=38, hip_depth=8, length=24, unit="in")
    assert inches == kirtle.Body(waist=71.12, hip=96.52, hip_depth=20.32, length=60.96)
    request = {"unit": "in", "body": {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24},
               "ease": {"waist": 0.5, "hip": 2}}
    result = json.loads(kirtle.draft_json(json.dumps(request)))
    draft = kirtle.draft(inches, ease=kirtle.Ease(waist=0.5, hip=2, unit="in"))
    assert result["unit"] == "in" and result["body"] == request["body"]
    assert result["back"]["width"] * 2.54 == pytest.approx(draft.back.width, abs=1e-12)
    from_json = kirtle.Draft.from_json(json.dumps(request))
    assert from_json == draft and from_json.rules == kirtle.Rules() and hash(from_json) == hash(draft)
    assert (from_json.document_unit, draft.document_unit) == ("in", "in") and from_json.back == draft.back
    assert draft.to_dict("in")["front"]["area"] * 2.54**2 == pytest.approx(draft.front.area, rel=1e-14)


def test_findings_speak_the_unit_of_the_document() -> None:
    body, ease = kirtle.Body(waist=29, hip=39.75, hip_depth=8, length=24.5, unit="in"), kirtle.Ease(waist=0, hip=1, unit="in")
    draft = kirtle.draft(body, ease=ease)
    finding, document = draft.findings[1], draft.to_dict()["findings"][1]
    assert (finding.measured, finding.unit, document["measured"]) == (2.54, "cm", 1) and finding.message == document["message"]
    findings = draft.pattern(opening=3).findings
    assert findings[0].unit == "cm" and " in" in findings[0].message and " cm" not in findings[0].message


def test_a_document_is_a_text_or_bytes(draft: kirtle.Draft) -> None:
    request = json.dumps(json.loads(draft.to_json())["body"])
    request = f'{{"unit": "cm", "body": {request}, "ease": {{"waist": 1.5, "hip": 5}}, "cutting": {{"name": "Zoë"}}}}'
    for text in (request.encode(), "\ufeff" + request, b"\xef\xbb\xbf" + request.encode()):
        assert kirtle.draft_json(text) == kirtle.draft_json(request) and kirtle.Pattern.from_json(text).name == "Zoë"
    chart = kirtle.SizeChart.demo()
    assert kirtle.SizeChart.from_csv(chart.to_csv().encode("utf-8-sig")) == chart
    with pytest.raises(TypeError, match=r"give json\.dumps"):
        kirtle.draft_json(json.loads(request))
    with pytest.raises(kirtle.InputError, match="document: invalid JSON: not UTF-8 at byte 1"):
        kirtle.Draft.from_json(b"{\xff")


INSTANCES: list[Callable[[kirtle.Draft], object]] = [
    lambda draft: draft,
    lambda draft: draft.body,
    lambda draft: draft.ease,
    lambda draft: draft.rules,
    lambda draft: draft.rules.shares,
    lambda draft: DARTS,
    lambda draft: DARTS.back[0],
    lambda draft: kirtle.Rules(darts=DARTS, balance=0.5),
    lambda draft: draft.suppression,
    lambda draft: draft.girths,
    lambda draft: draft.lengths,
    lambda draft: draft.back,
    lambda draft: draft.back.seams,
    lambda draft: draft.back.darts[0],
    lambda draft: draft.back.edges[0],
    lambda draft: draft.proof,
    lambda draft: draft.proof.checks[0],
]


@pytest.mark.parametrize("select", INSTANCES)
def test_classes_are_frozen_equal_hashable_and_copied(select: Callable[[kirtle.Draft], object], draft: kirtle.Draft) -> None:
    instance = select(draft)
    for twin in (copy.copy(instance), copy.deepcopy(instance), pickle.loads(pickle.dumps(instance))):
        assert twin == instance and hash(twin) == hash(instance) and repr(twin) == repr(instance)
    assert instance != object()
    with pytest.raises(AttributeError):
        setattr(instance, "waist", 1.0)


@pytest.mark.parametrize("select", INSTANCES[:8])
def test_the_repr_of_an_input_is_code_that_rebuilds_it(select: Callable[[kirtle.Draft], object], draft: kirtle.Draft) -> None:
    instance = select(draft)
    assert eval(repr(instance), vars(kirtle)) == instance


def test_negative_zero_equals_zero_in_repr_and_hash() -> None:
    millimetres = kirtle.Body(waist=740, hip=1010, hip_depth=205, length=620, figure=kirtle.Figure(front_hip=500, unit="mm"), unit="mm")
    centimetres = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=kirtle.Figure(front_hip=50))
    assert millimetres == centimetres and (repr(millimetres), millimetres.unit) == (repr(centimetres), "cm")
    with pytest.raises(kirtle.InputError, match="ease.hip: 601 mm is above the maximum of 600 mm"):
        kirtle.Ease(waist=15, hip=601, unit="mm")
    chart = kirtle.SizeChart.from_csv("name,waist,hip,hip_depth,length\n1,720,960,200,600\n2,760,1000,200,600", unit="mm")
    assert chart["1"].waist == 72 and kirtle.GivenDart(intake=30, length=130, centre=80, unit="mm").intake == 3
    plus, minus = kirtle.Ease(waist=0.0, hip=5), kirtle.Ease(waist=-0.0, hip=5)
    assert len({plus, minus}) == 1 and repr(minus) == "Ease(waist=0.0, hip=5.0)"


def test_a_notebook_displays_the_drawing_as_svg(draft: kirtle.Draft) -> None:
    assert "<svg" in draft._repr_svg_() and "mm" not in draft._repr_svg_().split(">")[0]
    assert 'width="577mm"' in draft.svg()
    assert "BACK" in draft.svg() and "cut 1 on the fold" in draft.svg()


INVALID: list[tuple[Callable[[], object], list[tuple[str, str]]]] = [
    (lambda: kirtle.Body(waist=3, hip=999, hip_depth=float("nan"), length=float("inf")),
     [("below_minimum", "body.waist"), ("above_maximum", "body.hip"), ("not_finite", "body.hip_depth"),
      ("not_finite", "body.length")]),
    (lambda: kirtle.Body(waist="70", hip=None, hip_depth=True, length=[60]),  # type: ignore[arg-type]
     [("wrong_type", "body.waist"), ("wrong_type", "body.hip"), ("wrong_type", "body.hip_depth"),
      ("wrong_type", "body.length")]),
    (lambda: kirtle.Ease(waist=-99, hip=0, unit="cm"), [("below_minimum", "ease.waist")]),
    (lambda: kirtle.Ease(waist=0, hip=0, unit="ell"), [("unknown_choice", "unit")]),
    (lambda: kirtle.Shares(back_share=0.6, back_largest_dart=0), [("above_maximum", "rules.shares.back_share"),
                                                            ("below_minimum", "rules.shares.back_largest_dart")]),
    (lambda: kirtle.Rules(balance=50), [("above_maximum", "rules.balance")]),
    (lambda: kirtle.Rules(centre_back_in=1, unit="in"), [("above_maximum", "rules.centre_back_in")]),
    (lambda: kirtle.Rules(shares=kirtle.Shares(), darts=DARTS), [("conflict", "rules.shares")]),
    (lambda: kirtle.GivenDart(intake=3, length=10), [("missing", "dart.place")]),
    (lambda: kirtle.GivenDart(intake=3, length=10, place=0.5, centre=9), [("conflict", "dart.place")]),
    (lambda: kirtle.Darts(back=DARTS.back * 4, front=[]), [("too_many", "rules.darts.back")]),
    (lambda: kirtle.draft(kirtle.Body(waist=70, hip=96, hip_depth=18, length=17), ease=kirtle.Ease(waist=0, hip=0)),
     [("above_hip_line", "body.length")]),
    (lambda: kirtle.draft_json("{"), [("broken_json", "request")]),
    (lambda: kirtle.draft_json("x" * 1_000_000), [("above_maximum", "request")]),
    (lambda: kirtle.draft_json('{"unit": "cm", "body": {"waist": 1}, "ease": 4}'),
     [("below_minimum", "body.waist"), ("missing", "body.hip"), ("missing", "body.hip_depth"),
      ("missing", "body.length"), ("wrong_type", "ease")]),
]


@pytest.mark.parametrize(("call", "expected"), INVALID)
def test_invalid_input_reports_all_problems_at_once(
    call: Callable[[], object], expected: list[tuple[str, str]]
) -> None:
    with pytest.raises(kirtle.InputError) as caught:
        call()
    problems = caught.value.problems
    assert [(problem.code, problem.field) for problem in problems] == expected
    assert str(caught.value) == "\n".join(problem.message for problem in problems)
    assert json.loads(caught.value.to_json())["problems"] == [problem.to_dict() for problem in problems]
    restored = pickle.loads(pickle.dumps(caught.value))
    assert restored.problems == problems and str(restored) == str(caught.value)


def test_a_problem_has_value_limit_unit_and_message() -> None:
    with pytest.raises(kirtle.InputError) as caught:
        kirtle.Body(waist=3, hip=38, hip_depth=8, length=24, unit="in")
    (problem,) = caught.value.problems
    assert (problem.value, problem.limit, problem.unit) == (3.0, 15.75, "in")
    assert (problem.minimum, problem.maximum) == pytest.approx((40 / 2.54, 200 / 2.54)) and problem.choices == []
    assert problem.text == "3 in is below the minimum of 15.75 in"
    assert problem.message == "body.waist: 3 in is below the minimum of 15.75 in"


def test_a_level_outside_the_skirt_is_refused(draft: kirtle.Draft) -> None:
    for level in (-0.1, 60.1, float("nan")):
        with pytest.raises(kirtle.InputError, match="level: "):
            draft.girth_at(level)


def test_an_unknown_schema_name_is_a_key_error() -> None:
    with pytest.raises(KeyError, match="request, result, pattern, lay, fitting, chart, sizes, fit, best_chart, best_sizes, comparison, texts, error"):
        kirtle.schema("letter")


def test_eight_threads_share_one_draft(draft: kirtle.Draft) -> None:
    documents: list[str] = []
    threads = [threading.Thread(target=lambda: documents.append(draft.to_json())) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(documents) == 8 and len(set(documents)) == 1


FIGURE = kirtle.Figure(front_length=100, side_length=101, back_length=99.5, front_hip=53, front_waist=40)


def test_a_figure_of_the_body_decides_heights_and_widths() -> None:
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=FIGURE)
    drafted = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5))
    assert [round(panel.waist_lowering, 9) for panel in (drafted.back, drafted.front)] == [1.5, 1.0]
    assert round(2 * drafted.front.width, 9) == round(53 * 106 / 101, 9)
    assert round(2 * drafted.front.seams.waist, 9) == round(40 * 75.5 / 74, 9)
    assert drafted.proof.holds and {"waist_height", "front_hip", "front_waist"} <= {check.name for check in drafted.proof.checks}
    assert drafted.body == body and drafted.body.figure == FIGURE and drafted.to_dict()["body"]["figure"]["front_hip"] == 53
    assert kirtle.Draft.from_json(json.dumps({"unit": "cm", "body": drafted.to_dict()["body"], "ease": {"waist": 1.5, "hip": 5}})) == drafted
    assert kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62).figure is None


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_a_body_with_a_figure_is_a_value(unit: str) -> None:
    inches = kirtle.Figure(front_length=39.5, side_length=40, unit="in")
    numbers = {"waist": 28, "hip": 38, "hip_depth": 8, "length": 24} if unit == "in" else {"waist": 74, "hip": 101, "hip_depth": 20.5, "length": 62}
    body = kirtle.Body(**numbers, figure=inches, unit=unit)
    assert repr(inches) == 'Figure(front_length=39.5, side_length=40.0, unit="in")' and inches.front_length == 39.5 * 2.54
    for twin in (copy.copy(body), pickle.loads(pickle.dumps(body)), eval(repr(body), vars(kirtle))):
        assert twin == body and hash(twin) == hash(body) and repr(twin) == repr(body) and twin.figure == inches
    assert body != kirtle.Body(**numbers, unit=unit)
    drafted = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5))
    for twin in (copy.copy(drafted), pickle.loads(pickle.dumps(drafted))):
        assert twin == drafted and twin.body.figure == inches


@pytest.mark.parametrize("call", [lambda body: kirtle.SizeChart([("38", body)]),
                                  lambda body: kirtle.SizeChart.demo().draft(ease=kirtle.Ease(waist=1.5, hip=5)).alter(body)])
def test_a_chart_of_sizes_refuses_a_body_with_a_figure(call: Callable[[kirtle.Body], object]) -> None:
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=FIGURE)
    with pytest.raises(kirtle.InputError, match="body.figure: cannot be given together with a chart of sizes"):
        call(body)


@pytest.mark.parametrize(("rules", "text"), [
    (kirtle.Rules(), "Rules()"),
    (kirtle.Rules(side_fullness=2), "Rules(side_fullness=2.0)"),
    (kirtle.Rules(shares=kirtle.Shares(back_share=0.3, back_darts=1)), "Rules(shares=Shares(back_darts=1))"),
    (kirtle.Rules(balance=0, shares=kirtle.Shares(smallest_dart=0.5, unit="in")), 'Rules(balance=0.0, shares=Shares(smallest_dart=1.27))'),
    (kirtle.Rules(darts=kirtle.Darts(back=[], front=[])), "Rules(darts=Darts(back=[], front=[]))"),
])
def test_rules_show_what_differs_from_the_default(rules: kirtle.Rules, text: str) -> None:
    assert repr(rules) == text and eval(text, vars(kirtle)) == rules


def test_shares_in_inches_show_what_differs_in_inches() -> None:
    shares = kirtle.Shares(smallest_dart=0.5, unit="in")
    assert repr(shares) == 'Shares(smallest_dart=0.5, unit="in")' and eval(repr(shares), vars(kirtle)) == shares


def test_short_lists_of_numbers_are_shown_in_full() -> None:
    assert "front_darts=[2.7" in repr(kirtle.SizeChart.demo().draft(ease=kirtle.Ease(waist=1.5, hip=5)).table()[0])
