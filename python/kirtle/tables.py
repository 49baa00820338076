"""The shell's commands about tables of bodies: ``batch`` and ``fit``. They need pyarrow, which reads and writes the files."""

import argparse
import json
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from . import ChartFit, SizeRange, charts, draft_stream, fit_chart
from .files import whole

Number = Callable[[str], float | str]
"""Reads a number, or leaves a text that is none as it is, to be taken as the name of a column."""


def add_commands(commands: Any, number: Number) -> None:
    """Add the commands to the shell's."""
    batch = commands.add_parser("batch", help="draft every body of a table in Parquet, one row out for each row in")
    batch.add_argument("source", type=Path, metavar="IN", help="a table in Parquet")
    batch.add_argument("out", type=Path, metavar="OUT", help="the drafts, in Parquet")
    batch.add_argument("--waist-ease", metavar="N", help="added to the waist, all around: a number, or a column")
    batch.add_argument("--hip-ease", metavar="N", help="added to the hip, all around: a number, or a column")
    numbers_option(batch)
    batch.add_argument("--unit", choices=("cm", "in"), default="cm", help="unit of all lengths (default: cm)")
    batch.add_argument("--outlines", action="store_true", help="write the outlines, too")
    batch.add_argument("--threads", metavar="N", help="how many threads (default: as many as processors)")
    batch.set_defaults(run=run_batch, parser=batch, number=number)
    fit = charts.command(commands, "fit", "how a chart of sizes serves the people of a table", number, run_fit)
    fit.add_argument("source", type=Path, metavar="IN", help="a table in Parquet, with columns waist and hip")
    fit.add_argument("--tolerance", type=float, required=True, metavar="N", help="by how much the ease left may differ")
    fit.add_argument("--out", type=Path, metavar="OUT", help="write each person's size and ease left, in Parquet")
    numbers_option(fit)


def numbers_option(command: argparse.ArgumentParser) -> None:
    """Where the numbers of a table come from."""
    command.add_argument(
        "--number", action="append", default=[], dest="numbers", metavar="PATH=COLUMN",
        help="where a number comes from: a column, or the same number for all (waist=WAIST_CM, length=60)",
    )


def columns_of(options: argparse.Namespace) -> dict[str, float | str]:
    """The numbers of a table by their paths."""
    columns: dict[str, float | str] = {}
    for given in options.numbers:
        path, equals, source = given.partition("=")
        if not equals:
            options.parser.error(f"--number {given}: is not of the form PATH=COLUMN")
        columns[path] = options.number(source)
    return columns


def parquet(options: argparse.Namespace) -> tuple[Any, Any]:
    """The modules that read and write Parquet."""
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError:
        options.parser.error("tables in Parquet are read and written by pyarrow: python3 -m pip install pyarrow")
    return pa, pq


def run_batch(options: argparse.Namespace) -> str:
    """Draft the table as a stream, so that it may be larger than memory."""
    pa, pq = parquet(options)
    columns = columns_of(options)
    for part in ("waist", "hip"):
        if (ease := getattr(options, f"{part}_ease")) is not None:
            columns[f"ease.{part}"] = options.number(ease)
    try:
        # Opened here, as pyarrow takes no name that is not UTF-8.
        with options.source.open("rb") as source, pq.ParquetFile(source) as file, whole(options.out) as half:
            bodies = pa.RecordBatchReader.from_batches(file.schema_arrow, file.iter_batches())
            drafts = draft_stream(
                bodies, columns=columns, unit=options.unit, outlines=options.outlines,
                threads=None if options.threads is None else options.number(options.threads),
            )
            lines = write(pq, pa.RecordBatchReader.from_stream(drafts), half)
    except pa.ArrowInvalid as error:
        options.parser.error(f"{options.source}: {error}")
    return "\n".join([*lines, f"wrote {options.out}", charts.CAUTION])


def run_fit(options: argparse.Namespace) -> str:
    """Whom the sizes of a chart serve."""
    pa, pq = parquet(options)
    chart = charts.chart_of(options)
    drafted = SizeRange.from_json(json.dumps(chart))
    # Every size has the same ease and rules.
    first = drafted[chart["sizes"][0]["name"]]
    try:
        with options.source.open("rb") as source, pq.ParquetFile(source) as file:
            people = file.read()
    except pa.ArrowInvalid as error:
        options.parser.error(f"{options.source}: {error}")
    fit = fit_chart(
        drafted.chart, people, ease=first.ease, rules=first.rules, tolerance=options.tolerance,
        columns=columns_of(options), unit=chart["unit"],
    )
    lines = told_of(fit, options.tolerance)
    if options.out is not None:
        with whole(options.out) as half, half.open("wb") as sink:
            pq.write_table(pa.table(fit), sink)
        lines.append(f"wrote {options.out}")
    return "\n".join([*lines, charts.CAUTION])


def told_of(fit: ChartFit, tolerance: float) -> list[str]:
    """The fit as a cutter would read it."""
    within = f"within {tolerance:g} {fit.unit} of the ease"
    lines = [
        f"{fit.count:,} people, {fit.unmeasured:,} not measured: {fit.served:,} served ({fit.share_served:.1%}), {within}",
        f"{'size':<12}{'people':>10}{'served':>10}",
    ]
    lines += [f"{size:<12}{people:>10,}{served:>10,}" for size, people, served in fit.loads]
    missed = [(why.replace("_", " too "), count) for why, count in fit.unserved.items() if count]
    lines += [f"not served, {why}: {count:,}" for why, count in sorted(missed, key=lambda pair: -pair[1])]
    return lines + [f"farthest: row {row}, by {excess:.1f} {fit.unit}" for row, excess in fit.worst(3)]


def write(pq: Any, drafts: Any, path: Path) -> list[str]:
    """Write the drafts, a row group for each batch; returns what there is to tell of them."""
    rows, refused, cautions = 0, Counter[str](), Counter[str]()
    with path.open("wb") as sink, pq.ParquetWriter(sink, drafts.schema) as writer:
        for batch in drafts:
            writer.write_batch(batch)
            rows += batch.num_rows
            refused.update(batch["error_code"].drop_null().to_pylist())
            cautions.update(batch["findings"].flatten().to_pylist())
    lines = [f"{rows:,} bodies: {rows - refused.total():,} drafted, {refused.total():,} refused"]
    lines += [f"  refused, {code}: {count:,}" for code, count in refused.most_common()]
    return lines + [f"  caution, {code}: {count:,}" for code, count in cautions.most_common()]
