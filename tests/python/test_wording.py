"""Drawings in another language: a German sample in SVG, DXF and the text of PDFs; wrong texts are refused."""

import copy
import io
import pickle
from pathlib import Path

import pypdf
import pytest

import kirtle

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
    "find_size": "Taille und Hüfte messen und die eigene Größe suchen.",
    "alteration_lines": "Grau: gedruckte Größen.",
    "lay_plan": "Zuschneideplan",
    "lesson_title": "Ein gerader Rock, von Hand gezeichnet",
    "waist_ends": "Enden der Taille: {side} an der Seite, {centre} in der Mitte.",
}


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
    assert all(GERMAN["find_size"] in text for text in (nest.svg(texts=GERMAN), pdf_text(nest.pdf(texts=GERMAN))))
    assert "Fadenlauf" in nest.dxf(texts=GERMAN) and GERMAN["alteration_lines"] in alteration.svg(texts=GERMAN)
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
        'texts.zip_end: "Ende {länge}" is not a text with no other placeholders than {length}',
        'texts.fold: "折" is not a text on one line in letters of the PDF font: Latin, Greek, Cyrillic',
    ]
    assert caught.value.problems[0].choices == list(kirtle.drawing_texts()) and not list(tmp_path.iterdir())
    with pytest.raises(kirtle.InputError, match="texts.fold"):
        draft.svg(texts={"fold": "\ud800"})
    for no_texts in ({"fold": 3}, [("fold", "Bruch")], "Bruch"):
        with pytest.raises(TypeError):
            draft.svg(texts=no_texts)  # type: ignore[arg-type]
