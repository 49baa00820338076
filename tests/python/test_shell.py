"""The shell: files, standard input, options, exit codes."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from conftest import TESTS

import kirtle
from kirtle.__main__ import main

REQUEST = TESTS / "requests" / "evening-class.json"
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
        'body.waist: "7_4" is not a number from 40 to 200 cm', "body.hip: 9999 cm is above the most of 220 cm",
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
                                       ["schema", "letter"]])
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


@pytest.mark.parametrize("name", ["request", "result", "error"])
def test_schema(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", name]) == 0
    assert json.loads(capsys.readouterr().out) == kirtle.schema(name)
    assert json.loads((TESTS / "schemas" / f"{name}.schema.json").read_text()) == kirtle.schema(name)
