"""The shell's command about tables of bodies: ``batch``. It needs pyarrow, which reads and writes the files."""

import argparse
import os
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

from . import draft_stream

Number = Callable[[str], float | str]
"""Reads a number, or leaves a text that is none as it is, to be taken as the name of a column."""


def add_commands(commands: Any, number: Number) -> None:
    """Add the command to the shell's."""
    batch = commands.add_parser("batch", help="draft every body of a table in Parquet, one row out for each row in")
    batch.add_argument("source", type=Path, metavar="IN", help="a table in Parquet")
    batch.add_argument("out", type=Path, metavar="OUT", help="the drafts, in Parquet")
    batch.add_argument("--waist-ease", metavar="N", help="added to the waist, all around: a number, or a column")
    batch.add_argument("--hip-ease", metavar="N", help="added to the hip, all around: a number, or a column")
    batch.add_argument(
        "--number", action="append", default=[], dest="numbers", metavar="PATH=COLUMN",
        help="where a number comes from: a column, or the same number for all (waist=WAIST_CM, length=60)",
    )
    batch.add_argument("--unit", choices=("cm", "in"), default="cm", help="unit of all lengths (default: cm)")
    batch.add_argument("--outlines", action="store_true", help="write the outlines, too")
    batch.add_argument("--threads", type=int, metavar="N", help="how many threads (default: as many as processors)")
    batch.set_defaults(run=run_batch, parser=batch, number=number)


def run_batch(options: argparse.Namespace) -> str:
    """Draft the table as a stream, so that it may be larger than memory."""
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError:
        options.parser.error("tables in Parquet are read and written by pyarrow: python3 -m pip install pyarrow")
    columns: dict[str, float | str] = {}
    for given in options.numbers:
        path, equals, source = given.partition("=")
        if not equals:
            options.parser.error(f"--number {given}: is not of the form PATH=COLUMN")
        columns[path] = options.number(source)
    for part in ("waist", "hip"):
        if (ease := getattr(options, f"{part}_ease")) is not None:
            columns[f"ease.{part}"] = options.number(ease)
    half = options.out.with_name(f".{options.out.name}.{os.getpid()}.part")
    try:
        with pq.ParquetFile(options.source) as file:
            source = pa.RecordBatchReader.from_batches(file.schema_arrow, file.iter_batches())
            chosen = {"columns": columns, "unit": options.unit, "outlines": options.outlines}
            drafts = pa.RecordBatchReader.from_stream(draft_stream(source, threads=options.threads, **chosen))
            told = write(pq, drafts, half)
        half.replace(options.out)
    except pa.ArrowInvalid as error:
        options.parser.error(f"{options.source}: {error}")
    finally:
        half.unlink(missing_ok=True)
    return "\n".join([*told, f"wrote {options.out}", "Fit is not judged here: make a trial garment first."])


def write(pq: Any, drafts: Any, path: Path) -> list[str]:
    """Write the drafts, a row group for each batch; returns what there is to tell of them."""
    rows, refused, cautions = 0, Counter[str](), Counter[str]()
    with pq.ParquetWriter(path, drafts.schema) as writer:
        for batch in drafts:
            writer.write_batch(batch)
            rows += batch.num_rows
            refused.update(batch["error_code"].drop_null().to_pylist())
            cautions.update(batch["findings"].flatten().to_pylist())
    told = [f"{rows:,} bodies: {rows - refused.total():,} drafted, {refused.total():,} refused"]
    told += [f"  refused, {code}: {count:,}" for code, count in refused.most_common()]
    return told + [f"  caution, {code}: {count:,}" for code, count in cautions.most_common()]
