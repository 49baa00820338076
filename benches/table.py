"""Compares a table of a million drafts with NumPy scripts, timed in turn: `uv run --no-sync python benches/table.py`.

Memory is measured for one table and for one stream, each in a process of its own.
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
SLOW_SECONDS, SLOW_ROUNDS = 3.0, 2  # after two rounds, contenders whose best time exceeds 3 s are timed no more
EASE = kirtle.Ease(waist=1.5, hip=5)
CHUNK = 100_000


def women(rows: int, seed: int = 1) -> pa.Table:
    """Simulates bodies in cm with the means, standard deviations and waist-hip correlation of the women of ANSUR II."""
    draws = np.random.default_rng(seed).normal(size=(3, rows))
    return pa.table({
        "waist": 86.09 + 9.99 * draws[0],
        "hip": 102.12 + 7.59 * (0.803 * draws[0] + (1 - 0.803**2) ** 0.5 * draws[1]),
        "hip_depth": 19.22 + 1.90 * draws[2],
        "length": np.full(rows, 60.0),
    })


def seconds(work: Callable[[], object]) -> float:
    """Returns the time of one call in seconds."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def speed() -> None:
    """Prints the best time of each contender; every round times all contenders one after another."""
    source = women(ROWS)
    waist, hip, hip_depth, length = (source[name].to_numpy() for name in source.column_names)
    contenders: dict[str, Callable[[], object]] = {
        "kirtle, two threads": lambda: kirtle.draft_table(source, ease=EASE, threads=2),
        "kirtle, fit of a chart, all threads": lambda: kirtle.fit_chart(kirtle.SizeChart.demo(), source, ease=EASE, tolerance=2),
        "kirtle, one thread": lambda: kirtle.draft_table(source, ease=EASE, threads=1),
        "NumPy, optimised, in chunks": lambda: vectorised.draft_table(waist, hip, hip_depth, length, 1.5, 5.0),
        "NumPy, optimised, whole arrays": lambda: vectorised.draft_table(waist, hip, hip_depth, length, 1.5, 5.0, chunk=None),
        "NumPy, step by step, whole arrays": lambda: plain.draft_table(
            waist, hip, hip_depth, length, 1.5, 5.0
        ),
    }
    best = dict.fromkeys(contenders, float("inf"))
    for number in range(ROUNDS):
        for name, work in contenders.items():
            if number < SLOW_ROUNDS or best[name] <= SLOW_SECONDS:
                best[name] = min(best[name], seconds(work))
    kirtle_time = best["kirtle, two threads"]
    for name, time_taken in best.items():
        print(f"{name}: {time_taken:.3f} s for {ROWS:,} bodies, {time_taken / kirtle_time:.1f} × kirtle on two threads")


def peak_mib() -> float:
    """Returns the peak resident memory of this process in MiB; Linux only."""
    [line] = [line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM")]
    return int(line.split()[1]) / 1024


def first_table() -> None:
    """Prints time and additional peak memory of the first table that a new process drafts."""
    source = women(ROWS)
    peak_before, start = peak_mib(), time.perf_counter()
    drafts = kirtle.draft_table(source, ease=EASE, threads=2)
    took = time.perf_counter() - start
    result_mib = pa.table(drafts).nbytes / 2**20
    print(f"the first table of {ROWS:,} in a process: {took:.2f} s", end=", ")
    print(f"{peak_mib() - peak_before:.0f} MiB more at the peak, of which {result_mib:.0f} MiB are the result")


def memory_of_a_stream() -> None:
    """Prints time and total peak memory of a stream of ten million bodies."""
    batch = women(CHUNK).to_batches()[0]

    def batches() -> Iterator[pa.RecordBatch]:
        for _ in range(10 * ROWS // CHUNK):
            yield batch

    source = pa.RecordBatchReader.from_batches(batch.schema, batches())
    start, rows = time.perf_counter(), 0
    for drafts in pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE)):
        rows += drafts.num_rows
    took = time.perf_counter() - start
    print(f"a stream of {rows:,}: {took:.2f} s, {peak_mib():.0f} MiB at the peak, Python and its libraries included")


if __name__ == "__main__":
    if sys.argv[1:] == ["table"]:
        first_table()
    elif sys.argv[1:] == ["stream"]:
        memory_of_a_stream()
    else:
        speed()
        for case in ("table", "stream"):
            subprocess.run([sys.executable, __file__, case], check=True)
