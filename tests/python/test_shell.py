"""The command line: files, standard input, options, messages, exit codes."""

import json
import os
import re
import shlex
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
    assert sorted(path.name for path in (tmp_path / "new").iterdir()) == ["draft.svg", "request.json", "result.json"]
    assert (tmp_path / "new" / "draft.svg").read_text().startswith("<svg ")
    assert result == json.loads(kirtle.draft_json(REQUEST.read_text()))
    for row in ("total                             15.4", "side seam, each panel              3.9",
                "24 of 24 pattern checks passed.", "This does not check fit: sew a trial garment (toile) first."):
        assert row in table


def test_the_page_for_the_sewing_room_shows_what_is_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draft", *OPTIONS, "--out", str(tmp_path)]) == 0
    printed = capsys.readouterr().out.replace(str(tmp_path), "out")
    assert f"```text\n{printed}```" in (TESTS.parent / "src" / "sewing_room.md").read_text()


def test_every_command_of_the_page_for_the_sewing_room_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    page = (TESTS.parent / "src" / "sewing_room.md").read_text()
    commands = re.findall(r"^uv run kirtle (.*)$", page, re.MULTILINE)
    (tmp_path / "tests").symlink_to(TESTS)
    monkeypatch.chdir(tmp_path)
    (translation,) = re.findall(r"```json\n(.*?)```", page, re.DOTALL)
    (class_list,) = re.findall(r"```csv\n(.*?)```", page, re.DOTALL)
    (tmp_path / "class.csv").write_text(class_list)
    (tmp_path / "sheets").mkdir()
    assert len(commands) == 26
    for command in commands:
        arguments, _, file = command.partition(" > ")
        assert main(shlex.split(arguments)) == 0, command
        printed = capsys.readouterr().out
        if file:
            words = json.loads(printed) | json.loads(translation)
            Path(file).write_text(json.dumps(words), encoding="utf-8")
    written = {path.name for path in tmp_path.iterdir()}
    assert {"out", "skirt.pdf", "lay.pdf", "nest.pdf", "class.pdf", "size40.pdf", "rock.pdf", "alter.pdf", "blended", "blended.pdf", "corrected", "corrected.pdf"} <= written


def test_options_standard_input_and_file_give_the_same_output(capsys: pytest.CaptureFixture[str]) -> None:
    run = [sys.executable, "-m", "kirtle", "draft"]
    assert main(["draft", str(REQUEST)]) == 0
    by_file = capsys.readouterr().out
    by_options = subprocess.run([*run, *OPTIONS], capture_output=True, text=True, check=True)
    by_input = subprocess.run([*run, "-"], input=REQUEST.read_text(), capture_output=True, text=True, check=True)
    assert by_file == by_options.stdout == by_input.stdout and not by_options.stderr


def test_the_draft_command_takes_inches(capsys: pytest.CaptureFixture[str]) -> None:
    options = ["--unit", "in", "--waist", "28", "--hip", "38", "--hip-depth", "8", "--length", "24",
               "--waist-ease", "0.5", "--hip-ease", "2"]
    assert main(["draft", *options]) == 0
    assert "28         1/2      28 1/2" in capsys.readouterr().out


@pytest.mark.parametrize(("arguments", "lines"), [
    (["--waist", "7_4", "--hip", "9999", "--hip-depth", "nan"], [
        '--waist: "7_4" is not a number from 40 to 200 cm', "--hip 9999 cm is too large (at most 220 cm).",
        '--hip-depth: "nan" is not a number from 10 to 40 cm',
        "Give --length: a number from 15 to 150 cm.",
        "Give the ease: --waist-ease and --hip-ease (usual: 1 to 2 cm and 4 to 6 cm)."]),
    (["--waist", "29", *OPTIONS[2:]], ["--waist 29 cm is too small (at least 40 cm). Inches? Add --unit in."]),
    (["--waist", "9", *OPTIONS[2:]], ["--waist 9 cm is too small (at least 40 cm)."]),
    (["--unit", "in", "--waist", "74", "--hip", "101", "--hip-depth", "8", "--length", "24"], [
        "--hip 101 in is too large (at most 86.61 in). Centimetres? Leave out --unit in.",
        "Give the ease: --waist-ease and --hip-ease (usual: ½ to ¾ in and 2 to 2¾ in)."]),
    ([*OPTIONS, "--back-length", "101"], ["--back-length: has no effect alone: give --side-length or --front-length, too"]),
    (["/no/such/request.json"], ["/no/such/request.json: No such file or directory"]),
])
def test_invalid_input_exits_2_with_every_problem(
    arguments: list[str], lines: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["draft", *arguments]) == 2
    printed = capsys.readouterr()
    assert printed.out == "" and printed.err.splitlines() == lines


@pytest.mark.parametrize("arguments", [["draft"], ["sew"], [],
                                       ["draft", str(REQUEST), "--unit", "in"], ["draft", "a\0b"],
                                       ["schema", "letter"], ["pattern"], ["pattern", str(REQUEST), "--press", "left"],
                                       ["pattern", str(REQUEST), "--margin", "wide"],
                                       ["lay", str(REQUEST)], ["lay", str(CUT), "--open"],
                                       ["lay", str(CUT), "--width", "115"], ["lay", str(CUT), "--one-way"],
                                       ["pattern", "a\0b"],
                                       ["draft", str(REQUEST), "--vent", "10"], ["pattern", "demo"], ["lay", "demo", "--width", "140"]])
def test_invalid_commands_exit_2_and_name_the_help(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    error = capsys.readouterr().err.splitlines()
    assert caught.value.code == 2 and ": error: " in error[0] and error[-1].endswith(" --help shows the options.") and len(error) == 2


@pytest.mark.parametrize(("command", "words"), [("sizes", "name, waist, hip, hip_depth, length"), ("batch", "figure.high_hip, ease.waist"), ("fit", "high_hip_depth or weight")])
def test_the_help_names_what_a_file_holds(command: str, words: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main([command, "--help"])
    assert words in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(("arguments", "message"), [
    (["lay", str(REQUEST), "--width", "140", "--out", "l.dxf"], "kirtle lay: error: l.dxf is at true size, with one layer of cloth: give --open"),
    (["lay", str(REQUEST), "--width", "140", "--true-size"], "kirtle lay: error: --true-size is for --out with a name that ends with .svg"),
    (["draft", str(REQUEST), "--vent", "10"], "kirtle draft: error: unrecognized arguments: --vent 10 (options of kirtle pattern, lay, sizes, between)"),
    (["pattern", "demo"], "kirtle pattern: error: demo is a size chart: give --each, or --size, one of 32, 34, 36, 38, 40, 42, 44, 46, 48, 50, 52, 54"),
])
def test_an_error_says_where_an_option_exists_and_which_sizes_a_chart_has(
    arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(arguments)
    assert capsys.readouterr().err.startswith(message + "\n")


def test_options_beside_a_request_replace_its_numbers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out, again = tmp_path / "out", tmp_path / "again"
    typed = ["--length", "70", "--hip-ease", "4.5", "--front-hip", "50", "--back-darts", "1"]
    assert main(["draft", str(REQUEST), *typed, "--out", str(out)]) == 0
    before, after = json.loads(REQUEST.read_text()), json.loads((out / "request.json").read_text())
    assert after["body"] == before["body"] | {"length": 70, "figure": {"front_hip": 50}} and after["ease"] == before["ease"] | {"hip": 4.5}
    assert after["rules"]["shares"]["back_darts"] == 1
    assert main(["draft", str(out / "request.json"), "--waist", "7", "--out", str(again)]) == 2
    assert "--waist 7 cm is too small (at least 40 cm)." in capsys.readouterr().err
    for broken in ('{"unit": "cm", "body": 7, "ease": [], "rules": 3}', '{"unit": "cm", "body": {"figure": 7}, "rules": {"shares": 7}}', "[]", "{"):
        (tmp_path / "broken.json").write_text(broken)
        assert main(["draft", str(tmp_path / "broken.json"), *typed]) == 2 and capsys.readouterr().err


@pytest.mark.parametrize("junk", [b"", b"\xff\xfe\x00" * 1000, b"[" * 100_000, b"{}", b"junk" * 250_000])
def test_junk_on_standard_input_exits_2(junk: bytes) -> None:
    run = subprocess.run([sys.executable, "-m", "kirtle", "draft", "-"], input=junk, capture_output=True, check=False)
    assert run.returncode == 2 and run.stdout == b""
    assert run.stderr.startswith((b"standard input: ", b"request: ", b"unit: ")) and b"Traceback" not in run.stderr


def test_a_closed_pipe_ends_the_command_quietly() -> None:
    run = f"{sys.executable} -m kirtle draft {REQUEST} | true; exit ${{PIPESTATUS[0]}}"
    done = subprocess.run(["bash", "-c", run], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_full_output_exits_2_and_an_ascii_terminal_is_accepted() -> None:
    run = [sys.executable, "-m", "kirtle", "draft", "-"]
    narrow = json.dumps(json.loads(REQUEST.read_text()) | {"rules": {"darts": {"back": [], "front": []}}})
    plain = subprocess.run(run, input=narrow.encode(), capture_output=True, check=False,
                           env=os.environ | {"PYTHONIOENCODING": "ascii"})
    assert plain.returncode == 0 and b"leans" in plain.stdout and not plain.stderr
    with open("/dev/full", "w") as full:
        done = subprocess.run(run, input=narrow.encode(), stdout=full, stderr=subprocess.PIPE, check=False)
    assert (done.returncode, done.stderr) == (2, b"standard output: No space left on device\n")


def test_a_byte_order_mark_is_accepted(tmp_path: Path) -> None:
    marked = tmp_path / "marked.json"
    marked.write_text(REQUEST.read_text(), encoding="utf-8-sig")
    assert main(["draft", str(marked)]) == 0


@pytest.mark.parametrize("people", ["\n\nwaist,hip\n73,97\n", "waist,hip\r73,97\r"])
def test_blank_lines_and_old_line_ends_of_a_table_are_accepted(people: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "people.csv"
    file.write_text(people, newline="")
    assert main(["fit", "demo", str(file), "--waist-ease", "1.5", "--hip-ease", "5", "--tolerance", "3"]) == 0
    assert capsys.readouterr().out.startswith("1 people, 0 not measured")


def test_a_file_in_place_of_the_output_folder_is_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    existing_file = tmp_path / "out"
    existing_file.write_text("a file, not a folder")
    assert main(["draft", str(REQUEST), "--out", str(existing_file)]) == 2
    assert existing_file.read_text() == "a file, not a folder" and os.listdir(tmp_path) == ["out"]
    assert str(existing_file) in capsys.readouterr().err


@pytest.mark.parametrize("command", [["draft", *OPTIONS], ["between", "demo", "--waist", "38", "--hip", "40", *OPTIONS[8:]]])
def test_a_folder_is_not_named_as_a_file(command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*command, "--out", str(tmp_path / "anna.png")]) == 2 and os.listdir(tmp_path) == []
    assert "anna.png: this is the name of a file; give a folder, or write the pattern by kirtle pattern --out\n" in capsys.readouterr().err


PIECES = """\
back   cut 2 (mirrored), darts pressed towards the {press}
front  cut 1 on the fold, darts pressed towards the {press}
allowances: waist {waist}, side {side}, hem {hem}, centre back {centre_back} cm
zip opening: {opening:.1f} cm down the centre back
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
        assert capsys.readouterr().out == f"{PIECES.format(**cut)}This does not check fit: sew a trial garment (toile) first.\nwrote {out}\n"
    document = json.loads((tmp_path / "pattern.json").read_text())
    assert (document["name"], document["opening"], document["press"]) == (cut.get("name", ""), cut["opening"], cut["press"])
    # A request with cloth names the length of that cloth.
    pattern = kirtle.Pattern.from_json(CUT.read_text()) if arguments == [CUT] else kirtle.Draft.from_json(REQUEST.read_text()).pattern(**cut)
    assert document == pattern.to_dict() and (tmp_path / "pattern.pdf").read_bytes() == pattern.pdf()
    assert (tmp_path / "pattern.svg").read_text() == pattern.svg()
    assert (tmp_path / "pattern.dxf").read_text() == pattern.dxf()


@pytest.mark.parametrize(("arguments", "message"), [
    (["lay", CUT, "--one-way"], "the request gives the cloth: leave out --width, --selvedge, --open and --one-way"),
    (["lay", CUT, "--width", "115"], "the request gives the cloth: leave out --width, --selvedge, --open and --one-way"),
    (["lay", REQUEST], "give the width of the cloth: --width"),
])
def test_options_that_repeat_or_miss_a_part_of_the_request_are_refused(
    arguments: list[Any], message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main([*map(str, arguments), "--out", str(tmp_path / "out.svg")])
    assert f": error: {message}\n" in capsys.readouterr().err and os.listdir(tmp_path) == []


def test_options_of_cutting_replace_those_of_the_request(tmp_path: Path) -> None:
    out = tmp_path / "skirt.json"
    more = ["--opening", "19", "--hem-allowance", "5", "--note", "Order 17", "--note", "Wash first", "--pieces", "back,front,facing"]
    assert main(["pattern", str(CUT), *more, "--out", str(out)]) == 0
    request = json.loads(CUT.read_text())
    request["cutting"] |= {"opening": 19, "notes": ["Order 17", "Wash first"], "pieces": ["back", "front", "facing"]}
    request["cutting"]["allowances"] = request["cutting"].get("allowances", {}) | {"hem": 5}
    assert json.loads(out.read_text()) == json.loads(kirtle.Pattern.from_json(json.dumps(request)).to_json())
    # A request of a size keeps the name of the size.
    assert main(["draft", "demo", "--size", "40", *OPTIONS[8:], "--out", str(tmp_path)]) == 0
    assert main(["pattern", str(tmp_path / "request.json"), "--preset", "garment", "--out", str(out)]) == 0
    assert json.loads(out.read_text())["name"] == "Size 40"


def test_the_default_opening_of_a_short_skirt_is_the_whole_seam(capsys: pytest.CaptureFixture[str]) -> None:
    short = ["pattern", "--waist", "72", "--hip", "98", "--hip-depth", "10", "--length", "15", "--waist-ease", "1.5",
             "--hip-ease", "5"]
    assert main(short) == 0
    assert "zip opening: 14.0 cm down the centre back" in capsys.readouterr().out
    assert main([*short, "--opening", "20"]) == 2
    assert capsys.readouterr().err == "--opening: 20 cm is longer than the centre back seam of 13.97 cm\n"


def test_letters_missing_in_the_pdf_font_cause_a_caution(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pattern", str(REQUEST), "--name", "漢字 44"]) == 0
    assert "Caution: The PDF font lacks letters of the name or of the notes (number of letters: 2)" in capsys.readouterr().out
    assert main(["pattern", str(REQUEST), "--name", "two\u2028lines"]) == 2
    assert capsys.readouterr().err == '--name: "two\\u{2028}lines" is not a text on one line\n'


def test_paper_options_are_used_and_findings_printed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "a3.pdf"
    options = ["--paper", "a3", "--margin", "5", "--overlap", "15", "--opening", "8"]
    assert main(["pattern", str(REQUEST), "--out", str(out), *options]) == 0
    pattern = kirtle.Draft.from_json(REQUEST.read_text()).pattern(opening=8)
    assert out.read_bytes() == pattern.pdf(paper="A3", margin_mm=5, overlap_mm=15)
    (finding,) = pattern.findings
    assert f"Caution: {finding.message}" in capsys.readouterr().out.splitlines()


@pytest.mark.parametrize(("arguments", "cloth"), [
    ([REQUEST, "--width", "140"], {"width": 140}),
    ([REQUEST, "--width", "115", "--open", "--one-way", "--selvedge", "2"],
     {"width": 115, "folded": False, "one_way": True, "selvedge": 2}),
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
    widths = kirtle.Pattern.from_json(arguments[0].read_text()).allowances.items()
    laid_open = kirtle.Pattern.from_json(arguments[0].read_text()).lay(**cloth | {"folded": False})
    saving = [f"Laid open, {laid_open.to_buy_cm:.0f} cm is enough."] if laid_open.to_buy_cm < lay.to_buy_cm else []
    allowances = "allowances: " + ", ".join(f"{edge.replace('_', ' ')} {width:g}" for edge, width in widths) + " cm"
    assert capsys.readouterr().out.splitlines() == [
        f"On cloth {cloth['width']} cm wide, {how}, the pieces take {lay.length:.1f} cm.",
        f"Buy {lay.to_buy_cm:.0f} cm, plus the length that your cloth shrinks; {lay.waste:.0%} of the needed cloth is left over.",
        *saving, allowances,
        "This does not check fit: sew a trial garment (toile) first.", f"wrote {out}",
    ]
    if not lay.folded:
        assert main(["lay", *map(str, arguments), "--true-size", "--out", str(drawing := tmp_path / "lay.svg")]) == 0
        assert drawing.read_text() == lay.true_size_svg()


@pytest.mark.parametrize(("arguments", "lines"), [
    (["pattern", REQUEST, "--waist-allowance", "-1", "--side-allowance", "wide", "--hem-allowance", "99", "--opening",
      "nan", "--out", "p.pdf"],
     ["--waist-allowance -1 cm is too small (at least 0 cm).",
      '--side-allowance: "wide" is not a number from 0 to 5 cm',
      "--hem-allowance 99 cm is too large (at most 10 cm).",
      '--opening: "nan" is not a number from 5 to 60 cm']),
    (["pattern", *OPTIONS[:-4], "--out", "p.pdf"], ["Give the ease: --waist-ease and --hip-ease (usual: 1 to 2 cm and 4 to 6 cm)."]),
    (["pattern", REQUEST, "--out", "p.txt"],
     ['--out: "p.txt" is not a name that ends with .pdf, .svg, .dxf or .json']),
    (["pattern", REQUEST, "--out", "p.pdf", "--margin", "99", "--overlap", "-1"],
     ["--margin 99 mm is too large (at most 50 mm).", "--overlap -1 mm is too small (at least 0 mm)."]),
    (["pattern", REQUEST, "--out", "no/p.pdf"], ["no/p.pdf: No such file or directory"]),
    (["pattern", "no.json", "--out", "p.pdf"], ["no.json: No such file or directory"]),
    (["lay", REQUEST, "--width", "x", "--out", "l.svg"], ['--width: "x" is not a number from 40 to 400 cm']),
    (["lay", REQUEST, "--width", "50", "--out", "l.svg"],
     ["--width: 50 cm is too narrow for the widest piece; the minimum is 62 cm"]),
    (["lay", "--unit", "in", "--waist", "29", "--hip", "40", "--hip-depth", "8", "--length", "24", "--waist-ease", "0.5", "--hip-ease", "2", "--width", "50cm"],
     ["--width: 19.685 in is too narrow for the widest piece; the minimum is 25.4 in"]),
    (["lay", REQUEST, "--width", "140", "--selvedge", "6", "--out", "l.pdf"], ["--selvedge 6 cm is too large (at most 5 cm)."]),
])
def test_invalid_cutting_exits_2_and_writes_nothing(
    arguments: list[Any], lines: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main([str(argument) for argument in arguments]) == 2
    printed = capsys.readouterr()
    assert printed.out == "" and printed.err.splitlines() == lines and os.listdir(tmp_path) == []


@pytest.mark.parametrize("name", sorted(path.name.split(".")[0] for path in (TESTS / "schemas").iterdir()))
def test_the_schema_command_prints_each_schema(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", name]) == 0
    assert json.loads(capsys.readouterr().out) == kirtle.schema(name)
    assert json.loads((TESTS / "schemas" / f"{name}.schema.json").read_text()) == kirtle.schema(name)


def test_the_number_of_darts_is_chosen_by_an_option(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draft", *OPTIONS, "--back-darts", "3", "--front-darts", "auto", "--out", str(tmp_path)]) == 0
    result = json.loads((tmp_path / "result.json").read_text())
    assert [len(result[half]["darts"]) for half in ("back", "front")] == [3, 2]
    capsys.readouterr()
    assert main(["sizes", "demo", *OPTIONS[-4:], "--back-darts", "1"]) == 0
    rows = [line for line in capsys.readouterr().out.splitlines() if "   back " in line]
    assert len(rows) == 12 and not any(" + " in row.split("front")[0] for row in rows)
    assert main(["draft", *OPTIONS, "--back-darts", "many"]) == 2
    assert capsys.readouterr().err == '--back-darts: "many" is not "auto", "per_size" or a whole number from 0 to 3\n'


def test_fractions_of_an_inch_are_read(capsys: pytest.CaptureFixture[str]) -> None:
    options = ["--unit", "in", "--waist", "29 1/2", "--hip", "38", "--hip-depth", "8", "--length", "24", "--waist-ease", "1/2", "--hip-ease", "2"]
    assert main(["draft", *options]) == 0
    assert "29 1/2         1/2          30" in capsys.readouterr().out
    signs = [text.replace("29 1/2", "29½").replace("1/2", "½") for text in options]
    assert main(["draft", *signs]) == 0
    assert "29 1/2         1/2          30" in capsys.readouterr().out
    for typed, row in (("-1 1/4", "-1 1/4"), ("-1/2", "-1/2"), ("-½", "-1/2"), ("−,5", "-1/2"), ("−,", ""), ("-0,5", "-1/2"), ("+1/2", "+1/2"), ("−1/2", "-1/2")):
        code = main(["correct", *options, "--what", "length", "--by", typed])
        assert (code, row in capsys.readouterr().out) == (2 if row == "" else 0, True), typed


def test_a_length_may_have_its_own_unit(capsys: pytest.CaptureFixture[str]) -> None:
    typed = ["--waist", "29in", "--hip", '39-3/4"', "--hip-depth", "20,5 CM", "--length", "620mm", "--waist-ease", "1/2 In.", "--hip-ease", "5"]
    assert main(["draft", *typed]) == 0
    assert ["waist", "73.7", "1.3", "74.9"] in [line.split() for line in capsys.readouterr().out.splitlines()]
    assert main(["lay", *typed, "--width", "60 in"]) == 0 and "On cloth 152.4 cm wide" in capsys.readouterr().out
    assert main(["pattern", *typed, "--vent", "180mm", "--hem-allowance", "2in"]) == 0
    printed = capsys.readouterr().out
    assert "hem 5.08," in printed and "vent: 18.0 cm high" in printed
    assert main(["correct", *typed, "--what", "length", "--by", "10 mm"]) == 0
    assert ["length", "+1"] in [line.split() for line in capsys.readouterr().out.splitlines()]
    assert main(["choose", "demo", "--waist", "29in", "--hip", "100", "--tolerance", "5mm"]) == 0
    assert "at most 0.5 cm larger" in capsys.readouterr().out
    assert main(["draft", "demo", "--size", "40", *OPTIONS[8:], "--high-hip", "38in", "--high-hip-depth", "4in"]) == 0


@pytest.mark.parametrize("command", [["draft", *OPTIONS], ["correct", *OPTIONS, "--what", "length", "--by", "1"]])
def test_a_result_is_not_taken_for_a_request(command: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*command, "--out", str(tmp_path)]) == 0
    assert main(["pattern", str(tmp_path / "request.json")]) == 0
    with pytest.raises(SystemExit):
        main(["pattern", str(tmp_path / "result.json")])
    assert "is a result, not a request: give the request.json beside it" in capsys.readouterr().err
    assert main(["pattern", str(tmp_path / "request.json"), "--out", str(tmp_path / "cut.json")]) == 0
    for wrong, message in ((["pattern", "cut.json"], "is a pattern, not a request: give the request that it was made from"),
                           (["draft", "request.json", "--size", "40"], "is a request, not a size chart")):
        with pytest.raises(SystemExit):
            main([wrong[0], str(tmp_path / wrong[1]), *wrong[2:]])
        assert message in capsys.readouterr().err


@pytest.mark.parametrize(("arguments", "message"), [
    (["lay", str(REQUEST), "--width", "20"], "--width 20 cm is too small (at least 40 cm). Inches? Write 20in.\n"),
    (["correct", str(REQUEST), "--what", "hip_line", "--by", "1", "--at", "side"], "--at side: leave out --at for --what hip_line.\n"),
    (["draft", "empty.json"], "empty.json: the request is empty\n"),
    (["sizes", "empty.json"], "empty.json: the chart is empty\n"),
])
def test_advice_leads_to_a_command_that_works(
    arguments: list[str], message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("empty.json").touch()
    assert main(arguments) == 2 and capsys.readouterr().err == message


def test_a_size_chart_is_known_by_what_it_holds(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "chart.txt").write_text(kirtle.SizeChart.demo().to_csv())
    for chart in ("demo", str(tmp_path / "chart.txt")):
        assert main(["draft", chart, "--size", "40", *OPTIONS[8:]]) == 0 and "waist                             76.0" in capsys.readouterr().out


@pytest.mark.parametrize("place", ["38:40:", "38:40:2", "38:40:1/0", "38::150%", "38:40:%"])
def test_a_place_between_sizes_needs_a_fraction(place: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["between", "demo", "--waist", place, "--hip", "40"]) == 2
    said = f'--waist "{place}": write two sizes, half-way (38:40) or with a fraction from 0 to 1 (38:40:1/4, 38:40:25%).\n'
    assert capsys.readouterr().err == said


@pytest.mark.parametrize(("arguments", "lines"), [
    (["draft", str(REQUEST)], ["Straight skirt (in)               body        ease     garment", "hip                             39 3/4           2      41 3/4"]),
    (["pattern", str(REQUEST), "--unfolded", "--pieces", "back,front,facing"], ["front  cut 1,", "front facing: cut 1,"]),
    (["pattern", str(REQUEST), "--vent", "18"], ["zip opening: 7 7/8 in down the centre back", "vent: 7 1/8 in high at the centre back"]),
    (["lay", str(REQUEST), "--width", "140"], ["On cloth 55 1/8 in wide, folded lengthwise, the pieces take 25 1/2 in.", "Buy 3/4 yd, plus"]),
    (["sizes", "demo", *OPTIONS[8:]], ["   darts (in)", "\n38              28 3/8    37 3/4"]),
    (["between", "demo", "--waist", "38", "--hip", "38"], ["waist       28 3/8 in"]),
])
def test_a_ruler_of_the_other_unit_prints_that_unit(arguments: list[str], lines: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*arguments, "--ruler", "in 1/8"]) == 0
    printed = capsys.readouterr().out
    assert all(line in printed for line in lines), printed


def test_pieces_of_the_waist_are_chosen_by_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "banded.json"
    assert main(["pattern", str(REQUEST), "--pieces", "back, front,waistband", "--underlap", "4", "--out", str(out)]) == 0
    assert "\nwaistband: cut 1, also cut from interfacing\n" in capsys.readouterr().out
    (band,) = json.loads(out.read_text())["waist_pieces"]
    assert max(y for edge in band["seam"] for _, y in edge["points"]) == pytest.approx(75.5 + 4)
    assert main(["lay", str(REQUEST), "--pieces", "facing,front,back", "--width", "140", "--out", str(tmp_path / "lay.json")]) == 0
    placed = [piece["piece"] for piece in json.loads((tmp_path / "lay.json").read_text())["placed"]]
    assert sorted(placed) == ["back", "back_facing", "front", "front_facing"]
    capsys.readouterr()
    assert main(["pattern", str(REQUEST), "--pieces", "back,front,apron,facing", "--facing-depth", "9"]) == 2
    assert capsys.readouterr().err == (
        '--pieces: "apron" is not "back" or "front" or "waistband" or "facing"\n--facing-depth 9 cm is too large (at most 8 cm).\n')


def test_the_record_of_a_fitting_names_lengths_as_the_table_does(capsys: pytest.CaptureFixture[str]) -> None:
    changes = ("waist", "-1"), ("hip_line", "1"), ("length", "2"), ("balance", "0.5"), ("centre_back", "0.5"), ("dart_length", "1")
    assert main(["correct", *OPTIONS, *(word for what, by in changes for word in ("--what", what, "--by", by)), *("--at", "darts")]) == 0
    record, table = capsys.readouterr().out.split("Pattern (cm)")[1].split("Straight skirt (cm)")
    names = {re.sub("^(back|front), |^waist shaping, ", "", line[:38].strip()) for line in record.splitlines()[1:] if line and " dart " not in line}
    assert len(names) >= 6 and all(f"\n{name}  " in table for name in names if not name.startswith("finished")), names


def test_a_vent_takes_the_place_of_the_caution_about_a_narrow_hem(capsys: pytest.CaptureFixture[str]) -> None:
    long = [option if option != "62" else "85" for option in OPTIONS]
    for more, caution in (([], "a pleat at least 16 cm high."), (["--vent", "12"], "The vent is 12.0 cm high, but"), (["--vent", "16"], "")):
        assert main(["pattern", *long, *more]) == 0
        printed = capsys.readouterr().out
        assert printed.count("Caution: ") == (1 if caution else 0) and caution in printed
        assert ("vent: " in printed) == bool(more)


def test_a_lay_in_inches_is_bought_in_eighths_of_a_yard(capsys: pytest.CaptureFixture[str]) -> None:
    inches = ["--unit", "in", "--waist", "28", "--hip", "38", "--hip-depth", "8", "--length", "24", "--waist-ease", "0.5", "--hip-ease", "2"]
    assert main(["lay", *inches, "--width", "45"]) == 0
    assert "\nBuy 1 1/4 yd, plus the length" in capsys.readouterr().out


def test_options_measure_the_figure(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    figure = ["--front-length", "100.5", "--side-length", "101", "--front-hip", "53", "--front-waist", "40"]
    for start in (OPTIONS, ["demo", "--size", "40", *OPTIONS[8:]]):
        assert main(["draft", *start, *figure, "--out", str(tmp_path)]) == 0
        result = json.loads((tmp_path / "result.json").read_text())
        assert result["body"]["figure"] == {"front_length": 100.5, "side_length": 101, "front_hip": 53, "front_waist": 40}
        assert abs(result["front"]["waist_lowering"] - 0.5) < 1e-9
        assert "FAILED" not in capsys.readouterr().out
    assert main(["draft", *OPTIONS, "--front-length", "1"]) == 2
    assert "--front-length 1 cm is too small (at least 15 cm)." in capsys.readouterr().err
