"""Tables in files: from the shell, and on the worker processes of a cluster."""

from pathlib import Path
from typing import Any

import distributed
import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import kirtle
from kirtle.__main__ import main

ROWS = 30_000
PARTS = 4


def people(rows: int, seed: int) -> pa.Table:
    """Simulated bodies; the waist of every thousandth is missing."""
    draws = np.random.default_rng(seed).normal(size=(3, rows))
    waist = 76 + 8 * draws[0]
    missing = np.arange(rows) % 1000 == 0
    return pa.table({
        "WAIST": pa.array(waist, mask=missing),
        "hip": waist + 25 + 4 * draws[1],
        "hip_depth": 20 + 1.2 * draws[2],
    })


def draft_file(source: str, out: str, threads: int | None = None) -> int:
    """What a worker does with one partition."""
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


def test_two_worker_processes_write_the_bytes_of_one(parts: list[Path], tmp_path: Path) -> None:
    alone = [tmp_path / f"alone-{k}.parquet" for k in range(PARTS)]
    shared = [tmp_path / f"shared-{k}.parquet" for k in range(PARTS)]
    refused = [draft_file(str(part), str(out)) for part, out in zip(parts, alone, strict=True)]
    assert refused == [30] * PARTS
    with (
        distributed.LocalCluster(  # type: ignore[no-untyped-call]
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        ) as cluster,
        distributed.Client(cluster) as client,  # type: ignore[no-untyped-call]
    ):
        # A worker cannot import this file; it is sent along with the first task.
        client.upload_file(__file__)
        futures = [
            client.submit(draft_file, str(part), str(out), 1, pure=False) for part, out in zip(parts, shared, strict=True)
        ]
        assert client.gather(futures) == refused
        assert len({worker for who in client.who_has(futures).values() for worker in who}) == 2
    assert [out.read_bytes() for out in shared] == [out.read_bytes() for out in alone]
    # And all partitions together are the table of all people.
    whole = pa.concat_tables([pq.read_table(part) for part in parts])
    columns: dict[str, float | str] = {"waist": "WAIST", "length": 60.0}
    drafts = pa.table(kirtle.draft_table(whole, columns=columns, ease=kirtle.Ease(waist=1.5, hip=5)))
    assert pa.concat_tables([pq.read_table(out) for out in shared]).equals(drafts)


def shell(*arguments: Any) -> int:
    return main([str(argument) for argument in arguments])


def test_the_shell_drafts_a_file(parts: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "drafts.parquet"
    given = ("--number", "waist=WAIST", "--number", "length=60", "--waist-ease", 1.5, "--hip-ease", 5)
    assert shell("batch", parts[0], out, *given) == 0
    told = capsys.readouterr().out
    assert told.startswith("30,000 bodies: 29,970 drafted, 30 refused\n  refused, missing: 30\n  caution, ")
    alone = tmp_path / "alone.parquet"
    draft_file(str(parts[0]), str(alone))
    assert pq.read_table(out).equals(pq.read_table(alone))


def test_the_shell_refuses(parts: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "drafts.parquet"
    assert shell("batch", parts[0], out, "--number", "waist=GIRTH", "--waist-ease", 1.5, "--hip-ease", 5) == 2
    told = capsys.readouterr().err
    assert 'body.waist: "GIRTH" is not exactly one of the columns WAIST, hip, hip_depth\n' in told
    assert "body.length: missing" in told
    no_table = tmp_path / "bodies.txt"
    no_table.write_text("waist,hip")
    with pytest.raises(SystemExit):
        shell("batch", no_table, out)
    assert shell("batch", tmp_path / "nothing.parquet", out) == 2
    assert not out.exists() and not list(tmp_path.glob(".*.part"))


def test_the_shell_says_whom_a_chart_serves(parts: list[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "fit.parquet"
    given = ("--number", "waist=WAIST", "--waist-ease", 1.5, "--hip-ease", 5, "--tolerance", 2)
    assert shell("fit", "demo", parts[0], *given, "--out", out) == 0
    told = capsys.readouterr().out.splitlines()
    fit = kirtle.fit_chart(
        kirtle.SizeChart.demo(), pq.read_table(parts[0]), ease=kirtle.Ease(waist=1.5, hip=5), tolerance=2,
        columns={"waist": "WAIST"},
    )
    assert told[0] == (
        f"30,000 people, 30 not measured: {fit.served:,} served ({fit.share_served:.1%}), within 2 cm of the ease"
    )
    assert told[2].split() == ["32", f"{fit.loads[0][1]:,}", f"{fit.loads[0][2]:,}"]
    assert told[-1] == "Fit is not judged here: make a trial garment first."
    assert pq.read_table(out).equals(pa.table(fit))
    assert shell("fit", "demo", parts[0], "--waist-ease", 1.5, "--hip-ease", 5, "--tolerance", 2) == 2
    assert "waist" in capsys.readouterr().err
