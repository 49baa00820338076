"""A million bodies from Python beside the same construction in NumPy, in turn in one run: `uv run python benches/table.py`.

The memory is that of a process of its own for each way, over what its inputs and outputs take.
"""

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import plain
import pyarrow as pa
import vectorised

import kirtle

ROWS = 1_000_000
ROUNDS = 7
SLOW, SLOW_ROUNDS = 3.0, 2  # a way that takes more seconds than that at its best goes through fewer rounds
EASE = kirtle.Ease(waist=1.5, hip=5)
CHUNK = 100_000


def women(rows: int, seed: int = 1) -> pa.Table:
    """Bodies with the means, deviations and correlation of the women of ANSUR II, in centimetres."""
    draws = np.random.default_rng(seed).normal(size=(3, rows))
    return pa.table({
        "waist": 86.09 + 9.99 * draws[0],
        "hip": 102.12 + 7.59 * (0.803 * draws[0] + (1 - 0.803**2) ** 0.5 * draws[1]),
        "hip_depth": 19.22 + 1.90 * draws[2],
        "length": np.full(rows, 60.0),
    })


def seconds(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def speed() -> None:
    """The best of some rounds, one way straight after the other."""
    source = women(ROWS)
    waist, hip, hip_depth, length = (source[name].to_numpy() for name in source.column_names)
    ways: dict[str, Callable[[], object]] = {
        "kirtle, two threads": lambda: kirtle.draft_table(source, ease=EASE, threads=2),
        "kirtle, one thread": lambda: kirtle.draft_table(source, ease=EASE, threads=1),
        "NumPy, in chunks that stay in cache": lambda: vectorised.vectorised(waist, hip, hip_depth, length, 1.5, 5.0),
        "NumPy, whole arrays": lambda: vectorised.vectorised(waist, hip, hip_depth, length, 1.5, 5.0, chunk=None),
        "NumPy, as one would write it first, whole arrays": lambda: plain.plain(
            waist, hip, hip_depth, length, 1.5, 5.0
        ),
    }
    best = dict.fromkeys(ways, float("inf"))
    for turn in range(ROUNDS):
        for name, work in ways.items():
            if turn < SLOW_ROUNDS or best[name] <= SLOW:
                best[name] = min(best[name], seconds(work))
    ours = best["kirtle, two threads"]
    for name, least in best.items():
        print(f"{name}: {least:.3f} s for {ROWS:,} bodies, {least / ours:.1f} times the first")


def peak() -> float:
    """The most memory that this process has held, in MiB; Linux only."""
    [line] = [line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")]
    return int(line.split()[1]) / 1024


def first_table() -> None:
    source = women(ROWS)
    before, start = peak(), time.perf_counter()
    drafts = kirtle.draft_table(source, ease=EASE, threads=2)
    took = time.perf_counter() - start
    taken = pa.table(drafts).nbytes / 2**20
    print(f"the first table of {ROWS:,} in a process: {took:.2f} s", end=", ")
    print(f"{peak() - before:.0f} MiB more at the peak, of which {taken:.0f} MiB are the result")


def memory_of_a_stream() -> None:
    batch = women(CHUNK).to_batches()[0]

    def batches() -> Iterator[pa.RecordBatch]:
        for _ in range(10 * ROWS // CHUNK):
            yield batch

    source = pa.RecordBatchReader.from_batches(batch.schema, batches())
    start, rows = time.perf_counter(), 0
    for drafted in pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE)):
        rows += drafted.num_rows
    took = time.perf_counter() - start
    print(f"a stream of {rows:,}: {took:.2f} s, {peak():.0f} MiB at the peak in all, Python and its libraries included")


if __name__ == "__main__":
    if sys.argv[1:] == ["table"]:
        first_table()
    elif sys.argv[1:] == ["stream"]:
        memory_of_a_stream()
    else:
        speed()
        for way in ("table", "stream"):
            subprocess.run([sys.executable, __file__, way], check=True)
