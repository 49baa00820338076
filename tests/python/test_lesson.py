"""Lessons from Python: steps, Markdown, a PDF whose text is that of the steps, and the shell's command."""

import copy
import json
import pickle
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest

import kirtle
from kirtle.__main__ import main

OPTIONS = ["--waist", "74", "--hip", "101", "--hip-depth", "20.5", "--length", "62", "--waist-ease", "1.5", "--hip-ease", "5"]


def words(text: str) -> str:
    return " ".join(text.split())


def test_the_pdf_has_every_step_in_order(draft: kirtle.Draft, tmp_path: Path) -> None:
    lesson = draft.lesson()
    lesson.save(tmp_path / "lesson.pdf")
    pages = pypdf.PdfReader(tmp_path / "lesson.pdf").pages
    assert all(abs(float(page.mediabox.width) - 595.28) < 0.1 and abs(float(page.mediabox.height) - 841.89) < 0.1 for page in pages)
    text = words(" ".join(page.extract_text() for page in pages))
    for step in [*lesson.back, *lesson.front]:
        before, found, text = text.partition(words(step))
        assert before and found, step


def test_the_corrections_of_a_lesson_have_the_direction_that_it_says(draft: kirtle.Draft) -> None:
    text = draft.lesson().to_markdown()
    assert "**The side seam runs to the front or the back.** Front: more balance. Back: less balance.\n" in text
    moved = kirtle.Fitting(draft).correct([{"what": "balance", "by": 0.7}]).draft
    assert moved.front.width > draft.front.width and moved.back.width < draft.back.width  # The seam moves back.
    assert "**The skirt is tight over the belly.** Make the side seams fuller, and raise the waist line at the centre front.\n" in text
    fuller = kirtle.Fitting(draft).correct([{"what": "side_fullness", "by": 0.3}]).draft
    assert fuller.girth_at(10) > draft.girth_at(10) and fuller.front.waist_lowering > draft.front.waist_lowering
    raised = kirtle.Fitting(fuller).correct([{"what": "centre_front", "by": -0.4}]).draft
    assert raised.girth_at(10) > draft.girth_at(10) and raised.front.waist_lowering < draft.front.waist_lowering


def test_a_lesson_is_in_the_unit_of_its_call(draft: kirtle.Draft) -> None:
    assert "All lengths are in inches." in draft.lesson("in").to_markdown()
    assert draft.lesson() == draft.lesson("cm") != draft.lesson("in")
    assert 0 < draft.lesson().distance_mm < 1.5 and abs(draft.lesson("in").waist_mm) < 6 and 0 < abs(draft.lesson("in 1/8").side_mm) < 3
    with pytest.raises(kirtle.InputError, match='unit: "in 1/7" is not "cm" or "in" or "in 1/8"'):
        draft.lesson("in 1/7")


def test_a_ruler_of_eighths_prints_no_sixteenth(draft: kirtle.Draft, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    pattern = draft.pattern(unit="in")
    drawn: list[Callable[[str], str]] = [
        draft.svg, pattern.svg, pattern.lay(width=55, unit="in").svg, lambda unit: draft.lesson(unit).to_markdown(),
    ]
    for draw in drawn:
        assert "/16" in draw("in") and "/16" not in draw("in 1/8")
    shell = [*OPTIONS, "--ruler", "in 1/8"]
    assert main(["lesson", *shell]) == 0
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
    lesson = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5)).lesson("in 1/8")
    assert capsys.readouterr().out.strip() == lesson.to_markdown().strip()
    assert main(["draft", *shell, "--out", str(tmp_path)]) == 0
    cost = json.loads((tmp_path / "result.json").read_text())["rounding"]
    assert cost == {"distance_mm": lesson.distance_mm, "waist_mm": lesson.waist_mm, "side_mm": lesson.side_mm}
    assert f"sewn waist {cost['waist_mm']:+.1f} mm, side seams {cost['side_mm']:+.1f} mm, no line" in capsys.readouterr().out
    assert main(["alter", "demo", "--unit", "in", "--ruler", "in 1/8", "--waist", "27.6", "--hip", "39.4", "--hip-depth", "8.1", "--length", "22.9",
                 "--waist-ease", "0.6", "--hip-ease", "2"]) == 0
    assert "/8 in" in (steps := capsys.readouterr().out) and "/16" not in steps


def test_lessons_are_copied_and_pickled(draft: kirtle.Draft) -> None:
    lesson = draft.lesson()
    for twin in (copy.deepcopy(lesson), pickle.loads(pickle.dumps(lesson))):
        assert twin == lesson and hash(twin) == hash(lesson) and twin.draft == draft
    assert eval(repr(lesson), vars(kirtle)) == lesson
    named = draft.lesson(name='Zoë "44"')
    assert named != lesson and eval(repr(named), vars(kirtle)) == named == pickle.loads(pickle.dumps(named))
    in_inches = draft.lesson("in", name="Ann")
    assert pickle.loads(pickle.dumps(in_inches)) == in_inches
    with pytest.raises(kirtle.InputError, match=r"^cutting\.name: "):
        draft.lesson(name="a\nb")


def test_a_lesson_for_a_skirt_with_a_vent_warns_of_no_narrow_hem() -> None:
    order = {"unit": "cm", "body": {"waist": 74, "hip": 96, "hip_depth": 20.5, "length": 75}, "ease": {"waist": 1.5, "hip": 5}}
    plain, vented = (kirtle.Lesson.from_json(json.dumps(order | {"cutting": cutting})) for cutting in ({}, {"vent": 20}))
    assert "Plan a slit" in plain.to_markdown() and "Caution" not in vented.to_markdown()
    assert plain != vented == pickle.loads(pickle.dumps(vented))


def test_the_shell_prints_the_steps_or_writes_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["lesson", *OPTIONS]) == 0
    body = kirtle.Body(waist=74, hip=101, hip_depth=20.5, length=62)
    lesson = kirtle.draft(body, ease=kirtle.Ease(waist=1.5, hip=5)).lesson()
    assert capsys.readouterr().out.strip() == lesson.to_markdown().strip()
    out = tmp_path / "lesson.md"
    assert main(["lesson", *OPTIONS, "--out", str(out)]) == 0
    assert out.read_text() == lesson.to_markdown()
    assert main(["lesson", *OPTIONS, "--out", str(tmp_path / "lesson.svg")]) == 2
    assert 'is not a name that ends with .pdf or .md' in capsys.readouterr().err


CHART = "name;waist;hip;hip_depth;length\n12;74;99;20;58\n14;78;103;20;58\n16;83;108;20;58\n"


@pytest.mark.parametrize(("arguments", "name"), [
    (["lesson", "demo", "--size", "40"], "Size 40"),
    (["lesson", "demo", "--size", "40", "--name", "Ann"], "Ann"),
    (["lesson", "CHART", "--waist-size", "12", "--hip-size", "14:16"], "Waist 12, hip 14–16"),
    (["pattern", "CHART", "--size", "12", "--hip-size", "14"], "Waist 12, hip 14"),
    (["between", "CHART", "--waist", "12", "--hip", "14:16:1/4"], "Waist 12, hip 14–16"),
    (["between", "CHART", "--waist", "12", "--hip", "12"], "Size 12"),
])
def test_a_lesson_or_a_pattern_bears_the_name_of_its_sizes(arguments: list[str], name: str, tmp_path: Path) -> None:
    chart, out = tmp_path / "chart.csv", tmp_path / "out.pdf"
    chart.write_text(CHART)
    typed = [str(chart) if argument == "CHART" else argument for argument in arguments]
    assert main([*typed, "--waist-ease", "1.5", "--hip-ease", "5", "--out", str(out)]) == 0
    text = words(pypdf.PdfReader(out).pages[0].extract_text())
    assert text.count(name) >= 2 and "Set for this skirt" not in text  # Only the chart fixed the numbers of darts.
