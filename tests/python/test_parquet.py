"""Tables in Parquet files: from the command line, and on the worker processes of a cluster."""

import json
from pathlib import Path
from typing import Any

import distributed
import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from pyarrow import csv

import kirtle
from kirtle.__main__ import main
from kirtle.options import parse_length
from kirtle.tables import numbers_in

ROWS = 30_000
PARTS = 4


def people(rows: int, seed: int) -> pa.Table:
    """Simulates bodies in cm; the waist of every thousandth row is null."""
    draws = np.random.default_rng(seed).normal(size=(3, rows))
    waist = 76 + 8 * draws[0]
    missing = np.arange(rows) % 1000 == 0
    return pa.table({
        "WAIST": pa.array(waist, mask=missing),
        "hip": waist + 25 + 4 * draws[1],
        "hip_depth": 20 + 1.2 * draws[2],
    })


def draft_file(source: str, out: str, threads: int | None = None) -> int:
    """Drafts one partition from file to file; returns the number of refused rows."""
    columns: dict[str, float | str] = {"waist": "WAIST", "length": 60.0, "ease.waist": 1.5, "ease.hip": 5.0}
    drafts = kirtle.draft_table(pq.read_table(source), columns=columns, threads=threads)
    pq.write_table(pa.table(drafts), out)
    refused: int = drafts.refused
    return refused


@pytest.fixture
def parts(tmp_path: Path) -> list[Path]:
    files = [tmp_path / f"part-{k}.parquet" for k in range(PARTS)]
    for seed, file in enumerate(files):
        pq.write_table(people(ROWS, seed), file)
    return files


def test_two_worker_processes_write_the_same_bytes_as_one(parts: list[Path], tmp_path: Path) -> None:
    single = [tmp_path / f"single-{k}.parquet" for k in range(PARTS)]
    shared = [tmp_path / f"shared-{k}.parquet" for k in range(PARTS)]
    refused = [draft_file(str(part), str(out)) for part, out in zip(parts, single, strict=True)]
    assert refused == [30] * PARTS
    with (
        distributed.LocalCluster(  # type: ignore[no-untyped-call]
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,  # type: ignore[no-untyped-call]
    ):
        # Workers cannot import a test module, so the file is uploaded to them.
        client.upload_file(__file__)
        futures = [
            client.submit(draft_file, str(part), str(out), 1, pure=False) for part, out in zip(parts, shared, strict=True)
        ]
        assert client.gather(futures) == refused
        assert len({worker for who in client.who_has(futures).values() for worker in who}) == 2
    assert [out.read_bytes() for out in shared] == [out.read_bytes() for out in single]
    # The concatenated partitions equal the table drafted at once.
    whole = pa.concat_tables([pq.read_table(part) for part in parts])
    columns: dict[str, float | str] = {"waist": "WAIST", "length": 60.0}
    drafts = pa.table(kirtle.draft_table(whole, columns=columns, ease=kirtle.Ease(waist=1.5, hip=5)))
    assert pa.concat_tables([pq.read_table(out) for out in shared]).equals(drafts)


def shell(*arguments: Any) -> int:
    return main([str(argument) for argument in arguments])


def test_the_command_line_drafts_a_file(parts: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "drafts.parquet"
    options = ("--number", "waist=WAIST", "--number", "length=60", "--waist-ease", 1.5, "--hip-ease", 5)
    assert shell("batch", parts[0], out, *options) == 0
    printed = capsys.readouterr().out
    assert printed.startswith("30,000 bodies: 29,970 drafted, 30 refused; ease 1.5 cm at the waist, 5 cm at the hip\n  refused, missing: 30\n  caution, ")
    # A body counts once, whether a caution is about one panel or both.
    findings = [set(codes or ()) for codes in pq.read_table(out)["findings"].to_pylist()]
    lines = [line.removeprefix("  caution, ") for line in printed.splitlines() if line.startswith("  caution, ")]
    for line in lines:
        code, count = line.split(": ")
        assert sum(code in codes for codes in findings) == int(count.replace(",", "")), line
    # A folder is one table; the names of its folders are columns.
    (tmp_path / "folder" / "site=3").mkdir(parents=True)
    parts[0].rename(tmp_path / "folder" / "site=3" / "part.parquet")
    assert shell("batch", tmp_path / "folder", tmp_path / "of_folder.parquet", *options, "--keep", "site") == 0
    of_folder = pq.read_table(tmp_path / "of_folder.parquet")
    assert of_folder["site"].unique().to_pylist() == [3] and of_folder.drop_columns("site").equals(pq.read_table(out))
    (tmp_path / "folder" / "site=3" / "part.parquet").rename(parts[0])
    expected = tmp_path / "expected.parquet"
    draft_file(str(parts[0]), str(expected))
    assert pq.read_table(out).equals(pq.read_table(expected))


def test_the_command_line_keeps_columns(parts: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "kept.parquet"
    source, options = pq.read_table(parts[0]), ("--number", "waist=WAIST", "--waist-ease", 1.5, "--hip-ease", 5)
    assert shell("batch", parts[0], out, *options, "--number", "length=60", "--keep", "hip,WAIST") == 0
    assert pq.read_table(out).select([0, 1]).equals(source.select(["hip", "WAIST"]))
    assert shell("fit", "demo", parts[0], *options, "--tolerance", 2, "--out", out, "--keep", "all") == 0
    assert pq.read_table(out).select([0, 1, 2]).equals(source) and pq.read_table(out).column_names[3] == "size"
    assert shell("batch", parts[0], out, *options, "--number", "length=60", "--keep", "id") == 2
    assert '--keep: "id" is not the name of exactly one column' in capsys.readouterr().err
    # In CSV, columns that are kept stay as written, and numbers have any separator of columns.
    text = tmp_path / "people.csv"
    text.write_text("id;waist;hip;hip_depth;length;band\n0012;70;96;20;60;\nx7;70.5;96;20;60;a\n")
    assert shell("batch", text, out, "--waist-ease", 1.5, "--hip-ease", 5, "--keep", "id", "--keep", "band") == 0
    assert pq.read_table(out).select([0, 1]).to_pydict() == {"id": ["0012", "x7"], "band": [None, "a"]}
    text.write_text("id;waist;hip;high\nK1;70;96;90\nK2;70;69;99\n")
    capsys.readouterr()
    bounds = ("--bounds", "waist=0:4", "--bounds", "hip=3:8", "--bounds", "high_hip=2:9", "--number", "high_hip=high", "--number", "high_hip_depth=10")
    assert shell("fit", "demo", text, "--waist-ease", 1.5, "--hip-ease", 5, *bounds, "--keep", "id", "--out", tmp_path / "fit.csv") == 0
    said = capsys.readouterr().out
    assert "\nnot served (a person may have several reasons):\n" in said and "\n  high hip too tight: 1\n" in said
    assert "\nlargest misfit: line 3, K2, " in said
    with pytest.raises(SystemExit):
        shell("fit", "demo", text, "--waist-ease", 1.5, "--hip-ease", 5, "--tolerance", 2, "--keep", "id")
    assert "--keep needs --out with a name that ends with .parquet or .csv" in capsys.readouterr().err


def test_two_charts_are_compared(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    people, other = tmp_path / "people.csv", tmp_path / "other.csv"
    people.write_text("waist;hip\n74;101\n80;104\n95;110\n70;96\n66;100\n")
    other.write_text("name,waist,hip,hip_depth,length\nS,66,92,20,60\nM,74,101,20,60\nL,82,106,20,60\n")
    fit = ("fit", "demo", people, "--waist-ease", 1.5, "--hip-ease", 5, "--tolerance", 3, "--against")
    counts = "served by both: {}; only by demo: {}; only by {}: 0; by none: 2\nshare served by {} minus that by demo: "
    for second, more, numbers, said in (
        (other, (), (2, 1), "-20.0 percentage points\ndemo serves more of these people; --bootstrap 1000 gives the standard error, for other people of their kind.\n"),
        (other, ("--bootstrap", 200), (2, 1), "-20.0 percentage points, standard error 18.8, 95% interval -57.1 to +17.1\n"
         "demo serves more of these people; chance in the choice of people may explain the difference.\n"),
        ("demo", (), (3, 0), "+0.0 percentage points\nBoth serve the same share of these people.\n"),
    ):
        assert shell(*fit, second, *more) == 0
        assert counts.format(*numbers, second, second) + said in capsys.readouterr().out
    other.write_text("name,waist,hip,hip_depth,length\nS,x,92,20,60\nM,74,101,20,60\n")
    assert shell(*fit, other) == 2
    printed = capsys.readouterr()
    assert f"\n\n{other}:\n" in printed.out and "(line 2)" in printed.err  # The problem is that of the second chart.


def test_a_class_list_is_read_as_a_size_chart_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    people, out = tmp_path / "class.csv", tmp_path / "out.csv"
    people.write_text("Name;Waist;Hip;Hip depth;Length\nAnna;68,5;96;20;60\nBea;ca. 80;96;20;60\nZoë;29in;39½;8in;60\n", encoding="utf-8-sig")
    eases = ("--waist-ease", 1.5, "--hip-ease", 5)
    assert shell("batch", people, out, *eases, "--keep", "Name,Waist") == 0
    said = capsys.readouterr()
    assert said.out.startswith("3 bodies: 1 drafted, 2 refused; ease 1.5 cm at the waist, 5 cm at the hip\n") and said.err == 'line 3: Waist: "ca. 80" is not a number\n'
    rows = csv.read_csv(out).to_pylist()
    assert [row["Waist"] for row in rows[:2]] == [68.5, None] and rows[2]["Waist"] == pytest.approx(73.66)
    assert rows[1]["error_text"].startswith("body.waist: missing") and "body.hip: 39.5 cm is below" in rows[2]["error_text"]
    assert shell("fit", "demo", people, *eases, "--tolerance", "2,5") == 0 and "3 people, 2 not measured" in capsys.readouterr().out
    assert shell("best", people, "--sizes", 1) == 0 and 'line 3: Waist: "ca. 80" is not a number\n' in capsys.readouterr().err
    people.write_text("waist;hip;hip_depth;length\n" + "70;96;20;60\n" * 100_000 + "70;96;20\n")
    with pytest.raises(SystemExit):
        shell("batch", people, out, *eases)
    assert "class.csv: CSV parse error: Expected 4 columns, got 3: 70;96;20\n" in capsys.readouterr().err
    for text in ("Größe;waist;hip\nA;70;96\n", "name;waist;hip\nZoë;70;96\n"):
        people.write_bytes(text.encode("latin-1"))
        with pytest.raises(SystemExit):
            shell("best", people, "--sizes", 1)
        assert 'class.csv: not a text in UTF-8; save it as UTF-8, in a spreadsheet as "CSV UTF-8"' in capsys.readouterr().err


def test_a_cell_means_the_same_beside_any_other_cell() -> None:
    draws = np.random.default_rng(1).normal(size=200) * 10.0 ** np.arange(-100, 100)
    texts = [".5", "-.5", "30.", "1e2", "1E-3", "007", "29 1/2", "74,5", "+7", " 8 ", "27in", "−3", *map(repr, map(float, draws))]
    others = [".", "n/a", "inf", "nan", "1_0", "0x1", "1e999", "1,234,5"]
    alone = [numbers_in(pa, pa.array([text]), "in") for text in texts + others]
    assert [numbers.to_pylist() for numbers, _ in alone] == [[parse_length(text, "in")] for text in texts] + [[None]] * len(others)
    together, unread = numbers_in(pa, pa.array([*texts, None, "", *others]), "in")
    assert together.to_pylist() == [number for numbers, _ in alone[:len(texts)] for number in numbers.to_pylist()] + [None] * (len(others) + 2)
    assert [text for _, text in unread] == others and unread[0][0] == len(texts) + 2
    # Whatever Arrow reads as a finite number, an option and a size chart read as the same number.
    for text in texts + others:
        try:
            number = pa.array([text.strip()]).cast(pa.float64())[0].as_py()
        except pa.ArrowInvalid:
            continue
        assert parse_length(text, "in") == (number if np.isfinite(number) else text), text


def test_all_cells_that_are_no_numbers_are_counted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    people, fit = tmp_path / "people.csv", ("--waist-ease", 1.5, "--hip-ease", 5, "--tolerance", ".5", "--number", "weight=w")
    people.write_text("waist,hip,w\n" + "74,101,.5\n" * 50 + "74,101,30.\nx,101,.5\n" + "74,?,.\n" * 30)
    assert shell("fit", "demo", people, *fit) == 0
    said = capsys.readouterr()
    assert said.out.startswith("82 people, 31 not measured") and "\nrefused, weight missing: 30" in said.out
    lines = said.err.splitlines()
    assert lines[0] == 'line 53: waist: "x" is not a number' and len(lines) == 21
    assert lines[20] == "41 more cells are not numbers, in hip, w"
    # Batch and fit name the same reason for a cell.
    options = ("--waist-ease", ".5", "--hip-ease", 5, "--number", "hip_depth=20", "--number", "length=6e1")
    assert shell("batch", people, tmp_path / "drafts.csv", *options) == 0
    assert capsys.readouterr().out.splitlines()[1] == "  refused, missing: 31"


def test_sizes_on_a_grid_in_inches_are_written_as_multiples_of_it(tmp_path: Path) -> None:
    people, out = tmp_path / "people.parquet", tmp_path / "best.csv"
    table = pa.table(kirtle.simulate(300, seed=1, unit="in"))
    pq.write_table(table, people)
    for grid in (0.25, 0.5, 1):
        best = kirtle.best_chart(table, 8, loss="within", tolerance=1, grid=grid, unit="in")
        assert all(girth % grid == 0 for waist, hip, _ in best.sizes for girth in (waist, hip)), best.sizes
    by_draft = kirtle.best_chart_by_draft(table, 3, ease=kirtle.Ease(waist=0.5, hip=2, unit="in"), grid=1, unit="in")
    assert all(depth % 0.5 == 0 for depth in by_draft.hip_depths)
    assert shell("best", people, "--sizes", 8, "--tolerance", 1, "--grid", ".1", "--unit", "in", "--out", out) == 0
    for row in csv.read_csv(out).to_pylist():
        assert row["waist"] == round(row["waist"], 1) and row["hip"] == round(row["hip"], 1)


def test_the_ending_decides_the_format(parts: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, options = tmp_path / "people.csv", ("--number", "waist=WAIST", "--waist-ease", 1.5, "--hip-ease", 5)
    table = pq.read_table(parts[0]).slice(0, 500)
    csv.write_csv(table, source)
    fit = kirtle.fit_chart(kirtle.SizeChart.demo(), table, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=2, columns={"waist": "WAIST"})
    for ending in ("parquet", "csv", "json"):
        assert shell("fit", "demo", source, *options, "--tolerance", 2, "--out", tmp_path / f"fit.{ending}") == 0
    saved, settings = json.loads((tmp_path / "fit.json").read_text()), {"settings": fit.settings}
    assert pq.read_table(tmp_path / "fit.parquet").equals(pa.table(fit)) and saved | settings == fit.to_dict()
    assert saved["settings"]["rules"] != fit.settings["rules"] and saved["settings"]["columns"] == {"waist": "WAIST"}  # One number of darts.
    assert csv.read_csv(tmp_path / "fit.csv")["excess"].to_pylist() == pytest.approx(pa.table(fit)["excess"].to_pylist(), nan_ok=True)
    assert shell("batch", source, tmp_path / "drafts.parquet", *options, "--number", "length=60") == 0
    assert pq.read_table(tmp_path / "drafts.parquet").num_rows == 500
    assert shell("batch", source, tmp_path / "drafts.csv", *options, "--number", "length=60", "--keep", "hip") == 0
    written, drafts = csv.read_csv(tmp_path / "drafts.csv").to_pylist(), pq.read_table(tmp_path / "drafts.parquet").to_pylist()
    assert [row["findings"] for row in written] == [";".join(row["findings"] or ()) for row in drafts] and written[0]["error_codes"] == "missing"
    with pytest.raises(SystemExit):
        shell("batch", source, tmp_path / "o.csv", *options, "--outlines")
    assert "CSV has no outlines" in capsys.readouterr().err
    for command in (("batch", source, tmp_path / "o.xlsx", *options), ("fit", "demo", "none.csv", "--tolerance", 2, "--out", tmp_path / "o.xlsx")):
        with pytest.raises(SystemExit):
            shell(*command)
        assert "the result is written in .parquet or .csv" in capsys.readouterr().err and not list(tmp_path.glob("o.*"))


def test_the_command_line_refuses_wrong_columns_and_files(
    parts: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "drafts.parquet"
    assert shell("batch", parts[0], out, "--number", "waist=GIRTH", "--waist-ease", 1.5, "--hip-ease", 5) == 2
    printed = capsys.readouterr().err
    assert 'body.waist: "GIRTH" is not the name of exactly one column; the columns are WAIST, hip, hip_depth\n' in printed
    assert printed.endswith('Give --number length=COLUMN: a column, or a number from 15 to 150 cm for all rows.\nThe columns are "WAIST", "hip", "hip_depth".\n')
    fit = ("fit", "demo", parts[0], "--number", "waist=WAIST", "--waist-ease", 1.5, "--hip-ease", 5)
    assert shell(*fit, "--bounds", "waist=0:4") == 2 and "Give --bounds hip=MIN:MAX: the minimum and maximum ease, or a tolerance.\n" in capsys.readouterr().err
    assert shell(*fit, "--tolerance", 2, "--replicate", "hip") == 2 and "Give --replicate-factor: a number from" in capsys.readouterr().err
    pq.write_table(pa.table(kirtle.simulate(200, seed=1, unit="mm")), tmp_path / "mm.parquet")
    with pytest.raises(SystemExit):
        shell("batch", tmp_path / "mm.parquet", out, "--waist-ease", 1.5, "--hip-ease", 5)
    assert 'mm.parquet: body: waist or hip of 200 of 200 rows is out of range in cm: give --unit mm\n' in capsys.readouterr().err
    no_table = tmp_path / "bodies.txt"
    no_table.write_text("waist,hip")
    with pytest.raises(SystemExit):
        shell("batch", no_table, out)
    assert shell("batch", tmp_path / "nothing.parquet", out) == 2
    assert not out.exists() and not list(tmp_path.glob(".*.part"))


def test_the_command_line_reports_whom_a_chart_serves(
    parts: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "fit.parquet"
    options = ("--number", "waist=WAIST", "--waist-ease", 1.5, "--hip-ease", 5, "--tolerance", 2)
    assert shell("fit", "demo", parts[0], *options, "--out", out) == 0
    lines = capsys.readouterr().out.splitlines()
    fit = kirtle.fit_chart(
        kirtle.SizeChart.demo(), pq.read_table(parts[0]), ease=kirtle.Ease(waist=1.5, hip=5), tolerance=2,
        columns={"waist": "WAIST"},
    )
    assert lines[0] == (
        f"30,000 people, 30 not measured: {fit.served:,} served ({fit.share_served:.1%}), within 2 cm of the ease; "
        "ease 1.5 cm at the waist, 5 cm at the hip"
    )
    assert lines[2].split() == ["32", f"{fit.loads[0][1]:,}", f"{fit.loads[0][2]:,}"]
    assert lines[-1] == "This does not check fit: sew a trial garment (toile) first."
    assert pq.read_table(out).equals(pa.table(fit))
    assert shell("fit", "demo", parts[0], "--waist-ease", 1.5, "--hip-ease", 5, "--tolerance", 2) == 2
    assert "waist" in capsys.readouterr().err


def test_the_command_line_finds_a_chart_and_writes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table, source = pa.table(kirtle.simulate(300, seed=1, unit="mm")), tmp_path / "people.parquet"
    table = table.set_column(0, "WAIST", pa.array([None, 9999.0, *table["waist"].to_pylist()[2:]]))
    pq.write_table(table, source)
    options = ("best", source, "--sizes", 2, "--unit", "mm", "--number", "waist=WAIST", "--grid", 20)
    fixed = ("--tolerance", 20, "--fixed", "720:960")
    assert shell(*options, *fixed, "--out", tmp_path / "best.json", "--hip-depth", 200, "--length", 600) == 0
    lines = capsys.readouterr().out.splitlines()
    best = kirtle.best_chart(
        table, 2, loss="within", tolerance=20, grid=20, fixed=[(720, 960)], columns={"waist": "WAIST"}, unit="mm",
    )
    assert [refused.code for refused in best.refused] == ["above_maximum", "missing"]
    assert lines[:2] == ["300 people, 2 not measured: 2 sizes", "size             waist       hip    people    served   (mm)"]
    assert [line.split() for line in lines[2:4]] == [
        [str(k), f"{waist:.1f}", f"{hip:.1f}", f"{share:.1%}", f"{best.served[k - 1]:.1%}"] for k, (waist, hip, share) in enumerate(best.sizes, 1)
    ]
    assert lines[4] == f"within 20 mm: {1 - best.loss:.1%} served; no such chart serves more than {1 - best.bound:.1%}"
    assert lines[5].startswith("refused, waist above maximum: 1, mean hip ") and lines[-2] == f"wrote {tmp_path / 'best.json'}"
    written = kirtle.SizeRange.from_json(json.dumps(json.loads((tmp_path / "best.json").read_text()) | {"ease": {"waist": 1.5, "hip": 5}}))
    assert written.chart == best.chart(hip_depth=200, length=600)
    assert shell(*options, "--drop", 2500, "--time-limit", 5) == 2
    assert capsys.readouterr().err == "--drop 2500 mm is too large (at most 1000 mm).\n"
    assert shell(*options, "--drop", "180:1", "250:1", "--min-share", "0,01") == 0
    one, other = (float(hip) - float(waist) for _, waist, hip, *_ in map(str.split, capsys.readouterr().out.splitlines()[2:4]))
    assert {one, other} <= {180.0, 240.0, 250.0}
    for drops, message in ((["180:1", 250], "give each --drop its number of sizes, or none"), (["wide"], "wide: write a drop, such as 18,")):
        with pytest.raises(SystemExit):
            shell(*options, "--drop", *drops)
        assert message in capsys.readouterr().err
    assert shell(*options[:-2], "--loss", "absolute", "--out", tmp_path / "best.csv", "--hip-depth", 200, "--length", 600) == 0
    assert "mean sum of differences in waist and hip (mm): " in capsys.readouterr().out
    assert len(kirtle.SizeChart.from_csv((tmp_path / "best.csv").read_text()).names) == 2
    for out, chart in ((tmp_path / "sizes.json", ()), (tmp_path / "sizes.csv", ("--hip-depth", 200, "--length", 1))):
        assert shell(*options, *fixed, "--out", out, *chart) == (2 if chart else 0)
        assert capsys.readouterr().out.splitlines()[2:5] == lines[2:5]
    assert json.loads((tmp_path / "sizes.json").read_text()) == best.to_dict()
    for name in ("sizes.json", "sizes.csv"):
        assert shell("fit", tmp_path / name, source, "--tolerance", 2, "--waist-ease", 1, "--hip-ease", 4) == 2
        assert capsys.readouterr().err.endswith("no hip depth and no length: give kirtle best --hip-depth and --length, too\n")
    rows = [[float(cell) for cell in line.split(",")] for line in (tmp_path / "sizes.csv").read_text().splitlines()[1:]]
    assert rows == [[k, *size, served] for k, (size, served) in enumerate(zip(best.sizes, best.served, strict=True), 1)]


def test_the_command_line_finds_the_sizes_whose_drafts_are_nearest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    people, source, out = kirtle.simulate(60, seed=1), tmp_path / "people.parquet", tmp_path / "best.csv"
    pq.write_table(pa.table(people), source)
    options = ("best", source, "--sizes", 2, "--loss", "draft", "--grid", 4, "--drop", 24)
    eases = ("--waist-ease", "1,5", "--hip-ease", 5)
    assert shell(*options, *eases, "--length", 60, "--out", out) == 0
    best = kirtle.best_chart_by_draft(people, 2, ease=kirtle.Ease(waist=1.5, hip=5), grid=4, drop=24)
    assert f"mean distance of the size's draft from a person's own (cm): {best.loss:.4g}; no such" in capsys.readouterr().out
    assert kirtle.SizeChart.from_csv(out.read_text()) == best.chart(length=60)
    for wrong, message in (((), "--loss draft needs --waist-ease"), ((*eases, "--length", 60), "a chart needs --length and --out"),
                           ((*eases, "--fixed", "72:96"), "has no --fixed"), ((*eases, "--loss", "squared"), "are for --loss draft")):
        with pytest.raises(SystemExit):
            shell(*options, *wrong)
        assert message in capsys.readouterr().err
    assert shell(*options, *eases[:3], 99) == 2
    assert capsys.readouterr().err == "--hip-ease 99 cm is too large (at most 60 cm).\n"


@pytest.mark.parametrize(("wrong", "message"), [
    (("--sizes", 0), "--sizes 0 is too small (at least 1)."),
    (("--grid", "0,0"), "--grid 0 cm is too small (at least 0.1 cm)."),
    (("--fixed", "30:400"), "fixed[0].waist: 30 cm is below the minimum of 40 cm\nfixed[0].hip: 400 cm is above the maximum of 220 cm"),
    (("--tolerance", 101), "--tolerance 101 cm is too large (at most 100 cm)."),
    (("--time-limit", 0), "--time-limit 0 is too small (at least 0.001)."),
])
def test_the_options_of_the_search_are_refused_by_name(
    wrong: tuple[str, float | str], message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    source = tmp_path / "people.parquet"
    pq.write_table(pa.table(kirtle.simulate(20, seed=1)), source)
    assert shell("best", source, *(("--sizes", 3) if wrong[0] != "--sizes" else ()), *wrong) == 2
    assert capsys.readouterr().err == f"{message}\n"
    for options in (("--out", "best.txt"), ("--length", 60), ("--tolerance", 2, "--loss", "absolute"), ("--fixed", "72")):
        with pytest.raises(SystemExit):
            shell("best", source, "--sizes", 3, *options)
    assert "argument --fixed: 72: write waist and hip, such as 72:96" in capsys.readouterr().err


def test_the_command_line_has_weights_groups_and_intervals(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = pa.table({
        "waist": [720, 740, 810, 999, 840, -9], "hip": [960, 985, 1050, 1040, None, 990],
        "age": ["18-39", "18-39", "40-64", "40-64", "40-64", None], "w": [820.5, 910.0, 455.0, 610.0, 700.0, 300.0],
        "w1": [0.0, 1820.0, 910.0, 0.0, 1400.0, 600.0], "w2": [1641.0, 0.0, 0.0, 1220.0, 0.0, 0.0],
    })
    source = tmp_path / "people.parquet"
    pq.write_table(table, source)
    options = ("fit", "demo", source, "--waist-ease", 15, "--hip-ease", 50, "--tolerance", 30, "--number", "weight=w", "--by", "age")
    assert shell(*options, "--table-unit", "mm", "--replicate", "w1", "--replicate", "w2", "--replicate-factor", 0.5) == 0
    lines = capsys.readouterr().out.splitlines()
    fit = kirtle.fit_chart(
        kirtle.SizeChart.demo(), table, ease=kirtle.Ease(waist=1.5, hip=5), tolerance=30, columns={"weight": "w"}, unit="mm",
        replicates=["w1", "w2"], replicate_factor=0.5, by="age",
    )
    groups = fit.groups
    assert fit.interval and groups[0].interval and groups[1].interval
    low, high = groups[1].interval
    share = f"{fit.share_served:.1%} by weight, 95% interval {fit.interval[0]:.1%} to {fit.interval[1]:.1%}"
    assert lines[0] == f"6 people, 2 not measured: 3 served ({share}), within 30 mm of the ease; ease 15 mm at the waist, 50 mm at the hip"
    assert [line for line in lines if line.startswith("group ")] == [
        f"group 18-39: 2 of 2 served (100.0% by weight, 95% interval {groups[0].interval[0]:.1%} to 100.0%)",
        f"group 40-64: 1 of 2 served ({groups[1].share_served:.1%} by weight, 95% interval {low:.1%} to {high:.1%})",
        "group (none): 0 of 0 served (nobody measured)",
    ]
    assert [line for line in lines if line.startswith("refused, ")] == [
        "refused, waist below minimum: 1, mean hip 990.0 mm (accepted 1008.8)",
        "refused, hip missing: 1, mean waist 840.0 mm (accepted 817.2)",
    ]
    assert shell(*options, "--table-unit", "mm", "--bounds", "waist=-30,0:45", "--bootstrap", 50, "--seed", 7, "--out", tmp_path / "fit.csv") == 0
    bounded = kirtle.fit_chart(
        kirtle.SizeChart.demo(), table, ease=kirtle.Ease(waist=15, hip=50, unit="mm"), tolerance=30, columns={"weight": "w"}, unit="mm",
        bounds={"waist": (-30, 45)}, bootstrap=50, seed=7,
    )
    assert bounded.interval
    assert f"interval {bounded.interval[0]:.1%} to {bounded.interval[1]:.1%}), hip within 30 mm of the ease, waist ease -30 to 45 mm; " in capsys.readouterr().out
    left = [ease for ease in csv.read_csv(tmp_path / "fit.csv")["ease_left_waist"].to_pylist() if ease is not None]
    assert left == [round(ease) for ease in left] != []
    assert shell(*options, "--table-unit", "mm", "--bounds", "knee=0:4") == 2
    assert "--bounds: unknown field; known fields are waist, hip, high_hip" in capsys.readouterr().err
    for wrong in (("--bounds", "waist"), ("--seed", -1)):
        with pytest.raises(SystemExit):
            shell(*options, *wrong)
    assert shell(*options, "--waist-ease", 1.5, "--hip-ease", 5, "--table-unit", "cm") == 2
    assert 'people.waist: 6 of 6 numbers are out of range in cm: give --table-unit mm' in capsys.readouterr().err
    assert shell(*options, "--table-unit", "mm", "--bootstrap", 1) == 2
    assert "--bootstrap 1 is too small (at least 2).\n" in capsys.readouterr().err
