"""Calls leave no memory behind, and a stream of ten million bodies needs no more than one of a million."""

import contextlib
import gc
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pyarrow as pa
import pytest
from conftest import TESTS, CASE_FACTOR

import kirtle

EASE = kirtle.Ease(waist=1.5, hip=5)
BODY = kirtle.Body(waist=72, hip=98, hip_depth=20, length=60)
REQUEST = (TESTS / "requests" / "evening-class.json").read_text()
DRAFT = kirtle.draft(BODY, ease=EASE)
PATTERN = DRAFT.pattern()
ROW = pa.table({"waist": [72.0], "hip": [98.0], "hip_depth": [20.0], "length": [60.0]})
REFUSED = REQUEST.replace("74", '"seventy-four"')


def call_refused(call: Callable[[], object]) -> None:
    """Calls a function and ignores its InputError."""
    with contextlib.suppress(kirtle.InputError):
        call()


def read_one_of_three() -> None:
    """Reads one of three batches of a stream and drops the reader."""
    batch = ROW.to_batches()[0]
    source = pa.RecordBatchReader.from_batches(batch.schema, iter([batch] * 3))
    pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE, threads=1, progress=lambda rows: None)).read_next_batch()


def abandon() -> None:
    """Makes the capsule of a stream and drops it unread."""
    kirtle.draft_stream(ROW, ease=EASE, threads=1).__arrow_c_stream__()


CALLS: dict[str, tuple[int, Callable[[], Any]]] = {
    "draft": (20_000, lambda: kirtle.draft(BODY, ease=EASE)),
    "attributes": (2_000, lambda: (DRAFT.back.edges, DRAFT.proof.checks, DRAFT.findings, DRAFT.lengths, DRAFT.girths)),
    "draft_json": (2_000, lambda: kirtle.draft_json(REQUEST)),
    "to_dict": (1_000, lambda: DRAFT.to_dict()),
    "refused body": (5_000, lambda: call_refused(lambda: kirtle.Body(waist=7, hip="x", hip_depth=None, length=10**400))),  # type: ignore[arg-type]
    "refused text": (5_000, lambda: call_refused(lambda: kirtle.draft_json(REFUSED))),
    "refused junk": (5_000, lambda: call_refused(lambda: DRAFT.pattern(name=object()))),  # type: ignore[arg-type]
    "pattern": (1_000, lambda: DRAFT.pattern(name="Ann").to_json()),
    "svg": (1_000, lambda: DRAFT.svg()),
    "pdf": (200, lambda: PATTERN.pdf()),
    "lay": (200, lambda: PATTERN.lay(140)),
    "sensitivity": (1_000, lambda: DRAFT.sensitivity(["ease.hip"])),
    "seek": (100, lambda: DRAFT.seek("ease.hip", "back.width", 25)),
    "draft_table": (1_000, lambda: kirtle.draft_table(ROW, ease=EASE, threads=1)),
    "draft_table of threads": (200, lambda: kirtle.draft_table(ROW, ease=EASE, threads=2)),
    "half read": (1_000, read_one_of_three),
    "abandoned": (2_000, abandon),
}


KEPT_BYTES = 2_000_000
"""Growth of the resident memory over one round of calls that the allocator may cause."""


def resident_bytes() -> int:
    """Returns the resident memory of this process in bytes; Linux only."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")


@pytest.mark.parametrize("name", CALLS)
def test_repeated_calls_leak_no_memory(name: str) -> None:
    """In at least one of three rounds memory and Python objects grow less than the limits; a leak grows in every round."""
    count, call = CALLS[name][0] * CASE_FACTOR, CALLS[name][1]
    for _ in range(max(50, count // (4 * CASE_FACTOR))):
        call()
    growth: list[tuple[int, int]] = []  # bytes and objects, by round
    while len(growth) < 3 and (not growth or growth[-1][0] >= KEPT_BYTES or growth[-1][1] >= 50):
        gc.collect()
        before, objects = resident_bytes(), len(gc.get_objects())
        for _ in range(count):
            call()
        gc.collect()
        growth.append((resident_bytes() - before, len(gc.get_objects()) - objects))
    assert min(memory for memory, _ in growth) < KEPT_BYTES and min(objects for _, objects in growth) < 50, growth


STREAM = """
import sys
from pathlib import Path

import pyarrow as pa

import kirtle

ROWS, CHUNK = int(sys.argv[1]), 100_000
chunk = pa.table({"waist": [72.0] * CHUNK, "hip": [98.0] * CHUNK, "hip_depth": [20.0] * CHUNK, "length": [60.0] * CHUNK})
batch = chunk.to_batches()[0]
source = pa.RecordBatchReader.from_batches(batch.schema, (batch for _ in range(ROWS // CHUNK)))
drafts = pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=kirtle.Ease(waist=1.5, hip=5), threads=2))
assert sum(drafted.num_rows for drafted in drafts) == ROWS
print(next(line.split()[1] for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")))
"""
"""Script that drafts a stream of bodies and prints the peak memory of its process in KiB."""

STREAM_GROWTH_KIB = 32_768
"""Maximum growth of the peak from one to ten million rows; ten million rows in one table would add 2 GiB."""


def stream_peak_kib(rows: int) -> int:
    """Returns the peak memory in KiB of a process that drafts a stream of `rows` bodies."""
    run = subprocess.run([sys.executable, "-c", STREAM, str(rows)], capture_output=True, text=True, check=True)
    return int(run.stdout)


def test_a_stream_of_ten_million_bodies_needs_the_memory_of_one_million() -> None:
    one, ten = stream_peak_kib(1_000_000), stream_peak_kib(10_000_000)
    assert ten - one < STREAM_GROWTH_KIB and ten < 400 * 1024, (one, ten)
