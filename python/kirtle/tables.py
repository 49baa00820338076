"""The commands on tables in Parquet or CSV: ``batch`` drafts every row, ``fit`` counts whom a chart serves, ``best`` finds a chart. All need pyarrow."""

import argparse
import csv
import json
import os
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from . import BestChart, ChartFit, Ease, FitComparison, InputError, RefusedPeople, SizeRange, best_chart, best_chart_by_draft, charts, compare_fits, draft_stream, fit_chart
from .chart_files import chart_of, standard_name
from .files import atomic_write
from .options import CAUTION, CM_PER_UNIT, number, parse_length, parse_number, with_unit_option
from .result_tables import ease_text
from .words import TABLE_UNITS, by_weight, interval_text, proof_text, share_text, size_table

PARQUET_MAGIC = (b"PAR1", b"PARE")
"""First bytes of a file in Parquet, plain and encrypted."""

NOT_UTF_8 = 'not a text in UTF-8; save it as UTF-8, in a spreadsheet as "CSV UTF-8"'
"""Message about a table in another encoding, such as Latin-1."""

PLAIN_DECIMAL = r"^-?\d{1,99}(\.\d{0,99})?$"
"""Pattern of the numbers in CSV that Arrow reads, as it is faster; `parse_length` reads the other cells."""

MAX_REMARKS = 20
"""Largest number of cells that are no numbers of which a command prints each."""

TABLE_HELP = (
    "A table in CSV has a header; commas, semicolons or tabs separate the columns; 68.5, 68,5, 68½ and 27in are numbers. "
    "PATH of --number is waist, hip, {paths}. A cell that is no number is missing."
)
"""Help on tables, by the further numbers that a command reads."""

FIT_LENGTHS = ("ease_left_waist", "ease_left_hip", "ease_left_high_hip", "excess")
"""Columns of lengths in the table of a fit."""


def add_commands(commands: Any) -> None:
    """Add the commands on tables."""
    batch = commands.add_parser("batch", help="draft every body of a table, one row out for each row in")
    batch.add_argument("source", type=Path, metavar="IN", help="table of bodies in Parquet or CSV, or a folder of Parquet")
    batch.add_argument("out", type=Path, metavar="OUT", help="table of drafts in Parquet, or in CSV if its name ends with .csv")
    batch.add_argument("--waist-ease", metavar="N", help="ease at the waist, all around: a number, or the name of a column")
    batch.add_argument("--hip-ease", metavar="N", help="ease at the hip, all around: a number, or the name of a column")
    table_options(batch, "hip_depth, length (all four are needed), figure.high_hip, ease.waist, rules.balance, or another input of a request")
    batch.add_argument("--unit", choices=TABLE_UNITS, default="cm", help="unit of all lengths (default: cm)")
    batch.add_argument("--outlines", action="store_true", help="include the outlines of the panels")
    batch.add_argument("--threads", metavar="N", help="number of threads (default: one for each processor)")
    batch.set_defaults(run=run_batch, parser=batch)
    fit = charts.add_chart_command(commands, "fit", "count the people of a table whom a size chart serves", run_fit)
    fit.add_argument("source", type=Path, metavar="IN", help="table of people in Parquet or CSV, with the columns waist and hip")
    fit.add_argument("--against", metavar="CHART", help="second size chart: whom both charts serve, whom only one, and the difference")
    fit.add_argument("--tolerance", type=number, metavar="N", help="largest difference between the ease left and the ease asked for")
    fit.add_argument("--bounds", type=parse_bounds, action="append", metavar="GIRTH=MIN:MAX", help="least and greatest ease left at the waist, hip or high_hip, such as waist=0:4; repeat for each")
    fit.add_argument("--out", type=Path, metavar="OUT", help="file for each person's size and ease left (.parquet, .csv), or for the counts (.json)")
    fit.add_argument("--table-unit", choices=TABLE_UNITS, help="unit of the table, the ease and tolerance given here, and the results (default: that of the chart)")
    fit.add_argument("--by", metavar="COLUMN", help="column of groups, such as age bands: a line for each")
    fit.add_argument("--bootstrap", type=int, metavar="N", help="intervals by a bootstrap with this number of replicates")
    fit.add_argument("--seed", type=int, default=0, metavar="N", help="seed of the bootstrap (default: 0)")
    fit.add_argument("--replicate", action="append", metavar="COLUMN", help="intervals by replicate weights; once for each column")
    fit.add_argument("--replicate-factor", type=number, metavar="N", help="factor of the variance from replicate weights, such as 1/R")
    table_options(fit, "high_hip, high_hip_depth or weight")
    best = commands.add_parser("best", help="find the sizes that serve the people of a table best, with a proven bound")
    best.add_argument("source", type=Path, metavar="IN", help="table of people in Parquet or CSV, with the columns waist and hip, and hip_depth for --loss draft")
    best.add_argument("--sizes", type=int, required=True, metavar="N", help="number of sizes")
    best.add_argument("--tolerance", type=number, metavar="N", help="serve the most people whose waist and hip differ from the size's by at most N")
    best.add_argument("--loss", choices=("squared", "absolute", "draft"),
                      help="without --tolerance: minimise the mean squared or absolute difference, or the distance of a size's draft from a person's own (default: squared)")
    for girth in ("waist", "hip"):
        best.add_argument(f"--{girth}-ease", type=number, metavar="N", help=f"ease at the {girth} of the drafts, with --loss draft")
    best.add_argument("--grid", type=number, metavar="N", help="waist and hip of every size are multiples of N, such as 1 or 2; a hip that follows from --drop is not")
    best.add_argument("--fixed", type=parse_pair, action="append", metavar="WAIST:HIP", help="size that the result must have, such as 72:96; repeat for each size")
    best.add_argument("--drop", type=parse_drop, nargs="+", metavar="N[:COUNT]", help="hip minus waist of the sizes: one for all, several, or each with its largest number of sizes, such as 18:4 24:4")
    best.add_argument("--drop-classes", type=int, metavar="N", help="number of different drops, which are searched")
    best.add_argument("--min-share", type=number, metavar="N", help="smallest share of the people that each size serves, or with --loss has, such as 0.05")
    best.add_argument("--time-limit", type=number, metavar="N", help="stop after N seconds with the best sizes and the bound found so far")
    best.add_argument("--unit", choices=TABLE_UNITS, default="cm", help="unit of the table, the options and the results (default: cm)")
    best.add_argument("--out", metavar="OUT", help="file for the sizes, or with --hip-depth and --length for a chart; its name ends with .csv or .json")
    best.add_argument("--hip-depth", type=number, metavar="N", help="hip depth of all sizes of the chart; with --loss draft each size has its own")
    best.add_argument("--length", type=number, metavar="N", help="length of all sizes of the chart")
    numbers_option(best, "or weight")
    best.set_defaults(run=run_best, parser=best)


def parse_pair(text: str, *, typed: str | None = None, advice: str = "waist and hip, such as 72:96") -> tuple[float, float]:
    """Read two numbers, as waist and hip of a size in ``72:96``; an error has the ``typed`` text and the advice."""
    try:
        first, second = map(number, text.split(":"))
    except (ValueError, argparse.ArgumentTypeError):
        raise argparse.ArgumentTypeError(f"{typed or text}: write {advice}") from None
    return first, second


def parse_bounds(text: str) -> tuple[str, tuple[float, float]]:
    """Read the bounds of the ease left at a girth, as in ``waist=0:4``."""
    girth, _, bounds = text.partition("=")
    return girth, parse_pair(bounds, typed=text, advice="girth, least and greatest ease, such as waist=0:4")


def parse_drop(text: str) -> tuple[float, int | None]:
    """Read a drop, as in ``18``, or with a number of sizes, as in ``18:4``."""
    drop, _, count = text.partition(":")
    try:
        return number(drop), int(count) if count else None
    except (ValueError, argparse.ArgumentTypeError):
        raise argparse.ArgumentTypeError(f"{text}: write a drop, such as 18, or with a number of sizes, such as 18:4") from None


def table_options(command: argparse.ArgumentParser, paths: str) -> None:
    """Add the options of a command that returns a row for each row of a table: ``--number``, whose help lists ``paths``, and ``--keep``."""
    numbers_option(command, paths)
    command.add_argument(
        "--keep", action="extend", type=lambda text: text.split(","), metavar="COLUMN,…",
        help="columns of the table that stand first in the result, such as id,age, or all",
    )


def numbers_option(command: argparse.ArgumentParser, paths: str) -> None:
    """Add the option ``--number``, the source of a number: a column or a constant; the help lists the ``paths`` after waist and hip."""
    command.epilog = TABLE_HELP.format(paths=paths)
    command.set_defaults(remarks=[])
    command.add_argument(
        "--number", action="append", default=[], dest="numbers", metavar="PATH=COLUMN",
        help="source of an input: a column, or one number for all rows (waist=WAIST_CM, length=60); repeat for each input",
    )


def columns_of(options: argparse.Namespace) -> dict[str, float | str]:
    """Return the sources given by ``--number``, a column or a constant, by path of the number."""
    columns: dict[str, float | str] = {}
    for given in options.numbers:
        path, equals, source = given.partition("=")
        if not equals:
            options.parser.error(f"--number {given}: write PATH=COLUMN, such as waist=WAIST_CM")
        columns[path] = parse_number(source)
    return columns


def import_parquet(options: argparse.Namespace) -> tuple[Any, Any]:
    """Import the modules that read and write tables."""
    try:
        import pyarrow as pa
        import pyarrow.compute
        import pyarrow.csv
        import pyarrow.parquet as pq
    except ImportError:
        options.parser.error("tables in Parquet need pyarrow: python3 -m pip install pyarrow")
    return pa, pq


@contextmanager
def table_of(options: argparse.Namespace, pa: Any, pq: Any) -> Iterator[Any]:
    """Open the table that a command reads; keep the names of its columns for messages."""
    with open_table(options, pa, pq) as reader:
        options.column_names = reader.schema.names
        yield reader


@contextmanager
def open_table(options: argparse.Namespace, pa: Any, pq: Any) -> Iterator[Any]:
    """Open the table that a command reads; end the command with an error for a file in another format."""
    try:
        if options.source.is_dir():
            import pyarrow.dataset as ds
            yield ds.dataset(options.source, partitioning="hive").scanner().to_reader()
            return
        # pyarrow refuses a file name that is not UTF-8; an open file has none.
        with options.source.open("rb") as source:
            if options.source.suffix.lower() == ".csv":
                yield csv_reader(options, pa, source)
                return
            if source.read(4) not in PARQUET_MAGIC:
                options.parser.error(f"{options.source}: not a table in Parquet, nor in CSV, named .csv")
            with pq.ParquetFile(source) as file:
                yield pa.RecordBatchReader.from_batches(file.schema_arrow, file.iter_batches())
    except UnicodeDecodeError:
        options.parser.error(f"{options.source}: {NOT_UTF_8}")
    except pa.ArrowInvalid as error:
        text = re.sub(r"^External error: |^.*Producer error: Invalid: |\. Detail: .*$", "", str(error), flags=re.DOTALL)
        options.parser.error(f"{options.source}: {NOT_UTF_8 if 'invalid UTF8' in text else with_unit_option(text, options)}")


def csv_reader(options: argparse.Namespace, pa: Any, source: Any) -> Any:
    """Return a reader of record batches: columns of numbers that the command uses as such, all others as texts, unchanged.

    A column of a measurement is found by its name in any case, as in a size chart, and added to the options.
    """
    header = next((line for lines in source for line in lines.decode("utf-8-sig").splitlines() if line.strip()), "")
    separator = max(",;\t", key=header.count)
    names = next(csv.reader([header], delimiter=separator), [])
    by_standard = {standard_name(name): name for name in names}
    given, wanted = columns_of(options), charts.BODY_MEASUREMENTS[:None if options.run is run_batch else 2]
    found = {part: by_standard[part] for part in wanted if part not in names and part in by_standard and not {part, f"body.{part}"} & set(given)}
    options.numbers += [f"{part}={name}" for part, name in found.items()]
    eases = [getattr(options, name, None) for name in ("waist_ease", "hip_ease")]
    numbers = {*charts.BODY_MEASUREMENTS, *columns_of(options).values(), *(getattr(options, "replicate", None) or ()), *eases}
    convert = pa.csv.ConvertOptions(column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=True, null_values=["", "NA", "NaN", "null"])
    # Arrow reads ahead in a thread, which must not call Python while the interpreter ends, as it would for a file of Python.
    rows = pa.csv.open_csv(pa.OSFile(os.fsencode(options.source)), parse_options=pa.csv.ParseOptions(delimiter=separator), convert_options=convert)
    schema = pa.schema([(name, pa.float64() if name in numbers else pa.string()) for name in names])
    unit = getattr(options, "table_unit", None) or options.unit

    def batches() -> Iterator[Any]:
        line, unlisted = 2, Counter[str]()
        for batch in rows:
            columns = batch.columns
            for k, name in enumerate(names):
                if name in numbers:
                    columns[k], others = numbers_in(pa, columns[k], unit)
                    listed = others[:MAX_REMARKS - len(options.remarks)]
                    options.remarks += [f'line {line + row}: {name}: "{text}" is not a number' for row, text in listed]
                    unlisted[name] += len(others) - len(listed)
            yield pa.RecordBatch.from_arrays(columns, schema=schema)
            line += batch.num_rows
        if count := unlisted.total():
            options.remarks.append(f"{count:,} more cells are not numbers, in {', '.join(name for name in unlisted if unlisted[name])}")

    return pa.RecordBatchReader.from_batches(schema, batches())


def numbers_in(pa: Any, texts: Any, unit: str) -> tuple[Any, list[tuple[int, str]]]:
    """Parse a column of texts as lengths of options are parsed; return the numbers, null for any other text, and the other texts by row."""
    compute, trimmed = pa.compute, pa.compute.utf8_trim_whitespace(texts)
    is_decimal = compute.match_substring_regex(trimmed, PLAIN_DECIMAL)
    numbers = compute.if_else(is_decimal, trimmed, pa.scalar(None, pa.string())).cast(pa.float64())
    is_other = compute.fill_null(compute.and_(compute.invert(is_decimal), compute.not_equal(trimmed, "")), False)
    cells = [parse_length(text, unit) for text in texts.filter(is_other).to_pylist()]
    parsed = pa.array([None if isinstance(cell, str) else cell for cell in cells], pa.float64())
    rows = compute.indices_nonzero(is_other).to_pylist()
    others = [(row, cell) for row, cell in zip(rows, cells, strict=True) if isinstance(cell, str)]
    return compute.replace_with_mask(numbers, is_other, parsed), others


def kept_of(options: argparse.Namespace) -> Any:
    """Return the columns to keep, for `keep`."""
    return "all" if options.keep == ["all"] else options.keep


def check_ending(options: argparse.Namespace, *endings: str) -> None:
    """Refuse an output file with another ending than `endings`; a name without an ending is accepted."""
    ending = Path(options.out or "").suffix.lower()
    if ending[1:].isalnum() and ending not in endings:
        options.parser.error(f"{options.out}: the result is written in {' or '.join(endings)}")


def run_batch(options: argparse.Namespace) -> str:
    """Draft a table as a stream, as the table may be larger than memory; return counts of drafts and refusals."""
    check_ending(options, ".parquet", ".csv")
    as_csv = options.out.suffix.lower() == ".csv"
    if as_csv and options.outlines:
        options.parser.error("CSV has no outlines: leave out --outlines, or give OUT a name that ends with .parquet")
    pa, pq = import_parquet(options)
    eases = {f"ease.{part}": parse_length(ease, options.unit) for part in ("waist", "hip") if (ease := getattr(options, f"{part}_ease")) is not None}
    # The call of `draft_stream` refuses a text, with its field.
    threads: Any = None if options.threads is None else parse_number(options.threads)
    with table_of(options, pa, pq) as bodies, atomic_write(options.out) as partial:
        columns = columns_of(options) | eases
        drafts = draft_stream(bodies, columns=columns, unit=options.unit, outlines=options.outlines, threads=threads, keep=kept_of(options))
        lines = write_drafts(pa, pq, pa.RecordBatchReader.from_stream(drafts), partial, as_csv=as_csv)
    return "\n".join([*lines, f"wrote {options.out}", CAUTION])


def run_fit(options: argparse.Namespace) -> str:
    """Return lines on how many people the sizes of a chart serve; with a second chart, also on whom only one of the charts serves."""
    check_ending(options, ".parquet", ".csv", ".json")
    if options.keep and Path(options.out or "none.json").suffix.lower() == ".json":
        options.parser.error("--keep needs --out with a name that ends with .parquet or .csv")
    if not 0 <= options.seed < 2**64:
        options.parser.error(f"--seed {options.seed}: write a whole number from 0")
    pa, pq = import_parquet(options)
    chart = chart_of(options)
    options.table_unit = options.table_unit or chart["unit"]
    with table_of(options, pa, pq) as reader:
        people = reader.read_all()
    fit, lines = fit_and_summary(chart, people, options)
    if options.out is not None:
        with atomic_write(options.out) as partial, partial.open("wb") as sink:
            write_fit(fit, Path(options.out).suffix.lower(), sink, pa, pq)
        lines.append(f"wrote {options.out}")
    if options.against is not None:
        lines = [f"{options.chart}:", *lines, "", f"{options.against}:"]
        try:
            second, others = fit_and_summary(chart_of(argparse.Namespace(**vars(options) | {"chart": options.against})), people, options)
            lines += [*others, "", *comparison_lines(compare_fits(fit, second), options)]
        except InputError as error:
            error.add_note("\n".join(lines))
            raise
    return "\n".join([*lines, CAUTION])


def comparison_lines(compared: FitComparison, options: argparse.Namespace) -> list[str]:
    """Format the comparison of the fits of two charts, with a sentence on what it means."""
    first, second = options.chart, options.against
    lines = [f"served by both: {compared.both:,}; only by {first}: {compared.only_first:,}; only by {second}: {compared.only_second:,}; by none: {compared.neither:,}"]
    if compared.difference is None:
        return lines
    points = round(100 * compared.difference, 1) + 0.0
    lines.append(f"share served by {second} minus that by {first}: {points:+.1f} percentage points")
    meaning = "--bootstrap 1000 gives the standard error, for other people of their kind"
    if compared.interval is not None and compared.standard_error is not None:
        low, high = compared.interval
        lines[-1] += f", standard error {100 * compared.standard_error:.1f}, 95% interval {100 * low:+.1f} to {100 * high:+.1f}"
        meaning = f"chance in the choice of people {'may explain' if low <= 0 <= high else 'hardly explains'} the difference"
    return [*lines, f"{second if points > 0 else first} serves more of these people; {meaning}." if points else "Both serve the same share of these people."]


def fit_and_summary(chart: dict[str, Any], people: Any, options: argparse.Namespace) -> tuple[ChartFit, list[str]]:
    """Return the fit of a chart to a table of people, and lines on the fit."""
    drafted, bounds = SizeRange.from_json(json.dumps(chart)), dict(options.bounds or ())
    # All sizes share one ease and one set of rules.
    first = drafted[chart["sizes"][0]["name"]]
    fit = fit_chart(
        drafted.chart, people, ease=first.ease, rules=first.rules, tolerance=options.tolerance, bounds=bounds,
        columns=columns_of(options), by=options.by, bootstrap=options.bootstrap and max(options.bootstrap, 0), seed=options.seed,
        replicates=options.replicate, replicate_factor=options.replicate_factor, keep=kept_of(options), unit=options.table_unit,
    )
    waist, hip = (value / CM_PER_UNIT[fit.unit] for value in (first.ease.waist, first.ease.hip))
    others = [girth for girth in ("waist", "hip") if girth not in bounds]
    limits = [f"{others[0] + ' ' if len(others) == 1 else ''}within {options.tolerance:g} {fit.unit} of the ease"] if options.tolerance is not None and others else []
    limits += [f"{girth.replace('_', ' ')} ease {low:g} to {high:g} {fit.unit}" for girth, (low, high) in bounds.items()]
    lines = fit_summary(fit, f"{', '.join(limits)}; ease {waist:g} {fit.unit} at the waist, {hip:g} {fit.unit} at the hip")
    kept = people[0 if options.keep == ["all"] else options.keep[0]] if options.keep else None
    place, first_row = ("line", 2) if options.source.suffix.lower() == ".csv" else ("row", 1)
    names = [(f"{row + first_row}" + (f", {kept[row].as_py()}" if kept else ""), excess) for row, excess in fit.worst(3)]
    return fit, lines + [f"largest misfit: {place} {name}, {excess:.1f} {fit.unit} outside the ease bounds" for name, excess in names]


def run_best(options: argparse.Namespace) -> str:
    """Return lines on the best sizes for the people of a table; write the sizes, or a chart of them, if a file is given."""
    check_ending(options, ".csv", ".json")
    given, eases, by_draft = [options.hip_depth, options.length], [options.waist_ease, options.hip_ease], options.loss == "draft"
    if by_draft and (None in eases or options.hip_depth is not None or options.fixed):
        options.parser.error("--loss draft needs --waist-ease and --hip-ease, and has no --fixed and no --hip-depth")
    if not by_draft and eases != [None, None]:
        options.parser.error("--waist-ease and --hip-ease are for --loss draft")
    if given != [None, None] and None in [*given[by_draft:], options.out]:
        options.parser.error(f"a chart needs {'' if by_draft else '--hip-depth, '}--length and --out")
    if options.tolerance is not None and options.loss is not None:
        options.parser.error("give --tolerance or --loss, not both")
    drops: Any = [drop for drop, _ in options.drop or []] or None
    counts = [count for _, count in options.drop or [] if count is not None]
    if counts and len(counts) < len(drops):
        options.parser.error("give each --drop its number of sizes, or none")
    pa, pq = import_parquet(options)
    with table_of(options, pa, pq) as reader:
        people = reader.read_all()
    search: dict[str, Any] = {
        "grid": options.grid, "drop": dict(zip(drops, counts, strict=True)) if counts else drops, "drop_classes": options.drop_classes,
        "min_share": options.min_share or 0.0, "time_limit": options.time_limit, "columns": columns_of(options), "unit": options.unit,
    }
    if by_draft:
        best = best_chart_by_draft(people, options.sizes, ease=Ease(waist=options.waist_ease, hip=options.hip_ease, unit=options.unit), **search)
    else:
        loss = "within" if options.tolerance is not None else options.loss or "squared"
        best = best_chart(people, options.sizes, loss=loss, tolerance=options.tolerance, fixed=options.fixed, **search)
    lines = best_summary(best)
    if options.out is not None:
        heads, rows = size_table(best)
        write_sizes(Path(options.out), best.to_dict(), [heads, *rows])
        lines.append(f"wrote {options.out}")
    if options.length is not None:
        try:
            chart, unit = best.chart(hip_depth=options.hip_depth, length=options.length), "in" if options.unit == "in" else "cm"
        except InputError as error:
            error.add_note("\n".join([*lines, "These are the sizes; no chart is made of them."]))
            raise
        write_sizes(Path(options.out), json.loads(chart.to_json(unit)), csv.reader(chart.to_csv(unit).splitlines()))
    return "\n".join([*lines, CAUTION])


def best_summary(best: BestChart) -> list[str]:
    """Format a best chart: its sizes, its loss and the bound."""
    lines = [f"{best.measured + best.unmeasured:,} people, {best.unmeasured:,} not measured: {len(best.sizes)} sizes"]
    (first, *heads), rows = size_table(best)
    lines.append(f"{first:<12}{''.join(f'{head:>10}' for head in heads)}   ({best.unit}{', people' * bool(by_weight(best))}{by_weight(best)})")
    formats = [".1%" if head in {"people", "served"} else ".1f" for head in heads]
    lines += [f"{k:<12}" + "".join(f"{cell:>10{form}}" for cell, form in zip(cells, formats, strict=True)) for k, *cells in rows]
    return [*lines, proof_text(best), *refused_lines(best.refused, best.unit)]


def write_sizes(path: Path, document: dict[str, Any], rows: Iterable[Iterable[Any]]) -> None:
    """Write sizes as a document in JSON, or as rows in CSV, by the ending of the file's name."""
    with atomic_write(path) as partial, partial.open("w", encoding="utf-8", newline="") as sink:
        if path.suffix.lower() == ".csv":
            csv.writer(sink, lineterminator="\n").writerows(rows)
        else:
            sink.write(json.dumps(document, indent=2) + "\n")


def write_fit(fit: ChartFit, ending: str, sink: Any, pa: Any, pq: Any) -> None:
    """Write a fit to an open file: its counts in JSON, or its table of people in CSV or Parquet, by the ending of the file's name."""
    if ending == ".json":
        sink.write((json.dumps(fit.to_dict(), indent=2) + "\n").encode())
    elif ending == ".csv":
        table = pa.table(fit)
        for k, name in enumerate(table.column_names):
            if name in FIT_LENGTHS:  # The conversion of units leaves rounding errors.
                table = table.set_column(k, name, pa.compute.round(table[name], 9))
        pa.csv.write_csv(table, sink)
    else:
        pq.write_table(pa.table(fit), sink)


def fit_summary(fit: ChartFit, limits: str) -> list[str]:
    """Format the fit of a chart for reading; `limits` says when a size serves a person."""
    share = f"{share_text(fit, suffix=by_weight(fit))}{interval_text(fit.interval)}"
    lines = [
        f"{fit.count:,} people, {fit.unmeasured:,} not measured: {fit.served:,} served ({share}), {limits}",
        f"{'size':<12}{'people':>10}{'served':>10}",
    ]
    lines += [f"{size:<12}{people:>10,}{served:>10,}" for size, people, served in fit.loads]
    lines += [
        f"group {'(none)' if group.group is None else group.group}: {group.served:,} of {group.count - group.unmeasured:,} served "
        f"({share_text(group, suffix=by_weight(fit))}{interval_text(group.interval)})" for group in fit.groups
    ]
    missed = [(" too ".join(why.rsplit("_", 1)).replace("_", " "), count) for why, count in fit.unserved.items() if count]
    lines += ["not served (a person may have several reasons):"] * bool(missed)
    lines += [f"  {why}: {count:,}" for why, count in sorted(missed, key=lambda pair: -pair[1])]
    return lines + refused_lines(fit.refused, fit.unit)


def refused_lines(refused: list[RefusedPeople], unit: str) -> list[str]:
    """Format the reasons for which people have no size, a line for each, with the mean girths of refused people and those of the accepted."""
    lines = []
    for people in refused:
        pairs = (("waist", people.waist, people.accepted_waist), ("hip", people.hip, people.accepted_hip))
        means = [f", mean {girth} {mean:.1f} {unit} (accepted {accepted:.1f})" for girth, mean, accepted in pairs if None not in (mean, accepted)]
        lines.append(f"refused, {people.field} {people.code.replace('_', ' ')}: {people.people:,}{''.join(means)}")
    return lines


def write_drafts(pa: Any, pq: Any, drafts: Any, path: Path, *, as_csv: bool) -> list[str]:
    """Write the drafts, a row group for each batch, or in CSV with the texts of a list joined by ``;``; return lines with counts.

    The lines count drafts, refusals and cautions; a body counts once for each code.
    """
    rows, drafted, refused, cautions, schema = 0, 0, Counter[str](), Counter[str](), drafts.schema
    lists = [k for k, column in enumerate(schema) if as_csv and column.type == pa.list_(pa.string())]
    for k in lists:
        schema = schema.set(k, schema.field(k).with_type(pa.string()))
    with path.open("wb") as sink, (pa.csv.CSVWriter if as_csv else pq.ParquetWriter)(sink, schema) as writer:
        for batch in drafts:
            columns = [pa.compute.binary_join(column, ";") if k in lists else column for k, column in enumerate(batch.columns)]
            writer.write_batch(pa.RecordBatch.from_arrays(columns, schema=schema))
            rows, drafted = rows + batch.num_rows, drafted + batch["error_text"].null_count
            for counter, name in ((refused, "error_codes"), (cautions, "findings")):
                counter.update(code for codes in batch[name].to_pylist() for code in dict.fromkeys(codes or ()))
    ease = ease_text(json.loads(schema.metadata[b"kirtle.settings"]))
    lines = [f"{rows:,} bodies: {drafted:,} drafted, {rows - drafted:,} refused; {ease}"]
    lines += [f"  refused, {code}: {count:,}" for code, count in refused.most_common()]
    return lines + [f"  caution, {code}: {count:,}" for code, count in cautions.most_common()]
