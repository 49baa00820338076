"""Drawings in another language: a German sample in SVG, DXF and the text of PDFs; wrong texts are refused."""

import copy
import io
import json
import pickle
import unicodedata
from pathlib import Path

import pypdf
import pytest
from conftest import TESTS

import kirtle
from kirtle.__main__ import main

GERMAN = {
    "decimal_mark": ",",
    "back": "Rückenteil",
    "front": "Vorderteil",
    "cut_on_fold": "1× im Bruch zuschneiden",
    "cut_mirrored": "2× gegengleich zuschneiden",
    "hip_line": "Hüftlinie",
    "grain_line": "Fadenlauf",
    "zip_end": "Ende des Reißverschlusses, {length}",
    "piece_number": "Teil {number} von {count}",
    "test_square": "TESTQUADRAT:",
    "test_square_cm": "Seite 5 cm",
    "tile_label": "Blatt {tile}, {number} von {count}",
    "print_sheets": "1. {sheets} Blätter drucken: dieses und {tiles} in {rows} und {columns}.",
    "print_fewer_sheets": "1. {sheets} Blätter drucken ({saved} gespart): dieses und {tiles} in {rows} und {columns}.",
    "tiles_many": "{count} Kacheln",
    "rows_many": "{count} Zeilen",
    "columns_many": "{count} Spalten",
    "find_size": "Die eigene Größe suchen; die Hüfte ist höchstens {tolerance} größer.",
    "alteration_lines": "Grau: gedruckte Größen.",
    "lay_plan": "Zuschneideplan",
    "lesson_title": "Ein gerader Rock, von Hand gezeichnet",
    "one_size": "Größe {name}",
    "waist": "Taille",
    "hip": "Hüfte",
    "waist_ends": "Enden der Taille: {side} an der Seite, {centre} in der Mitte.",
}


REQUEST = str(TESTS / "requests" / "evening-class.json")
BODY = ["--waist", "70", "--hip", "100", "--hip-depth", "20.5", "--length", "58"]
EASES = ["--waist-ease", "1.5", "--hip-ease", "5"]


def pdf_text(pdf: bytes | Path) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf) if isinstance(pdf, bytes) else pdf).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_a_pattern_in_german(draft: kirtle.Draft, tmp_path: Path) -> None:
    pattern = draft.pattern()
    words = ["RÜCKENTEIL", "VORDERTEIL", "1× im Bruch zuschneiden", "2× gegengleich zuschneiden", "Hüftlinie", "Fadenlauf",
             "Ende des Reißverschlusses, 20,0 cm", "Teil 1 von 2"]
    svg, pdf = pattern.svg(texts=GERMAN), pdf_text(pattern.pdf(texts=GERMAN))
    assert all(text in svg and text in pdf for text in [*words, "TESTQUADRAT:", "Seite 5 cm"])
    assert "Blätter drucken" in pdf and "Kacheln in" in pdf and "Blatt 1 A, 1 von " in pdf
    for english in ("BACK", "hip line</text>", "grain line</text>", "TEST SQUARE", "zip opening ends"):
        assert english in pattern.svg() and english not in svg and english.removesuffix("</text>") not in pdf.partition("Do not cut")[0]
    dxf = pattern.dxf(texts=GERMAN)
    assert "Fadenlauf" in dxf and "grain line" not in dxf and "seam" in dxf
    pattern.save(tmp_path / "pattern.pdf", texts=GERMAN)
    assert (tmp_path / "pattern.pdf").read_bytes() == pattern.pdf(texts=GERMAN) != pattern.pdf()


def test_drafts_lays_nests_and_alterations_in_german(draft: kirtle.Draft, ease: kirtle.Ease, tmp_path: Path) -> None:
    sizes = kirtle.SizeChart.demo().draft(ease=ease)
    lay, nest = draft.pattern().lay(140), sizes.nest(["36-40"])
    alteration = sizes.alter(kirtle.Body(waist=70, hip=100, hip_depth=20.5, length=58))
    assert "Zuschneideplan" in lay.svg(texts=GERMAN) and "Fadenlauf" in draft.svg(texts=GERMAN)
    assert all(GERMAN["find_size"].format(tolerance="1 cm") in text for text in (nest.svg(texts=GERMAN), pdf_text(nest.pdf(texts=GERMAN))))
    assert "Fadenlauf" in nest.dxf(texts=GERMAN) and GERMAN["alteration_lines"] in alteration.svg(texts=GERMAN)
    assert "Saum: 1.7 cm (40, 58.0 cm)" in alteration.instructions(texts={"hem_above": "Saum: {by} ({size}, {length})"})
    assert alteration.left_out(texts={}) == alteration.left_out()
    for made, start in ((lay, "Zuschneideplan"), (nest, "1. "), (alteration, "RÜCKENTEIL")):
        made.save(tmp_path / "made.pdf", texts=GERMAN)
        assert start in pdf_text(tmp_path / "made.pdf")


def test_a_lesson_in_german_keeps_its_language(draft: kirtle.Draft, tmp_path: Path) -> None:
    lesson = draft.lesson(texts=GERMAN)
    assert lesson.to_markdown().startswith("# Ein gerader Rock, von Hand gezeichnet\n") and lesson.back[2].startswith("Enden der Taille: from D")
    lesson.save(tmp_path / "lesson.pdf")
    assert GERMAN["lesson_title"] in pdf_text(tmp_path / "lesson.pdf")
    assert pickle.loads(pickle.dumps(lesson)) == copy.deepcopy(lesson) == lesson != draft.lesson()
    assert draft.lesson(texts=kirtle.drawing_texts()) == draft.lesson()
    assert repr(lesson) == repr(draft.lesson())[:-1] + ", texts=…)"


def test_all_wrong_texts_are_reported_together(draft: kirtle.Draft, tmp_path: Path) -> None:
    wrong = {"grainline": "Fadenlauf", "zip_end": "Ende {länge}", "fold": "折"}
    with pytest.raises(kirtle.InputError) as caught:
        draft.pattern().save(tmp_path / "pattern.pdf", texts=wrong)
    assert str(caught.value).splitlines() == [
        "texts.grainline: unknown field; known fields are the keys of the English texts",
        'texts.zip_end: "Ende {länge}" is not a text with the placeholder {length}',
        'texts.fold: "折" is not a text on one line in letters of the PDF font: Latin, Greek, Cyrillic, but no "折" (U+6298)',
    ]
    assert caught.value.problems[0].choices == list(kirtle.drawing_texts()) and not list(tmp_path.iterdir())
    with pytest.raises(kirtle.InputError, match="texts.fold"):
        draft.svg(texts={"fold": "\ud800"})
    for no_texts in ({"fold": 3}, [("fold", "Bruch")], "Bruch"):
        with pytest.raises(TypeError):
            draft.svg(texts=no_texts)  # type: ignore[arg-type]


def test_a_translation_in_json_becomes_all_texts() -> None:
    texts = kirtle.drawing_texts(json.dumps(GERMAN))
    assert texts == kirtle.drawing_texts() | GERMAN and list(texts) == list(kirtle.drawing_texts())
    assert kirtle.drawing_texts("{}") == kirtle.drawing_texts()
    with pytest.raises(kirtle.InputError) as caught:
        kirtle.drawing_texts('{"fold": 3, "grainline": "Fadenlauf", "back": "Rücken", "back": "Rückenteil"}')
    assert [(problem.field, problem.code) for problem in caught.value.problems] == [
        ("texts.grainline", "unknown_field"), ("texts.back", "duplicate_field"), ("texts.fold", "wrong_type")]


def test_cautions_are_in_the_language_of_the_texts() -> None:
    texts = {"little_waist_ease": "Nur {measured} Zugabe statt {usual_min} bis {usual_max}.", "unit_in": "Zoll", "caution": "Achtung: {caution}", "blunt_dart": "{panel}, {measured}, {limit}: {remedy}"}
    body = {"waist": 29, "hip": 40, "hip_depth": 8, "length": 24}
    request = json.dumps({"unit": "in", "body": body, "ease": {"waist": 0.25, "hip": 2}, "cutting": {"preset": "garment"}})
    words = "Nur 1/4 Zoll Zugabe statt 1/2 Zoll bis 3/4 Zoll."
    [finding] = json.loads(kirtle.draft_json(request, texts=texts))["findings"]
    assert finding["message"] == words and finding["values"] == {"usual_max": 0.75, "usual_min": 0.5}
    for pdf in (kirtle.Pattern.from_json(request).pdf(texts=texts), kirtle.Lesson.from_json(request, texts).pdf()):
        assert f"Achtung: {words}" in pdf_text(pdf)
    with pytest.raises(kirtle.InputError, match="the placeholders {measured}, {usual_min}, {usual_max}"):
        kirtle.draft_json(request, texts={"little_waist_ease": "{limit}"})


def test_letters_are_composed_where_the_font_has_them() -> None:
    composed = 0
    for letter in map(chr, range(0xC0, 0x500)):
        decomposed = unicodedata.normalize("NFD", letter)
        try:
            in_font = kirtle.drawing_texts(json.dumps({"back": letter}))
        except kirtle.InputError:
            continue
        if decomposed != letter == unicodedata.normalize("NFC", letter):
            assert kirtle.drawing_texts(json.dumps({"back": decomposed})) == in_font, letter
            composed += 1
    assert composed > 200


@pytest.fixture
def german(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A translation in the working directory."""
    monkeypatch.chdir(tmp_path)
    Path("german.json").write_text(json.dumps(GERMAN), encoding="utf-8")
    return tmp_path


def test_the_command_texts_prints_a_translation_to_start_from(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["texts"]) == 0
    printed = capsys.readouterr().out
    assert json.loads(printed) == kirtle.drawing_texts() and printed.count("\n") == len(kirtle.drawing_texts()) + 2
    (tmp_path / "english.json").write_text(printed, encoding="utf-8")
    for name, texts in (("own.svg", []), ("given.svg", ["--texts", str(tmp_path / "english.json")])):
        assert main(["pattern", REQUEST, *texts, "--out", str(tmp_path / name)]) == 0
    assert (tmp_path / "own.svg").read_bytes() == (tmp_path / "given.svg").read_bytes()


@pytest.mark.parametrize(("line", "written", "word"), [
    (["draft", REQUEST, "--out", "out"], "out/draft.svg", "Fadenlauf"),
    (["correct", REQUEST, "--what", "waist", "--by", "1", "--out", "out"], "out/draft.svg", "Fadenlauf"),
    (["pattern", REQUEST, "--out", "skirt.pdf"], "skirt.pdf", "RÜCKENTEIL"),
    (["pattern", "demo", "--size", "38", *EASES, "--out", "skirt.dxf"], "skirt.dxf", "Fadenlauf"),
    (["lay", REQUEST, "--width", "140", "--out", "lay.pdf"], "lay.pdf", "Zuschneideplan"),
    (["lesson", REQUEST, "--out", "lesson.md"], "lesson.md", GERMAN["lesson_title"]),
    (["lesson", "demo", "--size", "40", *EASES, "--out", "lesson.md"], "lesson.md", "Größe 40"),
    (["pattern", "demo", "--waist-size", "38", "--hip-size", "40:42", *EASES, "--out", "skirt.svg"], "skirt.svg", "Taille 38, Hüfte 40–42"),
    (["sizes", "demo", *EASES, "--nest", "nest.svg"], "nest.svg", GERMAN["find_size"].format(tolerance="1 cm")),
    (["between", "demo", "--waist", "38", "--hip", "40", *EASES, "--out", "out"], "out/draft.svg", "Fadenlauf"),
    (["between", "demo", "--waist", "38", "--hip", "40", *EASES, "--out", "skirt.svg"], "skirt.svg", "Fadenlauf"),
    (["alter", "demo", *BODY, *EASES, "--out", "alter.svg"], "alter.svg", GERMAN["alteration_lines"]),
])
def test_every_command_that_draws_prints_in_german(line: list[str], written: str, word: str, german: Path) -> None:
    for texts in ([], ["--texts", "german.json"]):
        assert main([*line, *texts]) == 0
        content = pdf_text(german / written) if written.endswith(".pdf") else (german / written).read_text(encoding="utf-8")
        assert (word in content) == bool(texts)


def test_the_lesson_is_printed_in_german(german: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["lesson", REQUEST, "--texts", "german.json"]) == 0
    assert capsys.readouterr().out.startswith(f"# {GERMAN['lesson_title']}\n")


@pytest.mark.parametrize(("content", "lines"), [
    (b'{"fold": 3, "hems": "Saum"}', ["texts.hems: unknown field; known fields are the keys of the English texts", "texts.fold: 3 is not a text"]),
    (b"{", ["german.json: invalid JSON: EOF while parsing an object at line 1 column 1"]),
    (b"[]", ["texts: a list is not a JSON object"]),
    (b"\xff", ["german.json: not a text in UTF-8: line 1 has the byte 0xff; save it as UTF-8"]),
    (b" " * (1 << 20) + b"{}", ["german.json: too long: a table of texts has at most 1,048,576 bytes"]),
    (None, ["german.json: No such file or directory"]),
])
def test_a_wrong_translation_is_refused_in_words(
    content: bytes | None, lines: list[str], german: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("german.json").unlink() if content is None else Path("german.json").write_bytes(content)
    assert main(["pattern", REQUEST, "--texts", "german.json", "--out", "skirt.svg"]) == 2
    printed = capsys.readouterr()
    assert printed.out == "" and printed.err.splitlines() == lines and not Path("skirt.svg").exists()


@pytest.mark.parametrize(("line", "message"), [
    (["draft", REQUEST], "no drawing is written: leave out --texts"),
    (["sizes", "demo"], "no drawing is written: leave out --texts"),
    (["pattern", REQUEST, "--out", "skirt.json"], "skirt.json is not a drawing: leave out --texts"),
    (["pattern", REQUEST, "--out", "german.json"], "german.json is the file that is read (german.json)"),
    (["choose", "demo", "--waist", "70", "--hip", "100"], "unrecognized arguments: --texts"),
])
def test_texts_without_a_drawing_are_refused(line: list[str], message: str, german: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main([*line, "--texts", "german.json"])
    assert stopped.value.code == 2 and message in capsys.readouterr().err
    assert [path.name for path in german.iterdir()] == ["german.json"]
