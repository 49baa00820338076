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
    assert "Clara" in sheet and "Size" not in sheet and "Set for this skirt" not in sheet
    # An option holds for all rows; a draft is that of the body alone.
    assert main(["draft", *EACH, "--length", "60", "--out", "sheets/{name}"]) == 1
    request = json.loads(Path("sheets/Clara/request.json").read_text())
    assert request == {"unit": "cm", "cutting": {"name": "Clara"}, "body": {"waist": 82, "hip": 104.5, "hip_depth": 21, "length": 60}, "ease": {"waist": 1.5, "hip": 5}}
    for command, ending in ((["lesson"], "md"), (["lay", "--width", "140"], "svg")):
        assert main([*command, *EACH, "--out", f"sheets/{{name}}.{ending}"]) == 1
        assert "Anna" in Path(f"sheets/Anna.{ending}").read_text() and not Path(f"sheets/Bea.{ending}").exists()


def test_a_row_without_a_file_does_not_stop_the_others(capsys: pytest.CaptureFixture[str]) -> None:
    Path("class.csv").write_text("name;waist\nanna;66\nAnna;66\n a/b ;66\n;66\n..;66\nBea;70")
    assert main(["pattern", *EACH, "--hip", "101", "--hip-depth", "20", "--length", "60", "--out", "sheets/{name}.svg"]) == 1
    assert capsys.readouterr().err.splitlines() == [
        "Anna (line 3): the same file as anna (line 2)", 'a/b (line 4): a file cannot have the name "a/b"', 'line 5: a file cannot have the name ""',
        '.. (line 6): a file cannot have the name ".."']
    assert sorted(path.name for path in Path("sheets").iterdir()) == ["Bea.svg", "anna.svg"]


def test_files_of_sizes_are_named_as_sizes_and_their_darts_compared(capsys: pytest.CaptureFixture[str]) -> None:
    rows = ("36;66;94", "38;71;98", "40;76;102", "42;81;106")
    Path("class.csv").write_text("\n".join(["name;waist;hip;hip_depth;length", *(f"{row};20;60" for row in rows)]))
    Path("german.json").write_text('{"one_size": "Größe {name}"}', encoding="utf-8")
    darts = "Front darts: 2 in 36, 38; 1 in 40, 42; one number for all: --front-darts 2."
    for more, title in (([], "Size 40. Straight"), (["--name", "Skirt 3, {name}"], "Skirt 3, Size 40. Straight"), (["--texts", "german.json"], "Größe 40. Straight")):
        assert main(["pattern", *EACH, *more, "--out", "sheets/{name}.svg"]) == 0
        assert capsys.readouterr().out.splitlines()[-2:] == [darts, CAUTION] and title in Path("sheets/40.svg").read_text(encoding="utf-8")
    assert main(["lesson", *EACH, "--front-darts", "2", "--out", "sheets/{name}.md"]) == 0
    assert "Front darts:" not in capsys.readouterr().out and "# Size 40. A straight skirt" in Path("sheets/40.md").read_text()


def test_a_class_reads_on_the_screen_and_on_the_page_how_much_cloth_to_buy(capsys: pytest.CaptureFixture[str]) -> None:
    Path("class.csv").write_text("name;waist;hip;hip_depth;length\nDora;90;112;20;60\n")
    cut = ["--preset", "garment", "--pieces", "back,front,waistband", "--width", "140"]
    assert main(["lay", *EACH, *cut, "--out", "sheets/{name}.pdf"]) == 0
    assert "Dora.pdf: Buy 140 cm; Laid open, 100 cm" in capsys.readouterr().out
    assert "Laid open, 100 cm is enough." in pypdf.PdfReader("sheets/Dora.pdf").pages[0].extract_text()
    assert main(["pattern", *EACH, *cut[:-2], "--out", "sheets/{name}.pdf"]) == 0
    assert "100 cm at 140 cm wide, laid open" in " ".join(pypdf.PdfReader("sheets/Dora.pdf").pages[0].extract_text().split())


@pytest.mark.parametrize(("rows", "out", "problems"), [
    ("Anna;66\nBea;70", "other/{name}.pdf", ["other: no such folder; make it first"]),
    ("", "sheets/{name}.pdf", ["class.csv: no row below the header"]),
])
def test_nothing_is_written_without_rows_or_a_folder(rows: str, out: str, problems: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    Path("class.csv").write_text(f"name;waist\n{rows}")
    assert main(["pattern", *EACH, "--hip", "101", "--hip-depth", "20", "--length", "60", "--out", out]) == 2
    assert capsys.readouterr().err.splitlines() == problems and not list(Path("sheets").iterdir())


def test_a_list_needs_names_and_each_output_the_name(capsys: pytest.CaptureFixture[str]) -> None:
    for more in (["--out", "x.pdf"], ["--out", "{name}.pdf", "--size", "Anna"], ["--out", "{name}.pdf", "--name", "Anna"], []):
        with pytest.raises(SystemExit):
            main(["pattern", *EACH, *more])
        assert "--each needs a list in CSV, no size, and {name} in --out and in --name, if that is given" in capsys.readouterr().err
    Path("class.csv").write_text("waist;waist\n66;66\n")
    assert main(["pattern", *EACH, "--out", "{name}.pdf"]) == 2 and "class.csv: the header needs one column name, and" in capsys.readouterr().err
    Path("german.svg").write_text("{}")
    Path("class.csv").write_text(CLASS.replace("Anna", "german"))
    with pytest.raises(SystemExit):
        main(["pattern", *EACH, "--texts", "german.svg", "--out", "{name}.svg"])
    assert "german.svg is the file that is read" in capsys.readouterr().err
