"""Nothing grows call after call: neither the process, nor what Python counts."""

import contextlib
import gc
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pyarrow as pa
import pytest
from conftest import TESTS, TIMES

import kirtle

EASE = kirtle.Ease(waist=1.5, hip=5)
BODY = kirtle.Body(waist=72, hip=98, hip_depth=20, length=60)
REQUEST = (TESTS / "requests" / "evening-class.json").read_text()
DRAFT = kirtle.draft(BODY, ease=EASE)
PATTERN = DRAFT.pattern()
ROW = pa.table({"waist": [72.0], "hip": [98.0], "hip_depth": [20.0], "length": [60.0]})
REFUSED = REQUEST.replace("74", '"seventy-four"')


def refused(call: Callable[[], object]) -> None:
    with contextlib.suppress(kirtle.InputError):
        call()


def half_read() -> None:
    batch = ROW.to_batches()[0]
    source = pa.RecordBatchReader.from_batches(batch.schema, iter([batch] * 3))
    pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE, threads=1, progress=lambda rows: None)).read_next_batch()


def abandoned() -> None:
    kirtle.draft_stream(ROW, ease=EASE, threads=1).__arrow_c_stream__()


CALLS: dict[str, tuple[int, Callable[[], Any]]] = {
    "draft": (20_000, lambda: kirtle.draft(BODY, ease=EASE)),
    "attributes": (2_000, lambda: (DRAFT.back.edges, DRAFT.proof.checks, DRAFT.findings, DRAFT.lengths, DRAFT.girths)),
    "draft_json": (2_000, lambda: kirtle.draft_json(REQUEST)),
    "to_dict": (1_000, lambda: DRAFT.to_dict()),
    "refused body": (5_000, lambda: refused(lambda: kirtle.Body(waist=7, hip="x", hip_depth=None, length=10**400))),  # type: ignore[arg-type]
    "refused text": (5_000, lambda: refused(lambda: kirtle.draft_json(REFUSED))),
    "refused junk": (5_000, lambda: refused(lambda: DRAFT.pattern(name=object()))),  # type: ignore[arg-type]
    "pattern": (1_000, lambda: DRAFT.pattern(name="Ann").to_json()),
    "svg": (1_000, lambda: DRAFT.svg()),
    "pdf": (200, lambda: PATTERN.pdf()),
    "lay": (200, lambda: PATTERN.lay(140)),
    "sensitivity": (1_000, lambda: DRAFT.sensitivity(["ease.hip"])),
    "seek": (100, lambda: DRAFT.seek("ease.hip", "back.width", 25)),
    "draft_table": (1_000, lambda: kirtle.draft_table(ROW, ease=EASE, threads=1)),
    "draft_table of threads": (200, lambda: kirtle.draft_table(ROW, ease=EASE, threads=2)),
    "half read": (1_000, half_read),
    "abandoned": (2_000, abandoned),
}


KEPT = 2_000_000
"""The bytes that an allocator may keep: a hundred for each of the drafts, two for each of a million."""


def resident() -> int:
    """The bytes that this process has in memory."""
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")


@pytest.mark.parametrize("name", CALLS)
def test_calls_leave_nothing_behind(name: str) -> None:
    """Beyond what an allocator may keep, however often it is called."""
    count, call = CALLS[name][0] * TIMES, CALLS[name][1]
    for _ in range(max(50, count // (4 * TIMES))):
        call()
    grown: list[tuple[int, int]] = []
    # What an allocator sets aside once is no leak; what is lost by every call is lost in each round.
    while len(grown) < 3 and (not grown or grown[-1][0] >= KEPT or grown[-1][1] >= 50):
        gc.collect()
        before, objects = resident(), len(gc.get_objects())
        for _ in range(count):
            call()
        gc.collect()
        grown.append((resident() - before, len(gc.get_objects()) - objects))
    assert min(memory for memory, _ in grown) < KEPT and min(objects for _, objects in grown) < 50, grown
