"""WebAssembly gives the bytes of the native library, in Node and in a browser; the npm package has types; the page drafts."""

import hashlib
import json
import os
import random
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from conftest import TESTS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from live_page import chromium
from playwright.sync_api import Browser, Page, Route, expect
from test_hostile import DOCUMENTS, mutated
from test_types import NODE, tools  # noqa: F401  A fixture.

import kirtle

ROOT = TESTS.parent
TARGET = "wasm32-unknown-unknown"
COMPILER = ROOT / "target" / "wasm-compiler" / "rustc"
ADDRESS = "http://localhost/kirtle/"
"""Address at which the browser finds the package; no server is asked."""

FILES = (("skirt.svg", "A4"), ("skirt.dxf", "A4"), ("skirt.json", "A4"), ("skirt.pdf", "roll 90 cm"), ("skirt.txt", "A4"), ("skirt.PDF", "foolscap"))
"""Names of pattern files and their paper."""

TEXTS = '{"hem_length": "Saum {length}", "decimal_mark": ",", "back": "Rückenteil", "grain_line": "Ίσιο νήμα", "little_waist_ease": "{measured} {usual_min} {usual_max}"}'
"""Some texts in other languages."""

Row = dict[str, Any]
Question = list[str]


def compiler() -> dict[str, str]:
    """Returns the variables under which cargo compiles to WebAssembly: none if rustup has the target, else those of the unpacked compiler,
    which compiles the standard library, too."""
    found = subprocess.run(["rustc", "--print", "target-libdir", "--target", TARGET], capture_output=True, text=True)
    if found.returncode == 0 and Path(found.stdout.strip()).is_dir():
        return {}
    if not COMPILER.exists():
        pytest.skip(f"no compiler for WebAssembly: `rustup target add {TARGET}` or `bash tests/web/compiler` brings it")
    sysroot = subprocess.run(["rustc", "--print", "sysroot"], capture_output=True, text=True, check=True).stdout.strip()
    (linker,) = Path(sysroot).glob("lib/rustlib/*/bin/rust-lld")
    return {
        "RUSTC": str(COMPILER), "RUSTC_BOOTSTRAP": "1", "CARGO_UNSTABLE_BUILD_STD": "std,panic_abort",
        "CARGO_UNSTABLE_BUILD_STD_FEATURES": "optimize_for_size", "CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER": str(linker),
    }


@pytest.fixture(scope="module")
def package(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Builds the npm package and the page."""
    folder = tmp_path_factory.mktemp("web")
    subprocess.run([ROOT / "src" / "web" / "build", folder], env=os.environ | compiler() | {"KIRTLE_WEB_PROFILE": "web-test"}, check=True)
    return folder


def drawn(name: str, count: int) -> list[Row]:
    """Returns requests or charts of any numbers in range, many of them damaged; most are refused."""
    rows: list[Row] = []

    @settings(max_examples=count // 2, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
    @given(*(st.one_of(document, mutated(document)) for document in DOCUMENTS[name].values()))
    def draw(in_cm: Row, in_inches: Row) -> None:
        rows.extend([in_cm, in_inches])

    draw()
    return rows


def ordinary_body(rng: random.Random, scale: float) -> Row:
    """Returns the measurements of a body; most drafts of it can be sewn."""
    waist = rng.uniform(58, 110)
    lengths = {"waist": waist, "hip": waist + rng.uniform(8, 34), "hip_depth": rng.uniform(16, 24), "length": rng.uniform(38, 90)}
    return {name: length * scale for name, length in lengths.items()}


def ordinary_request(rng: random.Random) -> Row:
    """Returns a request of an ordinary body with some of the optional fields."""
    unit = rng.choice(["cm", "in"])
    scale = 1 if unit == "cm" else 1 / 2.54
    dart = {"intake": rng.uniform(1.5, 3) * scale, "length": rng.uniform(8, 12) * scale, "place": 0.5}
    shares = {"back_share": rng.uniform(0.2, 0.5), "back_darts": rng.choice(["auto", "per_size", 0, 1, 2, 3]), "steepest_side": rng.uniform(10, 20)}
    cutting = {"preset": rng.choice(["trial", "garment", "none"]), "name": rng.choice(["", "Zoë & Жанна", "漢字"]), "press": rng.choice(["centre", "side"])}
    optional: Row = {
        "rules": rng.choice([{"balance": rng.uniform(-1, 1) * scale, "shares": shares}, {"darts": {"back": [dart], "front": []}}]),
        "cutting": cutting | rng.choice([{}, {"vent": 15 * scale}, {"pieces": ["back", "front", "waistband"]}, {"pieces": ["back", "front", "facing"]}]),
        "cloth": {"width": rng.uniform(90, 160) * scale, "folded": rng.random() < 0.5, "one_way": rng.random() < 0.5},
        "corrections": [{"what": rng.choice(["waist", "hip", "length", "hip_line"]), "by": rng.uniform(-1, 2) * scale}],
    }
    ease = {"waist": rng.uniform(0, 3) * scale, "hip": rng.uniform(1, 8) * scale}
    given = {name: value for name, value in optional.items() if rng.random() < 0.5}
    return {"unit": unit, "body": ordinary_body(rng, scale), "ease": ease, **given}


def ordinary_chart(rng: random.Random) -> Row:
    """Returns a chart of sizes that grow, with some of the questions on it."""
    unit = rng.choice(["cm", "in"])
    scale = 1 if unit == "cm" else 1 / 2.54
    step, first = rng.uniform(2, 5), rng.uniform(60, 80)
    sizes = [{"name": f"{36 + 2 * k}", "waist": (first + k * step) * scale, "hip": (first + 24 + k * step) * scale,
              "hip_depth": (19 + k / 5) * scale, "length": 60 * scale} for k in range(rng.randint(2, 8))]
    optional: Row = {
        "ease": {"waist": rng.uniform(0, 3) * scale, "hip": rng.uniform(2, 7) * scale},
        "body": ordinary_body(rng, scale),
        "choose": {"by": rng.choice(["hip", "waist", "both"]), "tolerance": rng.uniform(0, 2) * scale},
        "blend": {"waist": {"from": "36"}, "hip": {"from": "36", "to": "38", "fraction": rng.random()}},
        "min_step_mm": rng.uniform(0, 10),
    }
    given = {name: value for name, value in optional.items() if rng.random() < 0.7}
    return {"unit": unit, "sizes": sizes, **given}


@pytest.fixture(scope="module")
def questions(samples: dict[str, Row], tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Question] | list[str]]:
    """Returns calls of the package's functions, and the SHA-256 of the native answer to each."""
    rng = random.Random(7)
    requests = [json.dumps(row) for row in drawn("request", 600) + [ordinary_request(rng) for _ in range(2400)]]
    requests += [json.dumps(sample) for kind in samples.values() for sample in kind.values()]
    requests += ["", "{", "[]", '{"unit": "cm", "unit": "in"}', '"\\ud800"', " " * 70_000, '{"é": "漢"}']
    charts = [json.dumps(row) for row in drawn("chart", 100) + [ordinary_chart(rng) for _ in range(400)]] + ["", "{}"]
    assert len(requests) >= 3000 and len(charts) >= 500
    asked = [["draftJson", request] for request in requests] + [["draftSvg", request] for request in requests]
    asked += [["patternFile", request, *FILES[k % len(FILES)]] for k, request in enumerate(requests[::3])]
    asked += [["draftSvg", request, texts] for request in requests[1000:1200:9] for texts in (TEXTS, "{", '{"hems": ""}')]
    asked += [["patternFile", request, *FILES[k % len(FILES)], TEXTS] for k, request in enumerate(requests[1000:1200:9])]
    asked += [[name, request, TEXTS] for request in requests[1000:1200:9] for name in ("draftJson", "patternSvg")]
    asked += [["chartJson", chart] for chart in charts]
    folder = tmp_path_factory.mktemp("native")
    answers = [native_answer(folder, *question) for question in asked]
    accepted = [not answer.startswith(b'{"problems":') for answer in answers]
    assert len(accepted) // 2 < sum(accepted) < len(accepted) * 7 // 8, sum(accepted) / len(accepted)
    return {"asked": asked, "digests": [hashlib.sha256(answer).hexdigest() for answer in answers]}


def native_answer(folder: Path, function: str, text: str, *more: str) -> bytes:
    """Returns what the extension answers to a call of one of the package's functions, or the JSON of its errors."""
    try:
        match function:
            case "draftJson":
                return kirtle.draft_json(text, texts=kirtle.drawing_texts(*more)).encode()
            case "patternSvg":
                return kirtle.Pattern.from_json(text).svg(texts=kirtle.drawing_texts(*more)).encode()
            case "chartJson":
                return kirtle.chart_json(text).encode()
            case "draftSvg":
                draft = kirtle.Draft.from_json(text)
                return draft.svg(texts=kirtle.drawing_texts(*more)).encode()
            case _:
                name, paper, *texts = more
                pattern = kirtle.Pattern.from_json(text)
                pattern.save(folder / name, paper=paper, texts=kirtle.drawing_texts(*texts))
                return (folder / name).read_bytes()
    except kirtle.InputError as error:
        return error.to_json().replace(f"{folder}/", "").encode()


def differing(questions: dict[str, list[Any]], digests: list[str], step: int = 1) -> list[Question]:
    """Returns those of every `step`-th question that are answered by other bytes than the native ones."""
    asked, native = questions["asked"][::step], questions["digests"][::step]
    return [question for question, expected, digest in zip(asked, native, digests, strict=True) if digest != expected]


def test_node_gives_the_native_bytes(package: Path, questions: dict[str, list[Any]], tmp_path: Path) -> None:
    (tmp_path / "asked.json").write_text(json.dumps(questions["asked"]))
    done = subprocess.run([NODE, TESTS / "web" / "node.mjs", package, tmp_path / "asked.json"], capture_output=True, text=True, check=True)
    assert differing(questions, json.loads(done.stdout)) == []


def test_a_wrong_call_says_what_to_do(package: Path) -> None:
    script = f"""import {{ readFileSync }} from "node:fs"; import {{ draftJson, draftSvg, load }} from "{package}/kirtle.js";
    const say = (call) => {{ try {{ call(); }} catch (error) {{ console.log(error.message); }} }};
    say(() => draftJson("{{}}")); await load(readFileSync("{package}/kirtle.wasm")); say(() => draftJson({{}}));
    say(() => draftSvg("{{}}", null)); say(() => draftJson("[]"));
    globalThis.fetch = async () => new Response("", {{ status: 404, statusText: "Not Found" }}); await load("http://localhost/no").catch((error) => console.log(error.message));"""
    done = subprocess.run([NODE, "--input-type=module", "-e", script], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == [
        "call await load() first", "[object Object] is not a text: give JSON.stringify(...) of an object",
        "null is not a text: give JSON.stringify(...) of an object", "request: a list is not a JSON object", "http://localhost/no: 404 Not Found"]


needs_chromium = pytest.mark.skipif(shutil.which("chromium") is None, reason="chromium is not installed")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


@pytest.fixture
def page(browser: Browser, package: Path, tmp_path: Path) -> Page:
    """Opens the page as a single file on a phone, without a network."""
    alone = shutil.copy(package / "index.html", tmp_path)
    page = browser.new_page(viewport={"width": 360, "height": 640}, accept_downloads=True)
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(f"file://{alone}")
    page.wait_for_selector("#lengths tr")
    assert [url for url in asked if not url.startswith(("file:", "data:"))] == []
    return page


@needs_chromium
def test_a_browser_gives_the_native_bytes(browser: Browser, package: Path, questions: dict[str, list[Any]]) -> None:
    def answer(route: Route) -> None:
        name = route.request.url.removeprefix(ADDRESS)
        route.fulfill(path=TESTS / "web" / name if name == "answers.mjs" else package / name)

    page = browser.new_page()
    page.route(f"{ADDRESS}**", answer)
    page.goto(f"{ADDRESS}package.json")
    script = """async (asked) => {
      const [kirtle, { answers }] = await Promise.all([import("./kirtle.js"), import("./answers.mjs")]);
      await kirtle.load();
      return answers(kirtle, asked);
    }"""
    # A seventh of the questions, of every kind: the engine is that of Node.
    assert differing(questions, page.evaluate(script, questions["asked"][::7]), 7) == []


def request_of(page: Page) -> str:
    """Returns the request that the fields of the page make."""
    values = {label: page.locator(f"#{label}").input_value() for label in (f"{part}-{name}" for part, names in PARTS.items() for name in names)}
    made = {part: {name: float(values[f"{part}-{name}"]) for name in names} for part, names in PARTS.items()}
    cutting = {"preset": page.locator("#preset").input_value(), "name": page.locator("#name").input_value()}
    unit = page.locator("[name=unit]:checked").input_value()
    return json.dumps({"unit": unit, **({"ruler": "in 1/8"} if unit == "in" else {}), **made, "cutting": cutting})


PARTS = {"body": ("waist", "hip", "hip_depth", "length"), "ease": ("waist", "hip")}
"""Fields of the page."""


@needs_chromium
@pytest.mark.parametrize("unit", ["cm", "in"])
def test_the_page_shows_and_saves_the_draft_of_its_fields(page: Page, unit: str, tmp_path: Path) -> None:
    page.locator(f"[name=unit][value={unit}]").check()
    page.locator("#name").fill("Evening class")
    page.locator("#preset").select_option("garment")
    page.locator("#body-waist").fill("72" if unit == "cm" else "28.5")
    expect(page.locator("#lengths tr").first).to_contain_text("73.5" if unit == "cm" else "29 1/8")
    draft = kirtle.Draft.from_json(request_of(page))
    expect(page.locator("#drawn")).to_contain_text(f"{len(draft.back.darts)} dart")
    assert page.locator("#findings li").count() == len(draft.findings)
    for name in ("pdf", "svg", "dxf"):
        with page.expect_download() as waiting:
            page.locator(f"button[value={name}]").click()
        kirtle.Pattern.from_json(request_of(page)).save(tmp_path / f"native.{name}", paper="A4")
        assert waiting.value.suggested_filename == f"Evening class.{name}"
        assert Path(waiting.value.path()).read_bytes() == (tmp_path / f"native.{name}").read_bytes()


@needs_chromium
def test_an_address_fills_the_fields_and_a_site_gets_each_request(browser: Browser, package: Path) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 640})
    page.add_init_script("addEventListener('kirtle', ({ detail }) => (window.request = detail))")
    page.goto(f"file://{package}/index.html?unit=in&waist=29 1/8&waist_ease=1/4&name=Ann&preset=garment&paper=A9")
    page.wait_for_selector("#lengths tr")
    given = page.evaluate("window.request")
    assert (given["unit"], given["body"]["waist"], given["ease"]["waist"]) == ("in", 29.125, 0.25)
    assert given["cutting"] == {"preset": "garment", "name": "Ann"} and given["body"]["length"] == 24.409
    assert page.locator("#paper").input_value() == "A4"
    caution, button = page.get_by_role("status").locator("li").bounding_box(), page.locator("button").first.bounding_box()
    assert caution and button and caution["y"] < button["y"]


@needs_chromium
def test_a_refused_field_says_why_and_the_last_draft_stays(page: Page) -> None:
    before = page.locator("#drawing").inner_html()
    page.locator("#body-waist").fill("29")
    expect(page.locator("#body-waist-problem")).to_have_text("29 cm is below the minimum of 40 cm")
    assert page.locator("#body-waist").get_attribute("aria-invalid") == "true" and page.locator("button").first.is_disabled()
    assert page.locator("#drawing").inner_html() == before
    expect(page.locator("#old")).to_be_visible()
    page.locator("#body-waist").fill("")
    expect(page.locator("#body-waist-problem")).to_have_text("missing: give a number from 40 to 200 cm")
    page.locator("#body-waist").fill("72")
    page.locator("#body-length").fill("18")
    expect(page.locator("#body-length-problem")).to_contain_text("too short")
    page.locator("#body-length").fill("62")
    expect(page.locator("#old")).to_be_hidden()
    expect(page.locator(".problem")).to_have_text([""] * 7)


SCALE = "[document.querySelector('#drawing').getScreenCTM().a, document.documentElement.scrollWidth]"
"""Pixels per unit of length, and the width of all that the page shows."""


@needs_chromium
def test_sliders_move_by_keyboard_at_a_fixed_scale(page: Page) -> None:
    scale, width = page.evaluate(SCALE)
    assert scale > 3 and width <= 360
    for label in ("Waist", "Hip", "Hip depth", "Length"):
        slider = page.get_by_label(f"{label}, slider").first
        slider.focus()
        before = page.locator("#drawing").inner_html()
        page.keyboard.press("ArrowRight")
        page.wait_for_function("before => document.querySelector('#drawing').innerHTML !== before", arg=before)
        assert page.evaluate(SCALE) == [scale, width]
    assert page.evaluate(OUTSIDE) == 0


@needs_chromium
@pytest.mark.parametrize("body", [(150, 170, 28, 110), (200, 101, 20, 60), (40, 50, 10, 15), (200, 220, 40, 150)])
def test_the_frame_holds_both_panels_side_by_side(page: Page, body: tuple[int, ...]) -> None:
    for name, value in zip(PARTS["body"], body, strict=True):
        page.locator(f"#body-{name}").fill(str(value))
    # The page draws in the next frame.
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    expect(page.locator("#lengths tr").nth(1)).to_contain_text(str(body[1] + 5))
    assert page.evaluate(OUTSIDE) == 0
    back, front = page.evaluate("() => [...document.querySelectorAll('#drawing g g')].map((group) => group.getBoundingClientRect().toJSON())")
    assert back["right"] < front["left"]


@needs_chromium
def test_the_unit_changes_what_is_shown_and_not_the_draft(page: Page) -> None:
    fields = [page.locator(f"#{part}-{name}") for part, names in PARTS.items() for name in names]
    page.locator("#body-waist").fill("72,5")
    page.locator("#ease-waist").fill("x")
    expect(page.locator("#ease-waist-problem")).to_contain_text("\"x\" is not a number")
    page.locator("#ease-waist").fill("1,5")
    before = [field.input_value() for field in fields]
    page.locator("[name=unit][value=in]").check()
    for field, text in zip(fields, before, strict=True):
        assert float(field.input_value()) * 2.54 == pytest.approx(float(text.replace(",", ".")), abs=0.002)
    for text in ("40 1/2", "40½", "40,5", "40.5"):
        page.locator("#body-hip").fill("44")
        expect(page.locator("#lengths tr").nth(1)).to_contain_text("46")
        page.locator("#body-hip").fill(text)
        expect(page.locator("#lengths tr").nth(1)).to_contain_text("42 1/2")
    page.locator("#body-hip").fill("40")
    page.locator("[name=unit][value=cm]").check()
    assert [field.input_value() for field in fields] == [before[0], "101.6", *before[2:]]
    expect(page.locator("#lengths tr").first).to_contain_text("74.0")


OUTSIDE = """() => { const box = document.querySelector("#drawing").getBoundingClientRect();
  return [...document.querySelectorAll("#drawing path")].filter((path) => { const own = path.getBoundingClientRect();
    return own.left < box.left || own.right > box.right || own.bottom > box.bottom || own.top < box.top; }).length; }"""
"""Number of lines of the drawing that reach out of its frame."""


@needs_chromium
def test_every_control_is_reached_by_tab_in_the_order_of_the_page(page: Page) -> None:
    reached = []
    for _ in range(22):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.labels?.[0]?.textContent || document.activeElement.ariaLabel || document.activeElement.textContent"))
    assert [name.strip() for name in reached[1:9]] == ["Waist, slider", "Waist", "Hip, slider", "Hip", "Hip depth, slider", "Hip depth", "Length, slider", "Length"]
    assert {"Name on it", "Allowances", "Paper", "Download PDF", "SVG", "DXF"} <= {name.strip() for name in reached}


REDRAWS = """() => {
  window.requestAnimationFrame = (redraw) => redraw();
  const slider = document.querySelector("#body input[type=range]"), times = [];
  for (let waist = 60; waist < 120; waist++) {
    const start = performance.now();
    slider.value = waist;
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    document.body.getBoundingClientRect();
    times.push(performance.now() - start);
  }
  return times.sort((a, b) => a - b)[30];
}"""
"""Moves a slider 60 times; returns the median time of draft, drawing and layout in milliseconds."""


@needs_chromium
def test_a_slider_redraws_within_a_frame(page: Page) -> None:
    page.evaluate(REDRAWS)
    assert page.evaluate(REDRAWS) < 1000 / 60


@needs_chromium
def test_the_page_fits_a_wide_screen(page: Page) -> None:
    page.set_viewport_size({"width": 1280, "height": 800})
    drawing, form = page.locator("#drawing").bounding_box(), page.locator("#form").bounding_box()
    assert drawing and form and form["x"] + form["width"] <= drawing["x"] and drawing["y"] + drawing["height"] <= 800


def test_the_types_describe_the_package(package: Path, tools: Path, tmp_path: Path) -> None:  # noqa: F811
    """A program in TypeScript that uses every function compiles; one that misuses a function does not."""
    about = json.loads((package / "package.json").read_text())
    assert about["version"] == kirtle.__version__ and all((package / name).exists() for name in [*about["files"], about["types"], about["main"]])
    exported = set(re.findall(r"export (?:async )?(?:function|const|class) (\w+)", (package / "kirtle.js").read_text()))
    assert exported == set(re.findall(r"export (?:function|class) (\w+)", (package / "kirtle.d.ts").read_text()))
    tsc = tools / "node_modules" / "typescript" / "bin" / "tsc"
    shutil.copy(package / "kirtle.d.ts", tmp_path)
    shutil.copy(package / "kirtle.js", tmp_path)
    use = """import { InputError, Problem, chartJson, draftJson, draftSvg, englishTexts, formatLength, load, parseLength, patternFile, patternSvg, version } from "./kirtle.js";
await load(new Uint8Array());
const texts: string[] = [draftJson("{}", "{}"), chartJson("{}"), patternSvg("{}", "{}", true), formatLength(parseLength("29 1/8", "in"), "in 1/8"),
  englishTexts().hem_length, version()];
texts.push( draftSvg("{}"), draftSvg("{}", "{}", true));
const files: BlobPart[] = [patternFile("{}", "skirt.pdf", "A4"), patternFile("{}", "skirt.pdf", "A4", "{}")];
export const codes = (error: InputError): string[] => error.problems.map((problem: Problem) => problem.code + problem.text);
export const ranges = ({ minimum, maximum, choices }: Problem): [number?, number?, string[]?] => [minimum, maximum, choices];
"""
    for extra, errors in (("", 0), ("draftJson({});", 1), ("patternFile('{}');", 1)):
        (tmp_path / "use.ts").write_text(use + extra)
        options = ["--strict", "--noEmit", "--target", "es2022", "--module", "es2022", "--moduleResolution", "bundler"]
        done = subprocess.run([NODE, tsc, *options, "use.ts"], cwd=tmp_path, capture_output=True, text=True)
        assert done.stdout.count("error TS") == errors, done.stdout


def examples() -> list[tuple[str, list[str]]]:
    """Returns the JavaScript of the page on embedding, each example with the lines that its comments say it prints."""
    found = re.findall(r"```js\n(.*?)```", (ROOT / "src" / "embedding.md").read_text(encoding="utf-8"), re.DOTALL)
    return [(code, re.findall(r"console\.log\(.*\); // (.*)", code)) for code in found]


@needs_chromium
def test_the_example_for_browsers_prints_what_it_says(browser: Browser, package: Path) -> None:
    code, printed = examples()[0]
    page, seen = browser.new_page(), list[str]()
    page.route(f"{ADDRESS}**", lambda route: route.fulfill(path=package / route.request.url.removeprefix(ADDRESS)))
    page.on("console", lambda message: seen.append(message.text))
    page.goto(f"{ADDRESS}package.json")
    page.set_content(f'<script type="importmap">{{"imports": {{"kirtle": "{ADDRESS}kirtle.js"}}}}</script><body><script type="module">{code}</script>')
    page.wait_for_selector("svg")
    assert page.locator("svg").evaluate("svg => svg.clientWidth <= document.body.clientWidth")
    assert len(printed) == 4 and seen == printed


def test_the_example_for_node_prints_what_it_says(package: Path, tmp_path: Path) -> None:
    code, printed = examples()[1]
    shutil.copytree(package, tmp_path / "node_modules" / "kirtle")
    (tmp_path / "example.mjs").write_text(code)
    done = subprocess.run([NODE, "example.mjs"], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert len(printed) == 1 and done.stdout.splitlines() == printed
