"""The live draft, by its traits and by the messages of a front end."""

import shutil
import subprocess
import sys
from typing import Any

import pytest
import traitlets
from conftest import TESTS
from playwright.sync_api import sync_playwright

import kirtle
from kirtle.widget import LiveDraft

BODY = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
EASE = kirtle.Ease(waist=1.5, hip=5)


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
    assert live.draft == draft and live.svg == draft.svg("cm", fit=True) and live.error == ""
    assert (live.waist, live.hip, live.hip_depth, live.length, live.waist_ease, live.hip_ease) == (74, 101, 20.5, 62, 1.5, 5)
    assert live.numbers == {
        "finished waist": "75.5 cm", "finished hip": "106.0 cm",
        "suppression of half the garment": "15.4 cm", "intake at each side edge": "3.9 cm", "back darts": "2.3 cm + 2.3 cm",
        "front darts": "1.5 cm + 1.5 cm", "centre back below side": "0.8 cm", "centre front below side": "1.0 cm",
    }


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
    assert live.draft == draft and live.svg == draft.svg("cm", fit=True) != before


def test_a_refused_value_shows_an_error_and_keeps_the_last_drawing(live: LiveDraft) -> None:
    before, draft = live.svg, live.draft
    live.length = 21
    assert live.error == "body.length: 21 cm is too short: the hem must be at least 1 cm below the hip line; the minimum is 21.5 cm"
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
    assert live.draft.body.waist == pytest.approx(29 * 2.54) and live.draft.svg("in", fit=True) == live.svg
    live.waist = 2
    assert live.error == "body.waist: 2 in is below the minimum of 16 in"


SHOW = """async ({ esm, css, state }) => {
  document.head.appendChild(document.createElement("style")).textContent = css;
  const listeners = {};
  window.model = {
    get: (name) => state[name], off() {}, on: (event, show) => (listeners[event] = show),
    update: (changes) => { Object.assign(state, changes); for (const name in changes) listeners[`change:${name}`]?.(); },
  };
  const address = URL.createObjectURL(new Blob([esm], { type: "text/javascript" }));
  (await import(address)).default.render({ model, el: document.body.appendChild(document.createElement("div")) });
}"""
"""Renders the widget in a page, with a model that takes updates as a kernel sends them."""

MEASURE = """(svg) => {
  model.update({ svg });
  const shown = document.querySelector(".kirtle-drawing svg"), box = shown.getBoundingClientRect();
  const ends = [...shown.querySelectorAll("path")].map((path) => path.getBoundingClientRect());
  const inside = ends.every((end) => end.left >= box.left && end.right <= box.right && end.top >= box.top && end.bottom <= box.bottom);
  return [shown.getScreenCTM().a, box.width, box.height, inside];
}"""
"""Shows a drawing; returns its pixels per mm, its width and height in pixels, and whether all paths are inside."""


@pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")
@pytest.mark.parametrize("unit", ["cm", "in"])
def test_the_scale_of_the_drawing_is_the_same_at_every_value_of_the_sliders(unit: str) -> None:
    live = LiveDraft(BODY, ease=EASE, unit=unit)
    state = {name: getattr(live, name) for name in live.keys if not name.startswith("_") and name not in {"layout", "tooltip"}}
    esm, css = ((TESTS.parent / "python" / "kirtle" / f"widget.{suffix}").read_text() for suffix in ("js", "css"))
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for width in (360, 1600):
            page = browser.new_page(viewport={"width": width, "height": 900})
            page.evaluate(SHOW, {"esm": esm, "css": css, "state": state})
            start = page.evaluate(MEASURE, live.svg)
            assert start[0] > 0 and start[3]
            for slider in live.sliders:
                value = getattr(live, slider["name"])
                for end in (slider["min"], slider["max"]):
                    setattr(live, slider["name"], end)
                    assert page.evaluate(MEASURE, live.svg) == pytest.approx(start)
                setattr(live, slider["name"], value)
            for name in ("hip", "hip_ease", "length"):
                setattr(live, name, next(slider["max"] for slider in live.sliders if slider["name"] == name))
            assert live.error == "" and page.evaluate(MEASURE, live.svg) == pytest.approx(start)
            for name in ("hip", "hip_ease", "length"):
                setattr(live, name, state[name])
        browser.close()


def test_rules_are_kept_when_a_slider_moves() -> None:
    rules = kirtle.Rules(balance=0, shares=kirtle.Shares(largest_dart=5))
    live = LiveDraft(BODY, ease=EASE, rules=rules)
    live.waist = 72
    assert live.draft.rules == rules and len(live.draft.back.darts) == 1


def test_an_invalid_body_or_unit_is_refused() -> None:
    with pytest.raises(kirtle.InputError, match="is too short: the hem must be at least 1 cm below the hip line"):
        LiveDraft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=20.5), ease=EASE)
    with pytest.raises(kirtle.InputError, match='unit: "mm" is not "cm" or "in"'):
        LiveDraft(BODY, ease=EASE, unit="mm")


def test_script_style_and_stub_files_are_packaged() -> None:
    """The wheel contains every file of the Python package; the source package contains what Cargo.toml lists."""
    assert LiveDraft(BODY, ease=EASE).trait_values()["_esm"].startswith("// Browser side of the widget")
    cargo = (TESTS.parent / "Cargo.toml").read_text()
    suffixes = {path.suffix for path in (TESTS.parent / "python" / "kirtle").rglob("*") if path.suffix in {".js", ".css", ".pyi"}}
    assert suffixes == {".js", ".css", ".pyi"} and all(f'"/python/**/*{suffix}"' in cargo for suffix in suffixes)


def test_a_missing_anywidget_is_named() -> None:
    code = "import sys, kirtle; sys.modules['anywidget'] = None\n"
    code += "try: import kirtle.widget\nexcept ImportError as error: print(error)"
    printed = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert printed == "kirtle.widget requires anywidget, but anywidget is missing: pip install kirtle[widget]\n"
