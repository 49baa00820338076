"""The live draft, by its traits and by the messages of a front end."""

import subprocess
import sys
from typing import Any

import numpy as np
import pytest
import traitlets

import kirtle
from kirtle.screen_drawing import outline
from kirtle.widget import STEPS, LiveDraft

BODY = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
EASE = kirtle.Ease(waist=1.5, hip=5)
STARTING = kirtle.draft(BODY, ease=EASE)


@pytest.fixture
def live() -> LiveDraft:
    return LiveDraft(BODY, ease=EASE)


def message(live: LiveDraft, **state: object) -> list[dict[str, Any]]:
    """Sends the widget a state update as a front end does; returns the states that the widget sends back."""
    sent: list[dict[str, Any]] = []
    live.comm.publish_msg = lambda kind, data=None, **_: sent.append(data or {})
    live._handle_msg({"content": {"data": {"method": "update", "state": state, "buffer_paths": []}}, "buffers": []})
    return [data["state"] for data in sent if data.get("method") == "update"]


def test_the_widget_starts_with_the_draft_of_its_body(live: LiveDraft) -> None:
    draft = kirtle.draft(BODY, ease=EASE)
    assert live.draft == draft and outline(draft.back) in live.svg and outline(draft.front) in live.svg and live.error == ""
    assert (live.waist, live.hip, live.hip_depth, live.length, live.waist_ease, live.hip_ease) == (74, 101, 20.5, 62, 1.5, 5)
    assert live.numbers == {
        "finished waist": "75.5 cm", "finished hip": "106.0 cm",
        "suppression of half the garment": "15.4 cm", "intake at each side edge": "3.9 cm", "back darts": "2.3 cm + 2.3 cm",
        "front darts": "1.5 cm + 1.5 cm", "centre back below side": "0.8 cm", "centre front below side": "1.0 cm",
    }


def test_a_function_is_called_with_each_new_draft(live: LiveDraft) -> None:
    seen: list[Any] = []
    live.observe(lambda change: seen.append((change.new, live.error)), "draft")
    live.hip_ease = 7
    live.length = 12
    live.length = 60
    assert [draft.ease.hip for draft, _ in seen] == [7, 7] and seen[-1] == (live.draft, "") and live.draft.body.length == 60


def test_the_figure_of_the_body_stays_while_sliders_move() -> None:
    figure = kirtle.Figure(front_length=100, side_length=101, front_waist=40)
    live = LiveDraft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=figure), ease=EASE)
    live.waist = 75
    assert live.error == "" and live.draft.body.figure == figure and round(live.draft.front.waist_lowering, 9) == 1


@pytest.mark.parametrize(("name", "value"), [
    ("waist", 70), ("hip", 104.5), ("hip_depth", 19), ("length", 70), ("waist_ease", 0), ("hip_ease", 9),
])
def test_each_slider_changes_the_draft(live: LiveDraft, name: str, value: float) -> None:
    before = live.svg
    setattr(live, name, value)
    body = {field: getattr(BODY, field) for field in ("waist", "hip", "hip_depth", "length")} | {"waist_ease": 1.5, "hip_ease": 5}
    body[name] = value
    ease = kirtle.Ease(waist=body.pop("waist_ease"), hip=body.pop("hip_ease"))
    draft = kirtle.draft(kirtle.Body(**body), ease=ease)
    assert live.draft == draft and live.svg != before
    for panel, earlier in ((draft.back, STARTING.back), (draft.front, STARTING.front)):
        assert outline(panel) in live.svg and outline(earlier) in live.svg


def test_a_refused_value_shows_an_error_and_keeps_the_last_drawing(live: LiveDraft) -> None:
    before, draft = live.svg, live.draft
    live.length = 21
    assert live.error == "body.length: 21 cm is too short: the hem must lie below the hip line; the minimum is 21.5 cm"
    assert live.svg is before and live.draft is draft and live.length == 21
    live.hip_depth = 7
    assert live.error == "body.hip_depth: 7 cm is below the minimum of 10 cm"
    live.hip_depth, live.length = 20.5, 62
    assert live.error == "" and live.draft == draft


def test_a_front_end_receives_the_drawing_or_the_error(live: LiveDraft) -> None:
    states = message(live, hip_ease=7)
    answer = {name: value for state in states for name, value in state.items()}
    assert answer["svg"] == live.svg and live.draft.ease.hip == 7 and answer["numbers"]["back darts"] == "2.5 cm + 2.5 cm"
    (refused,) = [state for state in message(live, length=21) if "error" in state]
    assert "svg" not in refused and refused["error"] == live.error != ""
    message(live, length=62, waist="wide")
    assert live.waist == 74
    with pytest.raises(traitlets.TraitError):
        live.svg = "<svg/>"


def test_findings_are_shown_as_messages() -> None:
    live = LiveDraft(BODY, ease=kirtle.Ease(waist=1.5, hip=0))
    assert live.findings == [finding.message for finding in live.draft.findings] != []


def test_no_finding_is_shown_twice() -> None:
    live = LiveDraft(BODY, ease=kirtle.Ease(waist=0, hip=2), more="high_hip")
    assert len(live.findings) == 2 and live.findings == [finding.message for finding in live.draft.findings]


def test_each_display_keeps_its_own_still_picture(live: LiveDraft, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: dict[str | None, str] = {}
    monkeypatch.setattr("kirtle.widget.display", lambda data, display_id=None, **_: shown.update({display_id: data["text/plain"]}))
    live._ipython_display_()
    live.hip_ease = 7
    live._ipython_display_()
    assert [text.partition("hip_ease=")[2][:1] for name, text in shown.items() if name] == ["5", "7"]


def test_only_shown_sliders_and_known_attributes_can_be_set() -> None:
    live = LiveDraft(STARTING, more="largest_dart")
    live.back_largest_dart = 2.2
    assert live.draft.rules.shares and live.draft.rules.shares.back_largest_dart == 2.2
    assert live.call.endswith("rules=kirtle.Rules(shares=kirtle.Shares(back_largest_dart=2.2)))")
    for name in ("hip_eas", "largest_dart", "side_fullness"):
        with pytest.raises(AttributeError, match=f"no slider '{name}'; the sliders are waist, hip, .*, front_largest_dart"):
            setattr(live, name, 9)
    with pytest.raises(TypeError, match="a body and its ease, or a draft"):
        LiveDraft(STARTING, ease=EASE)


def test_a_high_hip_is_drafted_once_its_slider_is_moved() -> None:
    live = LiveDraft(BODY, ease=EASE, more=["high_hip"])
    assert live.draft.body.figure is None and "high_hip" not in live.call
    live.high_hip = 98
    figure = live.draft.body.figure
    assert figure and figure.high_hip == 98 and figure.high_hip_depth == live.high_hip_depth and "high_hip=98.0" in live.call
    live.reset()
    assert live.draft == STARTING


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("body", [BODY, kirtle.Body(waist=16.1, hip=20.3, hip_depth=4.2, length=16.7, unit="in")])
def test_sliders_stay_within_the_range_and_include_their_start(body: kirtle.Body, unit: str) -> None:
    live = LiveDraft(body, ease=EASE, unit=unit)
    for slider in live.sliders:
        low, high, step, start = slider["min"], slider["max"], slider["step"], getattr(live, slider["name"])
        assert low <= start < high and (start - low) / step == pytest.approx(round((start - low) / step))
        for end in (low, high):
            setattr(live, slider["name"], end)
            assert " the minimum of " not in live.error and " the maximum of " not in live.error
        setattr(live, slider["name"], start)
        assert live.error == ""


def test_the_widget_takes_inches() -> None:
    body = kirtle.Body(waist=28, hip=38, hip_depth=8, length=24, unit="in")
    live = LiveDraft(body, ease=kirtle.Ease(waist=0.5, hip=2, unit="in"), unit="in")
    assert (live.waist, live.hip_ease) == pytest.approx((28, 2)) and live.numbers["intake at each side edge"].endswith(" in")
    live.waist = 29
    assert live.draft.body.waist == pytest.approx(29 * 2.54) and ">hem 9 5/8 in<" in live.svg
    live.waist = 2
    assert live.error == "body.waist: 2 in is below the minimum of 15.75 in"


def test_rules_are_kept_when_a_slider_moves() -> None:
    rules = kirtle.Rules(balance=0, shares=kirtle.Shares(back_largest_dart=5))
    live = LiveDraft(BODY, ease=EASE, rules=rules)
    live.waist = 72
    assert live.draft.rules == rules and len(live.draft.back.darts) == 1


def test_sliders_on_request_change_the_rules_and_show_the_tightest_ease() -> None:
    live = LiveDraft(BODY, ease=EASE, more=("largest_dart", "high_hip", "side_fullness"))
    assert [slider["name"] for slider in live.sliders][6:] == ["side_fullness", "back_largest_dart", "front_largest_dart", "high_hip", "high_hip_depth"]
    assert live.draft == STARTING and (live.side_fullness, live.back_largest_dart, live.high_hip_depth) == (1.5, 3, 10)
    live.back_largest_dart, live.side_fullness, live.high_hip = 5, 1.6, 96
    rules = kirtle.Rules(side_fullness=1.6, shares=kirtle.Shares(back_largest_dart=5))
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62, figure=kirtle.Figure(high_hip=96, high_hip_depth=10))
    assert live.draft == kirtle.draft(body, ease=EASE, rules=rules) and len(live.draft.back.darts) == 1
    profile = live.draft.ease_by_level(high_hip=96, high_hip_depth=10)
    assert live.numbers["tightest ease"] == f"−{-profile.tightest[1]:.1f} cm, {profile.tightest[0]:.1f} cm below waist"
    assert live.findings == list(dict.fromkeys(finding.message for finding in [*live.draft.findings, *profile.findings]))
    live.high_hip = 30
    assert live.error == "body.figure.high_hip: 30 cm is below the minimum of 40 cm"


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("hip_depth", [10, 20.5, 24.3, 35])
def test_the_high_hip_starts_at_the_girth_that_a_draft_assumes(hip_depth: float, unit: str) -> None:
    body, per_unit, step = kirtle.Body(waist=74, hip=101, hip_depth=hip_depth, length=62), 1 if unit == "cm" else 2.54, STEPS[unit]
    live = LiveDraft(body, ease=EASE, unit=unit, more=["high_hip"])
    assert live.high_hip_depth * per_unit == pytest.approx(hip_depth / 2, abs=0.51 * step * per_unit) and live.error == ""
    profile = live.draft.ease_by_level(step=0.5)
    assumed = np.interp(live.high_hip_depth * per_unit, profile.levels, profile.body)
    assert live.high_hip * per_unit == pytest.approx(assumed, abs=0.51 * step * per_unit)


def test_a_slider_that_the_rules_do_not_have_is_refused() -> None:
    with pytest.raises(ValueError, match="more: 'balance' is not one of side_fullness, largest_dart, high_hip"):
        LiveDraft(BODY, ease=EASE, more=["balance"])
    darts = kirtle.Darts(back=[kirtle.GivenDart(intake=3, length=12, place=0.5)], front=[])
    with pytest.raises(ValueError, match="more: 'largest_dart' is given for rules with given darts"):
        LiveDraft(BODY, ease=EASE, rules=kirtle.Rules(darts=darts), more=["largest_dart"])


@pytest.mark.parametrize("rules", [None, kirtle.Rules(balance=0.3), kirtle.Rules(darts=kirtle.Darts(
    back=[kirtle.GivenDart(intake=3, length=12, place=0.5)], front=[kirtle.GivenDart(intake=2.2, length=9, centre=8)]))])
@pytest.mark.parametrize("unit", ["cm", "in"])
def test_the_python_call_makes_the_draft_that_is_seen(unit: str, rules: kirtle.Rules | None) -> None:
    live = LiveDraft(BODY, ease=EASE, rules=rules, unit=unit)
    assert eval(live.call, {"kirtle": kirtle}) == live.draft == kirtle.draft(BODY, ease=EASE, rules=rules)
    live.hip, live.waist_ease = live.hip + 1 / 3, 0.7
    assert eval(live.call, {"kirtle": kirtle}) == live.draft
    assert ("rules=" in live.call) == (rules is not None)


@pytest.mark.parametrize("unit", ["cm", "in"])
def test_reset_goes_back_to_the_starting_draft_and_its_scale(unit: str) -> None:
    live = LiveDraft(BODY, ease=EASE, unit=unit)
    start, hip, length = live.svg, live.hip, live.length
    live.hip += 40
    live.hip = hip
    assert live.svg != start
    live.length = 1
    live.reset()
    assert (live.error, live.hip, live.length) == ("", hip, length) and live.draft == STARTING and live.svg == start


def test_an_invalid_body_or_unit_is_refused() -> None:
    with pytest.raises(kirtle.InputError, match="is too short: the hem must lie below the hip line"):
        LiveDraft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=20.5), ease=EASE)
    with pytest.raises(kirtle.InputError, match='unit: "mm" is not "cm" or "in"'):
        LiveDraft(BODY, ease=EASE, unit="mm")


def test_a_missing_anywidget_is_named() -> None:
    code = "import sys, kirtle; sys.modules['anywidget'] = None\n"
    code += "try: import kirtle.widget\nexcept ImportError as error: print(error)"
    printed = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert printed == "kirtle.widget requires anywidget, but anywidget is missing: pip install kirtle[widget]\n"
