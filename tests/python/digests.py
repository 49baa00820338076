"""Computes the checksums of `tests/digest.rs` through the Python extension: kind of output, CRC-32 and byte count."""

import struct
import zlib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pyarrow as pa

import kirtle

GOLDEN = Path(__file__).parents[1] / "golden"
EASE = kirtle.Ease(waist=1.5, hip=5)
SLOW_EVERY = 10
"""Every tenth body also goes through the slow outputs."""


def request(line: str) -> str:
    """Returns the JSON request of one line of bodies.tsv."""
    unit, waist, hip, depth, length, waist_ease, hip_ease, rules = line.split("\t")
    body = f'{{"waist": {waist}, "hip": {hip}, "hip_depth": {depth}, "length": {length}}}'
    return f'{{"unit": "{unit}", "body": {body}, "ease": {{"waist": {waist_ease}, "hip": {hip_ease}}}, "rules": {rules}}}'


def outputs(text: str, with_slow: bool) -> Iterable[tuple[str, bytes]]:
    """Yields the kind and the bytes of every output of a request; PDF, lays and standard errors only where `with_slow`."""
    try:
        yield "results", kirtle.draft_json(text).encode()
        draft, pattern = kirtle.Draft.from_json(text), kirtle.Pattern.from_json(text)
        yield "drawings", draft.svg().encode()
        yield "dxf", pattern.dxf().encode()
        if with_slow:
            yield "patterns", pattern.to_json().encode()
            yield "pdf", pattern.pdf()
            yield "lays", kirtle.Lay.from_json(text.replace('"rules"', '"cloth": {"width": 150}, "rules"')).to_json().encode()
            errors = draft.uncertainty(kirtle.StandardErrors.iso_20685(), unit="cm").standard_errors
            yield "errors", struct.pack(f"<{len(errors)}d", *errors)
    except kirtle.InputError as error:
        yield "refusals", error.to_json().encode()


def cell_bytes(value: Any) -> bytes:
    """Returns the bytes of a table cell: little-endian numbers, text ended by a line feed, null as one zero byte."""
    match value:
        case None:
            return b"\0"
        case float():
            return struct.pack("<d", value)
        case int():
            return struct.pack("<b", value)
        case str():
            return f"{value}\n".encode()
    return f"{','.join(value)}\n".encode()


def table_bytes(lines: list[str]) -> bytes:
    """Returns the cells of the table drafted from all lines in centimetres, by the default rules."""
    rows = [[float(number) for number in line.split("\t")[1:7]] for line in lines if line.startswith("cm\t")]
    names = ("waist", "hip", "hip_depth", "length", "we", "he")
    source = pa.table({name: [row[k] for row in rows] for k, name in enumerate(names)})
    drafts = kirtle.draft_table(source, columns={"ease.waist": "we", "ease.hip": "he"})
    return b"".join(cell_bytes(value) for column in pa.table(drafts).columns for value in column.to_pylist())


def nest_bytes() -> bytes:
    """Returns the demo chart's nest in SVG and PDF, followed by the instructions of one alteration."""
    drafted = kirtle.SizeChart.demo().draft(ease=EASE)
    altered = drafted.alter(kirtle.Body(waist=70, hip=100, hip_depth=20.5, length=58))
    nest = drafted.nest()
    return nest.svg("in").encode() + nest.pdf(unit="in", paper="A0") + "\n".join(altered.instructions()).encode()


def digests() -> str:
    """Returns one line for each kind of output: its name, CRC-32 and number of bytes."""
    lines = (GOLDEN / "bodies.tsv").read_text().splitlines()
    kinds = ("results", "drawings", "dxf", "patterns", "pdf", "lays", "errors", "refusals", "table", "nest")
    sums = dict.fromkeys(kinds, (0, 0))

    def add(kind: str, data: bytes) -> None:
        """Adds an output, without the version of Kirtle that documents and PDF name."""
        data = data.replace(kirtle.__version__.encode(), b"")
        crc, length = sums[kind]
        sums[kind] = zlib.crc32(data, crc), length + len(data)

    for k, line in enumerate(lines):
        for kind, data in outputs(request(line), k % SLOW_EVERY == 0):
            add(kind, data)
    add("table", table_bytes(lines))
    add("nest", nest_bytes())
    return "".join(f"{kind} {crc:08x} {length}\n" for kind, (crc, length) in sums.items())


if __name__ == "__main__":
    print(digests(), end="")
