"""The live draft in a browser: scale, letters, contrast, keyboard, files, and its picture without a kernel."""

import re
import shutil
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import nbclient
import nbconvert
import nbformat
import pytest
from conftest import TESTS
from live_page import LivePage, chromium
from playwright.sync_api import Browser, expect

sys.path.insert(0, str(TESTS.parent / "benches"))
from slider import wait_until_up

import kirtle
from kirtle.widget import LiveDraft

pytestmark = pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")

BODY = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
EASE = kirtle.Ease(waist=1.5, hip=5)
THEMES = {
    "light": "body { background: #fff; } :root { --jp-ui-font-color1: rgba(0, 0, 0, 0.87); }",
    "dark": "body { background: #111; } :root { --jp-ui-font-color1: rgba(255, 255, 255, 0.87); }",
    "bare dark": "body { background: #1e1e1e; color: #d4d4d4; }",
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


@pytest.fixture
def live() -> LiveDraft:
    return LiveDraft(BODY, ease=EASE)


MEASURE = """() => {
  const shown = document.querySelector(".kirtle-drawing svg"), box = shown.getBoundingClientRect();
  const ends = [...shown.querySelectorAll("path, text")].map((mark) => mark.getBoundingClientRect());
  const inside = ends.every((end) => end.left >= box.left && end.right <= box.right && end.top >= box.top && end.bottom <= box.bottom);
  const matrix = shown.getScreenCTM();
  return [matrix.a, matrix.e, matrix.f, box.width, box.height, inside];
}"""
"""Returns the drawing's pixels per cm, origin, width and height in pixels, and whether all of it is inside."""


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize("width", [360, 1600])
def test_the_scale_of_the_drawing_is_the_same_at_every_value_of_the_sliders(browser: Browser, unit: str, width: int) -> None:
    live = LiveDraft(BODY, ease=EASE, unit=unit)
    shown = LivePage(browser, live, width, 900)
    start = shown.page.evaluate(MEASURE)
    assert start[0] > 4 and start[5]
    moves = [{slider["name"]: slider[end]} for slider in live.sliders for end in ("min", "max")]
    moves.append({slider["name"]: slider["max"] for slider in live.sliders if slider["name"] in {"hip", "hip_ease", "length"}})
    for move in moves:
        for name, value in move.items():
            setattr(live, name, value)
        shown.deliver()
        assert shown.page.evaluate(MEASURE) == pytest.approx(start), move
        live.reset()


@pytest.mark.parametrize(("width", "height"), [(360, 640), (800, 600), (1600, 900)])
def test_letters_are_legible_and_sliders_and_drawing_are_seen_together(browser: Browser, live: LiveDraft, width: int, height: int) -> None:
    page = LivePage(browser, live, width, height).page
    sizes = page.locator(".kirtle-drawing text").evaluate_all(
        "(texts) => texts.map((it) => parseFloat(getComputedStyle(it).fontSize) * it.ownerSVGElement.getScreenCTM().a)"
    )
    assert len(sizes) == 13 and min(sizes) >= 11
    boxes: list[Any] = [page.locator(f".kirtle-{part}").bounding_box() for part in ("sliders", "drawing", "results")]
    assert all(box["y"] >= 0 and box["y"] + box["height"] <= height for box in boxes[:2])
    assert min(box["x"] for box in boxes) <= 8 and max(box["x"] + box["width"] for box in boxes) >= width - 8
    assert page.evaluate("document.documentElement.scrollWidth") <= width


OVERLAPS = """(texts) => {
  const boxes = texts.filter((it) => it.textContent).map((it) => [it.textContent, it.getBoundingClientRect()]);
  const meet = (a, b) => a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 3 && b.top < a.bottom - 3;
  return boxes.flatMap(([name, box], k) => boxes.slice(k + 1).filter(([, other]) => meet(box, other)).map(([other]) => [name, other]));
}"""
"""Returns the pairs of texts that overlap by more than the space above and below the letters."""


@pytest.mark.parametrize("unit", ["cm", "in"])
@pytest.mark.parametrize(("waist", "hip", "hip_depth", "length"), [
    (74, 101, 20.5, 62), (60, 80, 12, 22), (60, 80, 19, 21), (60, 80, 20, 40), (120, 140, 24, 105), (92, 94, 20, 60),
])
def test_letters_do_not_overlap(browser: Browser, unit: str, waist: float, hip: float, hip_depth: float, length: float) -> None:
    live = LiveDraft(kirtle.Body(waist=waist, hip=hip, hip_depth=hip_depth, length=length), ease=EASE, unit=unit)
    page = LivePage(browser, live, 360).page
    assert page.locator(".kirtle-drawing text").evaluate_all(OVERLAPS) == [] and page.evaluate(MEASURE)[5]


def luminance(colour: tuple[float, ...]) -> float:
    """Returns the relative luminance of an sRGB colour (WCAG 2.2)."""
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in (part / 255 for part in colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(ink: str, ground: str, cloth: float) -> float:
    """Returns the contrast of a CSS colour on a ground; `cloth` is the opacity of cloth in the text colour between them."""
    ink_numbers, ground_numbers = ([float(number) for number in re.findall(r"[\d.]+", colour)] for colour in (ink, ground))
    light = luminance(tuple(ground_numbers[:3])) < 0.2
    tinted = [(1 - cloth) * part + cloth * (255 if light else 0) for part in ground_numbers[:3]]
    alpha = ink_numbers[3] if len(ink_numbers) > 3 else 1
    seen = [alpha * part + (1 - alpha) * below for part, below in zip(ink_numbers[:3], tinted, strict=True)]
    high, low = sorted((luminance(tuple(seen)), luminance(tuple(tinted))), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", THEMES)
def test_ink_can_be_read_in_light_and_dark_themes(browser: Browser, live: LiveDraft, theme: str) -> None:
    live.length = 12
    page = LivePage(browser, live, style=THEMES[theme]).page
    expect(page.locator(".kirtle-error")).to_contain_text("12 cm is below the minimum of 15 cm")
    ground = page.evaluate("getComputedStyle(document.body).backgroundColor")

    def inks(selector: str, name: str) -> set[str]:
        found = page.locator(selector).evaluate_all("(all, name) => all.map((it) => getComputedStyle(it)[name])", name)
        assert found
        return set(found) - {"none"}

    texts = inks(".kirtle-drawing text", "fill")
    for part in (".kirtle-error", "td", "th", "caption", "figcaption", "label span", "input[type=number]", "button"):
        texts |= inks(part, "color")
    lines = inks(".kirtle-drawing path", "stroke") | inks(".kirtle-status p", "borderLeftColor") | inks(".kirtle-drawing", "outlineColor")
    lines |= inks(".kirtle-slider input[type=number]", "borderTopColor")
    for cloth in (0, 0.06):
        assert min(contrast(ink, ground, cloth) for ink in texts) >= 4.5
        assert len(lines) >= 3 and min(contrast(ink, ground, cloth) for ink in lines) >= 3
    assert inks(".kirtle *", "opacity") == {"1"}


def test_a_number_box_shows_and_takes_numbers_between_the_steps_and_beyond_the_slider(browser: Browser, live: LiveDraft) -> None:
    shown = LivePage(browser, live)
    box, bar = shown.page.get_by_label("ease at the hip in cm"), shown.page.locator("input[name=hip_ease]")
    live.hip_ease = 4.3
    shown.deliver()
    assert box.input_value() == "4.3" and bar.get_attribute("aria-valuetext") == "4.3 cm"
    box.fill("14.2")
    box.press("Enter")
    shown.page.get_by_text("115.2 cm").wait_for()
    assert live.hip_ease == 14.2 and bar.get_attribute("aria-valuetext") == "14.2 cm"
    waist = shown.page.get_by_label("waist in cm", exact=True)
    waist.fill("30")
    waist.press("Tab")
    expect(shown.page.get_by_role("status")).to_contain_text("body.waist: 30 cm is below the minimum of 40 cm")
    assert waist.input_value() == "30" and live.waist == 30 and live.draft.body.waist == 74
    waist.fill("")
    waist.press("Tab")
    assert live.waist == 30 and waist.input_value() == "30"
    live.hip = 100 + 1 / 3
    shown.deliver()
    hip = shown.page.get_by_label("hip in cm", exact=True)
    hip.press("Enter")
    assert hip.input_value() == "100.333" and live.hip == 100 + 1 / 3


def test_the_keyboard_reaches_every_control(browser: Browser, live: LiveDraft) -> None:
    page = LivePage(browser, live).page
    expect(page.locator("input[name=waist]")).to_be_enabled()
    reached = []
    for _ in range(16):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.name || document.activeElement.ariaLabel"))
        if reached[-1] == "hip_ease":
            page.keyboard.press("ArrowRight")
            page.keyboard.press("ArrowRight")
            page.get_by_text("107.0 cm").wait_for()
    names = ["waist", "hip", "hip_depth", "length", "waist_ease", "hip_ease"]
    assert reached[:12:2] == names and all(label.endswith(" in cm") for label in reached[1:12:2])
    assert reached[12:] == ["Reset to the starting draft", "SVG of the draft", "PDF of the pattern", "Python code of the draft"]
    assert live.hip_ease == 6
    page.keyboard.press("Space")
    expect(page.locator(".kirtle-call")).to_have_text(live.call)
    page.get_by_role("button", name="Reset").press("Enter")
    page.get_by_text("106.0 cm").wait_for()
    assert live.hip_ease == 5
    assert page.get_by_role("status").count() == 1 and page.locator("table caption").inner_text() == "Main lengths of the draft"
    assert page.get_by_role("img", name="Back and front of a straight skirt with 2 darts in the back and 2 darts in the front").count() == 1


def test_the_files_are_those_of_the_draft_that_is_seen(browser: Browser, live: LiveDraft) -> None:
    live.hip_ease = 6
    page = LivePage(browser, live).page
    for button, name, content in (
        ("SVG of the draft", "skirt.svg", live.draft.svg("cm").encode()), ("PDF of the pattern", "skirt.pdf", live.draft.pattern().pdf()),
    ):
        with page.expect_download() as download:
            page.get_by_role("button", name=button).click()
        assert download.value.suggested_filename == name and Path(download.value.path()).read_bytes() == content


def test_without_a_kernel_the_last_draft_is_seen_and_the_controls_are_disabled(browser: Browser, live: LiveDraft) -> None:
    live.hip_ease = 7
    page = LivePage(browser, live, answers=False).page
    expect(page.get_by_role("status")).to_contain_text("Start the kernel to redraw.", timeout=10_000)
    expect(page.locator(".kirtle-drawing svg")).to_be_visible()
    expect(page.get_by_text("108.0 cm")).to_be_visible()
    controls = page.locator(".kirtle input, .kirtle button")
    assert controls.count() == 16 and all(control.is_disabled() for control in controls.all())


@pytest.mark.parametrize("answers", [False, True])
def test_a_still_picture_is_seen_until_the_kernel_answers(browser: Browser, live: LiveDraft, answers: bool) -> None:
    page = LivePage(browser, live, content=f'<p class="{live.still}">still</p>', answers=answers).page
    seen, unseen = [page.locator(".kirtle-live"), page.get_by_text("still")][:: 1 if answers else -1]
    expect(seen).to_be_visible()
    expect(unseen).to_be_hidden()


def test_a_kernel_that_stops_answering_disables_the_controls_until_it_answers(browser: Browser, live: LiveDraft) -> None:
    shown = LivePage(browser, live)
    bar, status = shown.page.locator("input[name=hip]"), shown.page.get_by_role("status")
    expect(bar).to_be_enabled()
    answer, live._handle_msg = live._handle_msg, lambda message: None
    bar.press("ArrowRight")
    expect(bar).to_be_disabled(timeout=20_000)
    expect(status).to_contain_text("Start the kernel to redraw.")
    live._handle_msg = answer
    live.send({})
    shown.deliver()
    expect(bar).to_be_enabled()
    expect(status).to_have_text("")


def test_a_page_made_of_a_notebook_shows_the_draft_without_kernel_and_network(browser: Browser, tmp_path: Path) -> None:
    """The state of widgets is not stored, as JupyterLab does not store it; the page is opened offline."""
    code = "import kirtle; from kirtle.widget import LiveDraft\nbody = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)\n"
    code += "live = LiveDraft(body, ease=kirtle.Ease(waist=1.5, hip=0)); live.hip = 100; live"
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(code)])
    nbclient.NotebookClient(notebook, timeout=60, kernel_name="python3", store_widget_state=False).execute()
    (tmp_path / "page.html").write_text(nbconvert.HTMLExporter().from_notebook_node(notebook)[0])
    context = browser.new_context(offline=True, viewport={"width": 360, "height": 640})
    page = context.new_page()
    page.goto((tmp_path / "page.html").as_uri())
    picture = page.get_by_role("img", name="Back and front of a straight skirt")
    size: Any = picture.bounding_box()
    assert picture.evaluate("it => it.complete && it.naturalWidth > 0") and size["width"] > 250 and size["height"] > 200
    for text in ("finished hip", "100.0 cm", "The draft as last seen", "Start the kernel and run the cell to redraw."):
        expect(page.get_by_text(text)).to_be_visible()
    (finding,) = LiveDraft(kirtle.Body(waist=74, hip=100, hip_depth=20.5, length=62), ease=kirtle.Ease(waist=1.5, hip=0)).findings
    expect(page.get_by_text(finding)).to_be_visible()
    context.close()


APP = """import marimo
app = marimo.App()

@app.cell
def _():
    import kirtle
    from kirtle.widget import LiveDraft
    live = LiveDraft(kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62), ease=kirtle.Ease(waist=1.5, hip=5))
    live
    return (live,)
"""


@contextmanager
def marimo_server(folder: Path) -> Iterator[str]:
    """Runs a marimo app with a live draft; yields its address."""
    (folder / "app.py").write_text(APP)
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    server = subprocess.Popen(
        [sys.executable, "-m", "marimo", "run", str(folder / "app.py"), "--headless", "--no-token", "--port", str(port)],
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )
    try:
        yield wait_until_up(f"http://127.0.0.1:{port}/health", server).removesuffix("health")
    finally:
        server.terminate()
        server.wait(20)


def test_marimo_shows_the_live_draft(browser: Browser, tmp_path: Path) -> None:
    with marimo_server(tmp_path) as address:
        page = browser.new_page()
        page.goto(address)
        bar = page.locator("input[name=hip_ease]")
        expect(bar).to_be_enabled(timeout=60_000)
        bar.press("ArrowRight")
        page.get_by_text("106.5 cm").wait_for()
        assert bar.get_attribute("aria-valuetext") == "5.5 cm"
