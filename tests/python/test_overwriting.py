"""No command writes over a file that it reads, under whatever name; options without effect are refused."""

import argparse
import io
import json
import os
import sys
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from conftest import TESTS

import kirtle
from kirtle.__main__ import main, parser

EASES = ["--waist-ease", "1.5", "--hip-ease", "5"]
BODY = ["--waist", "70", "--hip", "94", "--hip-depth", "20", "--length", "60"]
INPUTS = ("request.json", "chart.csv", "chart.json", "bodies.parquet")

COMMANDS = {
    "draft": ["draft", "request.json", "--out", "OUT"],
    "pattern": ["pattern", "request.json", "--out", "OUT"],
    "lay": ["lay", "request.json", "--width", "140", "--out", "OUT"],
    "lesson": ["lesson", "request.json", "--out", "OUT"],
    "correct": ["correct", "request.json", "--what", "waist", "--by", "1", "--out", "OUT"],
    "sizes": ["sizes", "chart.csv", *EASES, "--nest", "OUT"],
    "between": ["between", "chart.json", "--waist", "S", "--hip", "S:M", *EASES, "--out", "OUT"],
    "alter": ["alter", "chart.csv", *BODY, *EASES, "--out", "OUT"],
    "batch": ["batch", "bodies.parquet", "OUT", *EASES],
    "fit": ["fit", "chart.csv", "bodies.parquet", "--tolerance", "2", *EASES, "--out", "OUT"],
    "best": ["best", "bodies.parquet", "--sizes", "2", "--fixed", "72:96", "--fixed", "76:100", "--out", "OUT", "--hip-depth", "20", "--length", "60"],
}
"""Command lines of the commands that write files."""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one input of each kind; it is the working directory."""
    (tmp_path / "request.json").write_bytes((TESTS / "requests" / "evening-class.json").read_bytes())
    (tmp_path / "chart.csv").write_text(kirtle.SizeChart.demo().to_csv())
    sizes = [{"name": name, "waist": waist, "hip": waist + 24, "hip_depth": 20, "length": 60} for name, waist in (("S", 66), ("M", 72))]
    (tmp_path / "chart.json").write_text(json.dumps({"unit": "cm", "sizes": sizes}))
    columns: dict[str, list[float]] = {"waist": [70.0], "hip": [94.0], "hip_depth": [20.0], "length": [60.0]}
    pq.write_table(pa.table(columns), tmp_path / "bodies.parquet")
    (tmp_path / "sub").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def other_names(name: str) -> list[str]:
    """Return names of a file in the working directory: relative, absolute, a symbolic and a hard link with the same suffix."""
    suffix = Path(name).suffix
    (Path("sub") / f"soft{suffix}").symlink_to(Path("..") / name)
    os.link(name, f"hard{suffix}")
    return [name, f"./sub/../{name}", str(Path(name).absolute()), f"sub/soft{suffix}", f"hard{suffix}"]


def test_the_table_has_every_command_that_writes() -> None:
    actions = next(action for action in parser()._actions if isinstance(action, argparse._SubParsersAction))
    writes = {name for name, command in actions.choices.items()
              if {"out", "nest"} & {action.dest for action in command._actions}}
    assert writes == set(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_an_input_is_never_overwritten(command: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = COMMANDS[command]
    before = {name: (folder / name).read_bytes() for name in INPUTS}
    for name in set(line) & set(INPUTS):
        if command in ("draft", "correct"):
            (folder / "linked").mkdir()
            (folder / "linked" / "result.json").symlink_to(folder / name)
            outputs = [".", "sub/..", str(folder), "linked"]
        else:
            outputs = other_names(name)
        for output in outputs:
            with pytest.raises(SystemExit) as stopped:
                main([output if word == "OUT" else word for word in line])
            error = capsys.readouterr().err
            assert stopped.value.code == 2 and f"is the file that is read ({name}) and would be overwritten" in error
    assert {name: (folder / name).read_bytes() for name in INPUTS} == before
    assert not list(folder.rglob("*.part"))


@pytest.mark.parametrize("command", COMMANDS)
def test_another_file_is_written(command: str, folder: Path) -> None:
    before = {name: (folder / name).read_bytes() for name in INPUTS}
    output = {"sizes": "new.svg", "alter": "new.svg", "between": "new.json", "pattern": "new.json", "lay": "new.json", "lesson": "new.md", "best": "new.json", "batch": "new.parquet", "fit": "new.csv"}.get(command, "new")
    for _ in range(2):  # An earlier output is no input.
        assert main([output if word == "OUT" else word for word in COMMANDS[command]]) == 0
    assert (folder / output).exists() and {name: (folder / name).read_bytes() for name in INPUTS} == before


def test_the_file_behind_standard_input_is_not_overwritten(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    before = (folder / "request.json").read_bytes()
    with (folder / "request.json").open() as source:
        monkeypatch.setattr(sys, "stdin", source)
        with pytest.raises(SystemExit):
            main(["pattern", "-", "--out", "request.json"])
    assert "is the file that is read (standard input)" in capsys.readouterr().err
    assert (folder / "request.json").read_bytes() == before
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(before)))
    assert main(["pattern", "-", "--out", "customer.json"]) == 0  # A stream without a file behind it.
    assert json.loads((folder / "customer.json").read_text())["allowances"]["side"] == 2


def test_a_request_and_a_record_of_fittings_are_not_replaced_by_those_of_another(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for command in (["pattern", "request.json"], ["between", "demo", "--waist", "38", "--hip", "40", *EASES]):
        with pytest.raises(SystemExit):
            main([*command, "--out", "sub/request.json"])
        assert "sub/request.json is the name of a request" in capsys.readouterr().err
    fitting = ["correct", "request.json", "--what", "waist", "--out", "kept"]
    assert main([*fitting, "--by", "1"]) == main([*fitting, "--by", "1"]) == 0  # The same command again.
    record = (folder / "kept" / "fittings.txt").read_bytes()
    # Another customer with the same measurements, and a second try, have the same body.
    (folder / "other.json").write_bytes((folder / "request.json").read_bytes())
    for command in (["draft", "request.json", "--out", "kept"], [*fitting, "--by", "1", "--waist", "99"], [*fitting, "--by", "2"],
                    ["correct", "other.json", *fitting[2:], "--by", "1", "--note", "Frau K"]):
        assert main(command) == 2
        assert "kept/fittings.txt: this record of fittings would be replaced; give another folder" in capsys.readouterr().err
    assert (folder / "kept" / "fittings.txt").read_bytes() == record
    # A longer record that starts with the record of the folder is written.
    assert main(["correct", "kept/request.json", *fitting[2:-1], "next", "--by", "1"]) == 0
    (folder / "next" / "fittings.txt").write_bytes(record)
    assert main(["correct", "kept/request.json", *fitting[2:-1], "next", "--by", "1"]) == 0
    assert (folder / "next" / "fittings.txt").read_bytes().startswith(record) and (folder / "next" / "fittings.txt").read_bytes() != record


@pytest.mark.parametrize(("line", "message"), [
    (["pattern", "request.json", "--out", "p.svg", "--paper", "A3"], "p.svg is not a PDF: leave out --paper"),
    (["pattern", "request.json", "--out", "p.dxf", "--margin", "5", "--overlap", "3"], "p.dxf is not a PDF: leave out --margin, --overlap"),
    (["pattern", "request.json", "--paper", "A3"], "no PDF is written: leave out --paper"),
    (["sizes", "chart.csv", *EASES, "--nest", "n.svg", "--paper", "A0"], "n.svg is not a PDF"),
    (["sizes", "chart.csv", *EASES, "--paper", "A0"], "no PDF is written"),
    (["alter", "chart.csv", *BODY, *EASES, "--out", "a.svg", "--paper", "A0"], "a.svg is not a PDF"),
    (["pattern", "request.json", "--waistband-width", "4"], "--waistband-width: no waistband is cut: give --pieces back,front,waistband, too"),
    (["lay", "request.json", "--width", "140", "--pieces", "back,front,waistband", "--facing-depth", "5"], "--facing-depth: no facing is cut"),
    (["between", "demo", "--waist", "38", "--hip", "40", *EASES, "--out", "b.svg", "--vent-width", "5"], "--vent-width: no vent is cut: give --vent, too"),
])
def test_an_option_without_effect_is_refused(
    line: list[str], message: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(line)
    assert stopped.value.code == 2 and message in capsys.readouterr().err
    assert sorted(path.name for path in folder.iterdir()) == sorted([*INPUTS, "sub"])


@pytest.mark.parametrize("line", [["batch", "people", "out.parquet"], ["fit", "demo", "people", "--tolerance", "2"]])
def test_a_table_that_is_not_parquet_is_refused_in_words(
    line: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = "waist,hip,hip_depth,length\n70,94,20,60\n"
    for name, content, message in (("people.parquet", text, "not a table in Parquet"), ("people", "", "nor in CSV"), ("people.csv", "", "Empty CSV file")):
        (folder / name).write_text(content)
        with pytest.raises(SystemExit):
            main([name if word == "people" else word for word in [*line, *EASES]])
        error = capsys.readouterr().err
        assert f"{name}: " in error and message in error and "magic" not in error
    (folder / "people.csv").write_text(text)
    assert main(["people.csv" if word == "people" else word for word in [*line, *EASES]]) == 0
