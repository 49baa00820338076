"""A command with ``--each``: files for each row of a class list, problems with their lines, nothing written for a list without file names."""

import json
from pathlib import Path

import pypdf
import pytest

from kirtle.__main__ import main

EACH = ["class.csv", "--each", "--waist-ease", "1.5", "--hip-ease", "5"]
CAUTION = "This does not check fit: sew a trial garment (toile) first."
CLASS = """Name;Waist;Hip;Hip depth;Length;Notes

Anna;66;101;20,5;85;
Bea;ca. 80;10;;60;
Clara;82;104,5;21;58;x
Dora;82;104,5
Zoë;29in;39½in;8in;60;
"""


@pytest.fixture(autouse=True)
def in_class(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The working directory has a class list and a folder for sheets."""
    monkeypatch.chdir(tmp_path)
    Path("class.csv").write_text(CLASS, encoding="utf-8-sig")
    Path("sheets").mkdir()


def test_each_row_is_drafted_by_itself_and_a_problem_has_its_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["pattern", *EACH, "--out", "sheets/{name}.pdf"]) == 1
    said = capsys.readouterr()
    assert said.out.splitlines() == ["wrote sheets/Anna.pdf: narrow hem", "wrote sheets/Clara.pdf", "wrote sheets/Zoë.pdf", CAUTION]
    assert said.err.splitlines() == [
        "class.csv: columns that are not read: Notes",
        'Bea (line 4): waist: "ca. 80" is not a number from 40 to 200 cm', "Bea (line 4): hip 10 cm is too small (at least 50 cm).",
        "Bea (line 4): Give hip depth: a number from 10 to 40 cm.", "Dora (line 6): number of columns: 3 instead of 6"]
    sheet = pypdf.PdfReader("sheets/Clara.pdf").pages[0].extract_text()
    assert "Clara" in sheet and "Size" not in sheet and "Rules other" not in sheet
    # An option holds for all rows; a draft is that of the body alone.
    assert main(["draft", *EACH, "--length", "60", "--out", "sheets/{name}"]) == 1
    request = json.loads(Path("sheets/Clara/request.json").read_text())
    assert request == {"unit": "cm", "cutting": {"name": "Clara"}, "body": {"waist": 82, "hip": 104.5, "hip_depth": 21, "length": 60}, "ease": {"waist": 1.5, "hip": 5}}
    for command, ending in ((["lesson"], "md"), (["lay", "--width", "140"], "svg")):
        assert main([*command, *EACH, "--out", f"sheets/{{name}}.{ending}"]) == 1
        assert "Anna" in Path(f"sheets/Anna.{ending}").read_text() and not Path(f"sheets/Bea.{ending}").exists()


@pytest.mark.parametrize(("rows", "out", "problems"), [
    ("anna;66\nAnna;66\n a/b ;66\n;66\n..;66", "sheets/{name}.pdf", [
        "Anna (line 3): the same file as anna (line 2)", 'a/b (line 4): a file cannot have the name "a/b"', 'line 5: a file cannot have the name ""',
        '.. (line 6): a file cannot have the name ".."']),
    ("Anna;66\nBea;70", "other/{name}.pdf", ["other: no such folder; make it first"]),
    ("", "sheets/{name}.pdf", ["class.csv: no row below the header"]),
])
def test_nothing_is_written_if_a_row_has_no_file(rows: str, out: str, problems: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    Path("class.csv").write_text(f"name;waist\n{rows}")
    assert main(["pattern", *EACH, "--hip", "101", "--hip-depth", "20", "--length", "60", "--out", out]) == 2
    assert capsys.readouterr().err.splitlines() == problems and not list(Path("sheets").iterdir())


def test_a_list_needs_names_and_each_output_the_name(capsys: pytest.CaptureFixture[str]) -> None:
    for more in (["--out", "x.pdf"], ["--out", "{name}.pdf", "--size", "Anna"], ["--out", "{name}.pdf", "--name", "Anna"], []):
        with pytest.raises(SystemExit):
            main(["pattern", *EACH, *more])
        assert "--each needs a list in CSV, and {name} in --out, but no --name and no size" in capsys.readouterr().err
    Path("class.csv").write_text("waist;waist\n66;66\n")
    assert main(["pattern", *EACH, "--out", "{name}.pdf"]) == 2 and "class.csv: the header needs one column name, and" in capsys.readouterr().err
    Path("german.svg").write_text("{}")
    Path("class.csv").write_text(CLASS.replace("Anna", "german"))
    with pytest.raises(SystemExit):
        main(["pattern", *EACH, "--texts", "german.svg", "--out", "{name}.svg"])
    assert "german.svg is the file that is read" in capsys.readouterr().err
