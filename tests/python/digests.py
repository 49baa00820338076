"""The checksums of `tests/digest.rs`, made through the extension: a line for each kind, with its CRC-32 and its bytes."""

import struct
import zlib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pyarrow as pa

import kirtle

GOLDEN = Path(__file__).parents[1] / "golden"
EASE = kirtle.Ease(waist=1.5, hip=5)
FEW = 10


def request(line: str) -> str:
    """The request of a line, as text."""
    unit, waist, hip, depth, length, waist_ease, hip_ease, rules = line.split("\t")
    body = f'{{"waist": {waist}, "hip": {hip}, "hip_depth": {depth}, "length": {length}}}'
    return f'{{"unit": "{unit}", "body": {body}, "ease": {{"waist": {waist_ease}, "hip": {hip_ease}}}, "rules": {rules}}}'


def made(text: str, few: bool) -> Iterable[tuple[str, bytes]]:
    """What is made of a request, by kind."""
    try:
        yield "results", kirtle.draft_json(text).encode()
        draft, pattern = kirtle.Draft.from_json(text), kirtle.Pattern.from_json(text)
        yield "drawings", draft.svg().encode()
        yield "dxf", pattern.dxf().encode()
        if few:
            yield "patterns", pattern.to_json().encode()
            yield "pdf", pattern.pdf()
            yield "lays", kirtle.Lay.from_json(text.replace('"rules"', '"cloth": {"width": 150}, "rules"')).to_json().encode()
            errors = draft.uncertainty(kirtle.StandardErrors.iso_20685(), unit="cm").standard_errors
            yield "errors", struct.pack(f"<{len(errors)}d", *errors)
    except kirtle.InputError as error:
        yield "refusals", error.to_json().encode()


def cell(value: Any) -> bytes:
    """A cell of a table: a number by its bytes, a text with a line's end; nothing as a zero byte."""
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


def table(lines: list[str]) -> bytes:
    """The drafts of the bodies in centimetres by the default rules."""
    rows = [[float(number) for number in line.split("\t")[1:7]] for line in lines if line.startswith("cm\t")]
    names = ("waist", "hip", "hip_depth", "length", "we", "he")
    source = pa.table({name: [row[k] for row in rows] for k, name in enumerate(names)})
    drafts = kirtle.draft_table(source, columns={"ease.waist": "we", "ease.hip": "he"})
    return b"".join(cell(value) for column in pa.table(drafts).columns for value in column.to_pylist())


def nest() -> bytes:
    """The demo chart's nest, and the steps of an alteration."""
    drafted = kirtle.SizeChart.demo().draft(ease=EASE)
    altered = drafted.alter(kirtle.Body(waist=70, hip=100, hip_depth=20.5, length=58))
    return drafted.svg("in").encode() + drafted.pdf(unit="in", paper="A0") + "\n".join(altered.instructions()).encode()


def digests() -> str:
    """A line for each kind."""
    lines = (GOLDEN / "bodies.tsv").read_text().splitlines()
    kinds = ("results", "drawings", "dxf", "patterns", "pdf", "lays", "errors", "refusals", "table", "nest")
    found = dict.fromkeys(kinds, (0, 0))

    def take(kind: str, part: bytes) -> None:
        remainder, length = found[kind]
        found[kind] = zlib.crc32(part, remainder), length + len(part)

    for k, line in enumerate(lines):
        for kind, part in made(request(line), k % FEW == 0):
            take(kind, part)
    take("table", table(lines))
    take("nest", nest())
    return "".join(f"{kind} {remainder:08x} {length}\n" for kind, (remainder, length) in found.items())


if __name__ == "__main__":
    print(digests(), end="")
