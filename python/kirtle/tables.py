"""The commands on tables in Parquet: ``batch`` drafts every row, ``fit`` counts whom a chart serves. Both need pyarrow."""

import argparse
import json
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from . import ChartFit, RefusedPeople, SizeRange, charts, draft_stream, fit_chart
from .chart_files import chart_of
from .files import atomic_write
from .options import CAUTION, number

UNITS = ("cm", "in", "mm")
"""Units of tables."""

MAGIC = (b"PAR1", b"PARE")
"""First bytes of a file in Parquet, plain and encrypted."""


def add_commands(commands: Any) -> None:
    """Add the commands on tables."""
    batch = commands.add_parser("batch", help="draft every body of a table in Parquet, one row out for each row in")
    batch.add_argument("source", type=Path, metavar="IN", help="table of bodies in Parquet")
    batch.add_argument("out", type=Path, metavar="OUT", help="table of drafts in Parquet")
    batch.add_argument("--waist-ease", metavar="N", help="ease at the waist, all around: a number, or the name of a column")
    batch.add_argument("--hip-ease", metavar="N", help="ease at the hip, all around: a number, or the name of a column")
    numbers_option(batch)
    batch.add_argument("--unit", choices=UNITS, default="cm", help="unit of all lengths (default: cm)")
    batch.add_argument("--outlines", action="store_true", help="include the outlines of the panels")
    batch.add_argument("--threads", metavar="N", help="number of threads (default: one for each processor)")
    batch.set_defaults(run=run_batch, parser=batch)
    fit = charts.add_chart_command(commands, "fit", "count the people of a table whom a size chart serves", run_fit)
    fit.add_argument("source", type=Path, metavar="IN", help="table of people in Parquet, with the columns waist and hip")
    fit.add_argument("--tolerance", type=float, required=True, metavar="N", help="largest difference between the ease left and the ease asked for")
    fit.add_argument("--out", type=Path, metavar="OUT", help="table of each person's size and ease left, in Parquet")
    fit.add_argument("--table-unit", choices=UNITS, help="unit of the table, the tolerance and the results (default: that of the chart)")
    fit.add_argument("--by", metavar="COLUMN", help="column of groups, such as age bands: a line for each")
    fit.add_argument("--bootstrap", type=int, metavar="N", help="intervals by a bootstrap with this number of replicates, from the seed 0")
    fit.add_argument("--replicate", action="append", metavar="COLUMN", help="intervals by replicate weights; once for each column")
    fit.add_argument("--replicate-factor", type=float, metavar="N", help="factor of the variance from replicate weights, such as 1/R")
    numbers_option(fit)


def numbers_option(command: argparse.ArgumentParser) -> None:
    """Add the option ``--number``, which names the source of a number: a column or a constant."""
    command.add_argument(
        "--number", action="append", default=[], dest="numbers", metavar="PATH=COLUMN",
        help="source of a number: a column, or one number for all rows (waist=WAIST_CM, length=60)",
    )


def columns_of(options: argparse.Namespace) -> dict[str, float | str]:
    """Return the sources given by ``--number``, a column or a constant, by path of the number."""
    columns: dict[str, float | str] = {}
    for given in options.numbers:
        path, equals, source = given.partition("=")
        if not equals:
            options.parser.error(f"--number {given}: write PATH=COLUMN, such as waist=WAIST_CM")
        columns[path] = number(source)
    return columns


def import_parquet(options: argparse.Namespace) -> tuple[Any, Any]:
    """Import the modules that read and write Parquet."""
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError:
        options.parser.error("tables in Parquet need pyarrow: python3 -m pip install pyarrow")
    return pa, pq


@contextmanager
def table_of(options: argparse.Namespace, pa: Any, pq: Any) -> Iterator[Any]:
    """Open the table that a command reads; a file in another format is refused in words."""
    try:
        # pyarrow refuses a file name that is not UTF-8; an open file has none.
        with options.source.open("rb") as source:
            if source.read(4) not in MAGIC:
                options.parser.error(f"{options.source}: not a table in Parquet, the one format that this command reads.{csv_hint(options.source)}")
            with pq.ParquetFile(source) as file:
                yield file
    except pa.ArrowInvalid as error:
        options.parser.error(f"{options.source}: {error}")


def csv_hint(path: Path) -> str:
    """Return a sentence on how a CSV file becomes a table in Parquet; empty for a file of another name."""
    if path.suffix.lower() != ".csv":
        return ""
    read, write = f'pyarrow.csv.read_csv("{path}")', f'pyarrow.parquet.write_table(TABLE, "{path.with_suffix(".parquet")}")'
    return f" In Python: import pyarrow.csv, pyarrow.parquet; {write.replace('TABLE', read)}"


def run_batch(options: argparse.Namespace) -> str:
    """Draft a table as a stream, as the table may be larger than memory; return counts of drafts and refusals."""
    pa, pq = import_parquet(options)
    columns = columns_of(options)
    for part in ("waist", "hip"):
        if (ease := getattr(options, f"{part}_ease")) is not None:
            columns[f"ease.{part}"] = number(ease)
    # The call of `draft_stream` refuses a text, with its field.
    threads: Any = None if options.threads is None else number(options.threads)
    with table_of(options, pa, pq) as file, atomic_write(options.out) as partial:
        bodies = pa.RecordBatchReader.from_batches(file.schema_arrow, file.iter_batches())
        drafts = draft_stream(bodies, columns=columns, unit=options.unit, outlines=options.outlines, threads=threads)
        lines = write(pq, pa.RecordBatchReader.from_stream(drafts), partial)
    return "\n".join([*lines, f"wrote {options.out}", CAUTION])


def run_fit(options: argparse.Namespace) -> str:
    """Return, for reading, how many people the sizes of a chart serve."""
    pa, pq = import_parquet(options)
    chart = chart_of(options)
    drafted = SizeRange.from_json(json.dumps(chart))
    # All sizes share one ease and one set of rules.
    first = drafted[chart["sizes"][0]["name"]]
    with table_of(options, pa, pq) as file:
        people = file.read()
    fit = fit_chart(
        drafted.chart, people, ease=first.ease, rules=first.rules, tolerance=options.tolerance,
        columns=columns_of(options), by=options.by, bootstrap=options.bootstrap and max(options.bootstrap, 0), replicates=options.replicate,
        replicate_factor=options.replicate_factor, unit=options.table_unit or chart["unit"],
    )
    lines = summary(fit, options.tolerance)
    if options.out is not None:
        with atomic_write(options.out) as partial, partial.open("wb") as sink:
            pq.write_table(pa.table(fit), sink)
        lines.append(f"wrote {options.out}")
    return "\n".join([*lines, CAUTION])


def summary(fit: ChartFit, tolerance: float) -> list[str]:
    """Format the fit of a chart for reading."""
    within = f"within {tolerance:g} {fit.unit} of the ease"
    share = f"{fit.share_served:.1%}{' by weight' * bool(fit.load_weights)}{interval_text(fit.interval)}"
    lines = [
        f"{fit.count:,} people, {fit.unmeasured:,} not measured: {fit.served:,} served ({share}), {within}",
        f"{'size':<12}{'people':>10}{'served':>10}",
    ]
    lines += [f"{size:<12}{people:>10,}{served:>10,}" for size, people, served in fit.loads]
    lines += [
        f"group {'(none)' if of.group is None else of.group}: {of.served:,} of {of.count - of.unmeasured:,} served "
        f"({of.share_served:.1%}{interval_text(of.interval)})" for of in fit.groups
    ]
    missed = [(why.replace("_", " too "), count) for why, count in fit.unserved.items() if count]
    lines += [f"not served, {why}: {count:,}" for why, count in sorted(missed, key=lambda pair: -pair[1])]
    lines += [f"refused, {of.field} {of.code.replace('_', ' ')}: {of.people:,}{means_text(of, fit.unit)}" for of in fit.refused]
    return lines + [f"largest misfit: row {row + 1}, {excess:.1f} {fit.unit} outside the ease bounds" for row, excess in fit.worst(3)]


def interval_text(interval: tuple[float, float] | None) -> str:
    """Format a 95% interval of a share; empty without one."""
    return f", 95% interval {interval[0]:.1%} to {interval[1]:.1%}" if interval else ""


def means_text(refused: RefusedPeople, unit: str) -> str:
    """Format the mean girths of refused people against those of the accepted people."""
    pairs = (("waist", refused.waist, refused.accepted_waist), ("hip", refused.hip, refused.accepted_hip))
    return "".join(
        f", mean {girth} {mean:.1f} {unit} (accepted {accepted:.1f})" for girth, mean, accepted in pairs if mean is not None and accepted is not None
    )


def write(pq: Any, drafts: Any, path: Path) -> list[str]:
    """Write the drafts, a row group for each batch; return lines with the counts of drafts, refusals and cautions."""
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
