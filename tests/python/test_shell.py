"""The shell: files, standard input, options, exit codes."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from conftest import TESTS

import kirtle
from kirtle.__main__ import main

REQUEST = TESTS / "requests" / "evening-class.json"
CUT = TESTS / "requests" / "evening-class-cut.json"
OPTIONS = ["--waist", "74", "--hip", "101", "--hip-depth", "20.5", "--length", "62", "--waist-ease", "1.5",
           "--hip-ease", "5"]


def test_a_request_becomes_files_and_a_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draft", str(REQUEST), "--out", str(tmp_path / "new")]) == 0
    table = capsys.readouterr().out
    result = json.loads((tmp_path / "new" / "result.json").read_text())
    assert sorted(path.name for path in (tmp_path / "new").iterdir()) == ["draft.svg", "result.json"]
    assert (tmp_path / "new" / "draft.svg").read_text().startswith("<svg ")
    assert result == json.loads(kirtle.draft_json(REQUEST.read_text()))
    for row in ("suppression                       15.4         7.7         4.6         3.1", "24 of 24 checks hold",
                "make a trial garment first"):
        assert row in table


def test_the_readme_shows_what_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draft", str(REQUEST), "--out", str(tmp_path)]) == 0
    printed = capsys.readouterr().out.replace(str(tmp_path), "out")
    assert f"```text\n{printed}```" in (TESTS.parent / "README.md").read_text()


def test_options_standard_input_and_file_are_one(capsys: pytest.CaptureFixture[str]) -> None:
    run = [sys.executable, "-m", "kirtle", "draft"]
    assert main(["draft", str(REQUEST)]) == 0
    by_file = capsys.readouterr().out
    by_options = subprocess.run([*run, *OPTIONS], capture_output=True, text=True, check=True)
    by_input = subprocess.run([*run, "-"], input=REQUEST.read_text(), capture_output=True, text=True, check=True)
    assert by_file == by_options.stdout == by_input.stdout and not by_options.stderr


def test_inches(capsys: pytest.CaptureFixture[str]) -> None:
    options = ["--unit", "in", "--waist", "28", "--hip", "38", "--hip-depth", "8", "--length", "24",
               "--waist-ease", "0.5", "--hip-ease", "2"]
    assert main(["draft", *options]) == 0
    assert "28.00        0.50       28.50" in capsys.readouterr().out


@pytest.mark.parametrize(("arguments", "lines"), [
    (["--waist", "7_4", "--hip", "9999", "--hip-depth", "nan"], [
        'body.waist: "7_4" is not a number from 40 to 200 cm', "body.hip: 9999 cm is above the maximum of 220 cm",
        'body.hip_depth: "nan" is not a number from 10 to 40 cm',
        "body.length: missing; give a number from 15 to 150 cm",
        "ease.waist: missing; give a number from -10 to 40 cm",
        "ease.hip: missing; give a number from -10 to 60 cm"]),
    (["/no/such/request.json"], ["/no/such/request.json: No such file or directory"]),
])
def test_wrong_input_exits_2_with_every_problem(
    arguments: list[str], lines: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["draft", *arguments]) == 2
    seen = capsys.readouterr()
    assert seen.out == "" and seen.err.splitlines() == lines


@pytest.mark.parametrize("arguments", [["draft"], ["draft", str(REQUEST), "--waist", "70"], ["sew"], [],
                                       ["draft", str(REQUEST), "--unit", "in"], ["draft", "a\0b"],
                                       ["schema", "letter"], ["pattern"], ["pattern", str(REQUEST), "--press", "left"],
                                       ["pattern", str(REQUEST), "--margin", "wide"],
                                       ["pattern", str(CUT), "--name", "Bea"], ["lay", str(REQUEST)],
                                       ["lay", str(CUT), "--open"], ["lay", str(CUT), "--hem-allowance", "3"],
                                       ["lay", str(CUT), "--width", "115"], ["lay", str(CUT), "--one-way"],
                                       ["pattern", str(CUT), "--opening", "18"], ["pattern", "a\0b"],
                                       ["lay", "-", "--waist", "70"]])
def test_wrong_commands_exit_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2 and "usage: kirtle" in capsys.readouterr().err


@pytest.mark.parametrize("junk", [b"", b"\xff\xfe\x00" * 1000, b"[" * 100_000, b"{}", b"junk" * 250_000])
def test_junk_exits_2(junk: bytes) -> None:
    run = subprocess.run([sys.executable, "-m", "kirtle", "draft", "-"], input=junk, capture_output=True, check=False)
    assert run.returncode == 2 and run.stdout == b""
    assert run.stderr.startswith((b"request: ", b"unit: ")) and b"Traceback" not in run.stderr


def test_a_reader_that_has_enough_ends_it_quietly() -> None:
    run = f"{sys.executable} -m kirtle draft {REQUEST} | true; exit ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", run], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_full_disk_and_a_plain_terminal() -> None:
    run = [sys.executable, "-m", "kirtle", "draft", "-"]
    narrow = json.dumps(json.loads(REQUEST.read_text()) | {"rules": {"darts": {"back": [], "front": []}}})
    plain = subprocess.run(run, input=narrow.encode(), capture_output=True, check=False,
                           env=os.environ | {"PYTHONIOENCODING": "ascii"})
    assert plain.returncode == 0 and b"leans" in plain.stdout and not plain.stderr
    with open("/dev/full", "w") as full:
        done = subprocess.run(run, input=narrow.encode(), stdout=full, stderr=subprocess.PIPE, check=False)
    assert (done.returncode, done.stderr) == (2, b"standard output: No space left on device\n")


def test_a_byte_order_mark_is_no_trouble(tmp_path: Path) -> None:
    marked = tmp_path / "marked.json"
    marked.write_text(REQUEST.read_text(), encoding="utf-8-sig")
    assert main(["draft", str(marked)]) == 0


def test_a_file_in_the_way_leaves_nothing_half_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    in_the_way = tmp_path / "out"
    in_the_way.write_text("a file, not a folder")
    assert main(["draft", str(REQUEST), "--out", str(in_the_way)]) == 2
    assert in_the_way.read_text() == "a file, not a folder" and os.listdir(tmp_path) == ["out"]
    assert str(in_the_way) in capsys.readouterr().err


PIECES = """\
back   cut 2, a pair, darts pressed towards the {press}
front  cut 1 on the fold, darts pressed towards the {press}
allowances: waist {waist}, side {side}, hem {hem}, centre back {centre_back} cm
opening: {opening} cm down the centre back
"""


@pytest.mark.parametrize(("arguments", "cut"), [
    ([REQUEST], {"waist": 1, "side": 2, "hem": 1, "centre_back": 2, "opening": 20, "press": "centre"}),
    ([REQUEST, "--preset", "garment", "--press", "side", "--side-allowance", "2.2", "--opening", "19", "--name", "Bea"],
     {"waist": 1, "side": 2.2, "hem": 4, "centre_back": 2, "opening": 19, "press": "side", "name": "Bea"}),
    ([CUT], {"waist": 1, "side": 1.5, "hem": 3.5, "centre_back": 2, "opening": 18, "press": "side", "name": "Ann"}),
])
def test_a_request_becomes_a_pattern(
    arguments: list[Any], cut: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for ending in ("pdf", "svg", "dxf", "json"):
        out = tmp_path / f"pattern.{ending}"
        assert main(["pattern", *map(str, arguments), "--out", str(out)]) == 0
        assert capsys.readouterr().out == f"{PIECES.format(**cut)}Fit is not judged here: make a trial garment first.\nwrote {out}\n"
    made = json.loads((tmp_path / "pattern.json").read_text())
    assert (made["name"], made["opening"], made["press"]) == (cut.get("name", ""), cut["opening"], cut["press"])
    pattern = kirtle.Draft.from_json(REQUEST.read_text()).pattern(**cut)
    assert made == pattern.to_dict() and (tmp_path / "pattern.pdf").read_bytes() == pattern.pdf()
    assert (tmp_path / "pattern.svg").read_text() == pattern.svg()
    assert (tmp_path / "pattern.dxf").read_text() == pattern.dxf()


@pytest.mark.parametrize(("arguments", "said"), [
    (["lay", CUT, "--one-way"], "the request says what cloth: leave it there, or in the options, not both"),
    (["lay", CUT, "--width", "115"], "the request says what cloth: leave it there, or in the options, not both"),
    (["lay", REQUEST], "give the cloth, either in the request or as --width"),
    (["lay", CUT, "--opening", "18"], "the request says how it is cut: leave it there, or in the options, not both"),
    (["pattern", CUT, "--name", ""], "the request says how it is cut: leave it there, or in the options, not both"),
])
def test_what_is_said_twice_is_refused_in_words(
    arguments: list[Any], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main([*map(str, arguments), "--out", str(tmp_path / "out.svg")])
    assert capsys.readouterr().err.endswith(f": error: {said}\n") and os.listdir(tmp_path) == []


def test_a_short_skirt_needs_no_opening_to_be_told(capsys: pytest.CaptureFixture[str]) -> None:
    short = ["pattern", "--waist", "72", "--hip", "98", "--hip-depth", "10", "--length", "15", "--waist-ease", "1.5",
             "--hip-ease", "5"]
    assert main(short) == 0
    assert "opening: 13.9754 cm down the centre back" in capsys.readouterr().out
    assert main([*short, "--opening", "20"]) == 2
    assert capsys.readouterr().err == "cutting.opening: 20 cm is longer than the centre back seam of 13.98 cm\n"


def test_letters_that_pdf_lacks_are_a_caution(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pattern", str(REQUEST), "--name", "漢字 44"]) == 0
    assert "Caution: in PDF 2 letters of the name are shown as boxes" in capsys.readouterr().out
    assert main(["pattern", str(REQUEST), "--name", "two\u2028lines"]) == 2
    assert capsys.readouterr().err == 'cutting.name: "two\\u{2028}lines" is not a text on one line\n'


def test_paper_and_cautions(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "a3.pdf"
    options = ["--paper", "a3", "--margin", "5", "--overlap", "15", "--opening", "8"]
    assert main(["pattern", str(REQUEST), "--out", str(out), *options]) == 0
    pattern = kirtle.Draft.from_json(REQUEST.read_text()).pattern(opening=8)
    assert out.read_bytes() == pattern.pdf(paper="A3", margin_mm=5, overlap_mm=15)
    (finding,) = pattern.findings
    assert f"Caution: {finding.message}." in capsys.readouterr().out.splitlines()


@pytest.mark.parametrize(("arguments", "cloth"), [
    ([REQUEST, "--width", "140"], {"width": 140}),
    ([REQUEST, "--width", "115", "--open", "--one-way"], {"width": 115, "folded": False, "one_way": True}),
    ([CUT], {"width": 115, "one_way": True}),
])
def test_a_request_is_laid_on_cloth(
    arguments: list[Any], cloth: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "lay.json"
    assert main(["lay", *map(str, arguments), "--out", str(out)]) == 0
    lay = kirtle.Pattern.from_json(arguments[0].read_text()).lay(**cloth)
    assert json.loads(out.read_text()) == lay.to_dict()
    how = "folded lengthwise" if lay.folded else "laid open"
    assert capsys.readouterr().out.splitlines() == [
        f"cloth {cloth['width']} cm wide, {how}: {lay.length:.1f} cm long",
        f"buy {lay.to_buy_cm:.0f} cm, or {lay.to_buy_yd} yd; {lay.waste:.0%} is left over",
        "Fit is not judged here: make a trial garment first.", f"wrote {out}",
    ]


@pytest.mark.parametrize(("arguments", "lines"), [
    (["pattern", REQUEST, "--waist-allowance", "-1", "--side-allowance", "wide", "--hem-allowance", "99", "--opening",
      "nan", "--out", "p.pdf"],
     ["cutting.allowances.waist: -1 cm is below the minimum of 0 cm",
      'cutting.allowances.side: "wide" is not a number from 0 to 5 cm',
      "cutting.allowances.hem: 99 cm is above the maximum of 10 cm",
      'cutting.opening: "nan" is not a number from 5 to 60 cm']),
    (["pattern", *OPTIONS[:-4], "--out", "p.pdf"], ["ease.waist: missing; give a number from -10 to 40 cm",
                                                    "ease.hip: missing; give a number from -10 to 60 cm"]),
    (["pattern", REQUEST, "--out", "p.txt"],
     ['path: "p.txt" is not a name that ends with .pdf, .svg, .dxf or .json']),
    (["pattern", REQUEST, "--out", "p.pdf", "--margin", "99", "--overlap", "-1"],
     ["paper.margin: 99 mm is above the maximum of 50 mm", "paper.overlap: -1 mm is below the minimum of 0 mm"]),
    (["pattern", REQUEST, "--out", "no/p.pdf"], ["no/p.pdf: No such file or directory"]),
    (["pattern", "no.json", "--out", "p.pdf"], ["no.json: No such file or directory"]),
    (["lay", REQUEST, "--width", "x", "--out", "l.svg"], ['cloth.width: "x" is not a number from 40 to 400 cm']),
    (["lay", REQUEST, "--width", "50", "--out", "l.svg"],
     ["cloth.width: 50 cm is narrower than the widest piece takes; the least is 60 cm"]),
    (["lay", REQUEST, "--width", "140", "--out", "l.pdf"],
     ['path: "l.pdf" is not a name that ends with .svg or .json']),
])
def test_what_cannot_be_cut_exits_2_and_writes_nothing(
    arguments: list[Any], lines: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main([str(argument) for argument in arguments]) == 2
    seen = capsys.readouterr()
    assert seen.out == "" and seen.err.splitlines() == lines and os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", sorted(path.name.split(".")[0] for path in (TESTS / "schemas").iterdir()))
def test_schema(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", name]) == 0
    assert json.loads(capsys.readouterr().out) == kirtle.schema(name)
    assert json.loads((TESTS / "schemas" / f"{name}.schema.json").read_text()) == kirtle.schema(name)
