"""Arrow streams under abuse: producers that lie or fail, readers that come twice, at once, or after a fork."""

import gc
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
import pyarrow as pa
import pyarrow.dataset as ds
import pyarrow.parquet as pq
import pytest
from test_table import BLOCK, EASE, people

import kirtle

TIMEOUT = 20
"""Seconds after which a thread or a process counts as hanging."""


class Source:
    """Source of an Arrow stream that returns `result` as its capsule, or raises `result` if that is an exception."""

    def __init__(self, result: object) -> None:
        self.result = result

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        if isinstance(self.result, BaseException):
            raise self.result
        return self.result


def schema_capsule() -> Any:
    return people(1).schema.__arrow_c_schema__()


def array_capsule() -> Any:
    return people(1)["waist"].chunk(0).__arrow_c_array__()[1]


def number_stream_capsule() -> Any:
    """Returns a stream of numbers without columns."""
    return people(1)["waist"].__arrow_c_stream__()


@pytest.mark.parametrize(("make_result", "error_type", "message"), [
    (lambda: None, TypeError, "source: __arrow_c_stream__ returned NoneType, not an Arrow stream"),
    (lambda: 7, TypeError, "source: __arrow_c_stream__ returned int, not an Arrow stream"),
    (schema_capsule, TypeError, "source: __arrow_c_stream__ returned PyCapsule, not an Arrow stream"),
    (array_capsule, TypeError, "source: __arrow_c_stream__ returned PyCapsule, not an Arrow stream"),
    (number_stream_capsule, ValueError, "^source: .*the input stream is not a table with columns"),
    (lambda: ZeroDivisionError("mine"), ZeroDivisionError, "^mine$"),
    (lambda: KeyboardInterrupt("mine"), KeyboardInterrupt, "^mine$"),
])
def test_a_source_that_offers_no_table_is_refused(
    make_result: Callable[[], object], error_type: type[BaseException], message: str
) -> None:
    for call in (lambda: kirtle.draft_table(Source(make_result()), ease=EASE),
                 lambda: kirtle.draft_stream(Source(make_result()), ease=EASE),
                 lambda: kirtle.fit_chart(kirtle.SizeChart.demo(), Source(make_result()), ease=EASE, tolerance=1),
                 lambda: kirtle.best_sizes(Source(make_result()), 2, girth="hip")):
        with pytest.raises(error_type, match=message):
            call()


def test_datasets_and_iterables_of_record_batches_are_read(tmp_path: Path) -> None:
    path = tmp_path / "people.parquet"
    pq.write_table(people(1000), path)
    expected = pa.table(kirtle.draft_table(people(1000), ease=EASE))
    dataset, batches = ds.dataset(path), people(1000).to_batches(300)
    for source in (dataset, dataset.scanner(batch_size=7), pq.ParquetFile(path).iter_batches(70), batches):
        assert pa.table(kirtle.draft_stream(source, ease=EASE)).equals(expected), type(source)
    assert kirtle.fit_chart(kirtle.SizeChart.demo(), dataset, ease=EASE, tolerance=1).count == 1000
    # Batches of other types are converted to the schema of the first; of other columns they are refused.
    double = people(2).to_batches()[0].select(["waist", "hip", "hip_depth", "length"])
    whole = pa.record_batch([column.cast(pa.int8(), safe=False) for column in double.columns], double.schema.names)
    assert pa.table(kirtle.draft_table([double, whole], ease=EASE))["suppression_total"].null_count == 0
    with pytest.raises(RuntimeError, match="Target schema's field names are not matching"):
        kirtle.draft_table([double, double.select([1, 0, 2, 3])], ease=EASE)
    nothing: object
    for nothing in ([], {}, 7, dict.fromkeys(["waist"])):
        with pytest.raises(TypeError, match="offers no Arrow stream; give a table of .*, a dataset or record batches of pyarrow$"):
            kirtle.draft_stream(nothing, ease=EASE)


def test_an_object_without_a_stream_is_refused_with_what_to_give_instead(tmp_path: Path) -> None:
    path = tmp_path / "people.parquet"
    pq.write_table(people(3), path)
    sources = {"LazyFrame .* give the table that .collect": pl.LazyFrame(), "ParquetFile .* that .iter_batches": pq.ParquetFile(path)}
    for remedy, source in {**sources, "str .* give pyarrow.dataset.dataset": str(path), "PosixPath .* give pyarrow.dataset": path}.items():
        with pytest.raises(TypeError, match=remedy):
            kirtle.draft_table(source, ease=EASE)


def test_columns_of_polars_without_a_type_are_missing_in_every_row() -> None:
    table = pl.DataFrame(people(3))
    empty, expected = table.with_columns(note=None), pa.table(kirtle.draft_table(table, ease=EASE))
    assert pa.table(kirtle.draft_table(empty, ease=EASE)).equals(expected)
    assert pa.table(kirtle.draft_stream(empty, ease=EASE, keep="note"))["note"].null_count == 3
    assert kirtle.draft_table(empty, ease=EASE, columns={"hip": "note"}).refused == 3
    fit = kirtle.fit_chart(kirtle.SizeChart.demo(), empty, ease=EASE, tolerance=2, by="note")
    assert (fit.count, [group.group for group in fit.groups]) == (3, [None])
    assert kirtle.best_chart(empty, 1).measured == 3


def test_a_capsule_can_be_read_once() -> None:
    capsule = people(3).__arrow_c_stream__()
    assert len(kirtle.draft_table(Source(capsule), ease=EASE)) == 3
    with pytest.raises(ValueError, match="already released"):
        kirtle.draft_table(Source(capsule), ease=EASE)


COLUMNS = {
    "text": pa.array(["72"] * 4), "view": pa.array(["72"] * 4, pa.string_view()),
    "dictionary": pa.array([72.0] * 4).dictionary_encode(),
    "list": pa.array([[72.0]] * 4), "time": pa.array([72] * 4, pa.timestamp("us")), "truth": pa.array([True] * 4),
    "struct": pa.array([{"waist": 72.0}] * 4), "runs": pa.RunEndEncodedArray.from_arrays([4], [72.0]),
    "identifier": pa.array([b"0" * 16] * 4, pa.uuid()), "duration": pa.array([72] * 4, pa.duration("s")),
}


@pytest.mark.parametrize("name", COLUMNS)
def test_a_column_without_numbers_is_refused_by_name_and_type(name: str) -> None:
    table = people(4).set_column(0, "waist", COLUMNS[name])
    with pytest.raises(kirtle.InputError, match='^body.waist: column "waist" of .* is not a column of numbers(: convert it by .*)?$'):
        kirtle.draft_table(table, ease=EASE)
    with pytest.raises(kirtle.InputError, match='^people.waist: column "waist" of .* is not a column of numbers(: convert it by .*)?$'):
        kirtle.fit_chart(kirtle.SizeChart.demo(), table, ease=EASE, tolerance=1)


@pytest.mark.parametrize("kind", [np.float16, np.float32, np.float64, np.int8, np.uint8, np.int16, np.uint32, np.int64, np.uint64])
def test_slices_with_nulls_are_read_for_every_number_type(kind: type[Any]) -> None:
    """Slice offsets are no multiples of 8: the null bitmap has one bit for each row."""
    values = np.arange(64, 96, dtype=kind)
    nulls = np.arange(32) % 5 == 3
    waist = pa.array(values, mask=nulls)
    bodies = pa.table({"waist": waist, "hip": values.astype(float) + 24, "hip_depth": [20.0] * 32, "length": [60.0] * 32})
    expected = pa.table(kirtle.draft_table(bodies, ease=EASE))
    assert expected["error_codes"].to_pylist() == [["missing"] if null else None for null in nulls]
    for start, rows in ((0, 3), (3, 13), (9, 23), (31, 1), (32, 0)):
        found = pa.table(kirtle.draft_table(bodies.slice(start, rows), ease=EASE))
        assert found.equals(expected.slice(start, rows)), (start, rows)


def failing_reader(error: BaseException) -> pa.RecordBatchReader:
    """Returns a reader that yields one batch and then raises the error."""
    batch = people(10).to_batches()[0]

    def batches() -> Iterator[pa.RecordBatch]:
        yield batch
        raise error

    return pa.RecordBatchReader.from_batches(batch.schema, batches())


@pytest.mark.parametrize("error", [OSError("gone"), ValueError("a\0b"), KeyError("ключ"), MemoryError(), RecursionError("deep")])
def test_an_exception_in_the_source_is_an_error_and_no_end_of_data(error: BaseException) -> None:
    with pytest.raises(RuntimeError, match="Cannot get next array"):
        kirtle.draft_table(failing_reader(error), ease=EASE)
    with pytest.raises((pa.ArrowException, OSError)):
        pa.table(kirtle.draft_stream(failing_reader(error), ease=EASE))


def reader_with_wrong_batch() -> pa.RecordBatchReader:
    """Returns a reader whose second batch has one column where the schema has four; pyarrow does not check."""
    batch = people(4).to_batches()[0]
    return pa.RecordBatchReader.from_batches(batch.schema, iter([batch, batch.select(["waist"])]))


def test_a_batch_that_differs_from_the_schema_is_an_error_and_no_crash() -> None:
    with pytest.raises(RuntimeError, match="a batch does not match the schema of the stream"):
        kirtle.draft_table(reader_with_wrong_batch(), ease=EASE)
    with pytest.raises(pa.ArrowInvalid, match="a batch does not match the schema of the stream"):
        pa.table(kirtle.draft_stream(reader_with_wrong_batch(), ease=EASE))


def test_an_error_message_with_a_zero_byte_passes_through_c() -> None:
    def fail(rows: int) -> None:
        raise ValueError(f"at {rows}\0 rows")

    stream = kirtle.draft_stream(people(10), ease=EASE, progress=fail)
    with pytest.raises(pa.ArrowInvalid, match="ValueError: at 10\ufffd rows"):
        pa.table(stream)


def test_a_callback_may_draft_but_not_read_the_same_stream() -> None:
    inner_rows: list[int] = []
    drafts = kirtle.draft_table(
        people(10), ease=EASE, progress=lambda rows: inner_rows.append(len(kirtle.draft_table(people(rows), ease=EASE))),
    )
    assert len(drafts) == 10 and inner_rows == [10]
    readers: list[pa.RecordBatchReader] = []
    stream = kirtle.draft_stream(people(BLOCK + 1), ease=EASE, progress=lambda rows: readers[0].read_next_batch())
    readers.append(pa.RecordBatchReader.from_stream(stream))
    with pytest.raises(pa.ArrowInvalid, match="a callback of a stream cannot read this stream"):
        readers[0].read_all()


def run_in_threads(count: int, work: Callable[[int], object]) -> list[BaseException]:
    """Runs work(0) to work(count − 1) in threads that start together; returns the exceptions raised."""
    errors: list[BaseException] = []
    start = threading.Barrier(count)

    def run(k: int) -> None:
        start.wait()
        try:
            work(k)
        except BaseException as error:
            errors.append(error)

    threads = [threading.Thread(target=run, args=(k,)) for k in range(count)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(TIMEOUT)
    assert not any(thread.is_alive() for thread in threads), "deadlock: a thread does not end"
    return errors


def test_four_readers_of_one_stream_share_its_rows() -> None:
    source = people(8 * BLOCK)
    reported_rows: list[int] = []
    reader = pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE, threads=2, progress=reported_rows.append))
    batches: list[pa.RecordBatch] = []

    def read(_: int) -> None:
        while True:
            try:
                batches.append(reader.read_next_batch())
            except StopIteration:
                return

    assert run_in_threads(4, read) == []
    assert sum(reported_rows) == sum(batch.num_rows for batch in batches) == source.num_rows
    expected = pa.table(kirtle.draft_table(source, ease=EASE))
    found = pa.Table.from_batches(batches)
    total = "suppression_total"
    assert np.array_equal(np.sort(found[total].to_numpy()), np.sort(expected[total].to_numpy()), equal_nan=True)


def test_each_thread_gets_the_error_of_its_own_callback() -> None:
    source = people(100)

    def work(k: int) -> None:
        def fail(rows: int) -> None:
            raise ZeroDivisionError(k)

        for _ in range(10):
            with pytest.raises(ZeroDivisionError, match=str(k)):
                kirtle.draft_table(source, ease=EASE, progress=fail)

    assert run_in_threads(6, work) == []


def test_threads_share_drafts_patterns_and_charts(draft: kirtle.Draft) -> None:
    nest = kirtle.SizeChart.demo().draft(ease=EASE).nest()
    pattern = draft.pattern()
    expected = (draft.to_json(), pattern.pdf(), nest.svg(), hash(draft), draft.sensitivity(["ease.hip"]).matrix)

    def work(_: int) -> None:
        for _ in range(5):
            assert expected == (
                draft.to_json(), pattern.pdf(), nest.svg(), hash(draft), draft.sensitivity(["ease.hip"]).matrix,
            )

    assert run_in_threads(4, work) == []


def run_in_fork(work: Callable[[], bool]) -> int:
    """Runs the work in a forked process; returns 0 if the work returns true, fails if the process hangs."""
    child = os.fork()
    if child == 0:
        status = 2
        try:
            status = 0 if work() else 1
        finally:
            os._exit(status)
    end = time.monotonic() + TIMEOUT
    while time.monotonic() < end:
        ended, status = os.waitpid(child, os.WNOHANG)
        if ended:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.01)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    pytest.fail("the forked process hangs")


@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")
def test_a_forked_process_drafts_and_continues_a_stream() -> None:
    source = people(3 * BLOCK)
    whole = kirtle.draft_table(source, ease=EASE, threads=2)
    rows = source.num_rows
    assert run_in_fork(lambda: len(kirtle.draft_table(source, ease=EASE, threads=2)) == rows) == 0
    stream = kirtle.draft_stream(source, ease=EASE, threads=2)
    # The worker threads of the stream exist in the parent process only.
    assert run_in_fork(lambda: pa.table(stream).equals(pa.table(whole))) == 0
    begun = pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE, threads=2))
    first = begun.read_next_batch().num_rows
    assert run_in_fork(lambda: begun.read_all().num_rows == rows - first) == 0
    assert begun.read_all().num_rows == rows - first


@pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning")
def test_forking_while_a_thread_drafts_does_not_deadlock() -> None:
    source, small = people(2 * BLOCK), people(1000)
    stop = threading.Event()

    def work() -> None:
        while not stop.is_set():
            kirtle.draft_table(source, ease=EASE, threads=3)

    thread = threading.Thread(target=work)
    thread.start()
    try:
        for _ in range(5):
            assert run_in_fork(lambda: len(kirtle.draft_table(small, ease=EASE, threads=2)) == 1000) == 0
    finally:
        stop.set()
        thread.join()


@pytest.mark.parametrize(("threads", "message"), [
    (0, "threads: 0 is below the minimum of 1"), (-1, "threads: -1 is below the minimum of 1"),
    (1025, "threads: 1025 is above the maximum of 1024"), (10**400, "^threads: 1000.* is not a whole number from 1 to 1024"),
    (1.5, "threads: 1.5 is not a whole number from 1 to 1024"), (True, "threads: true is not a whole number"),
    ("2", 'threads: "2" is not a whole number'), (float("nan"), "threads: NaN is not a whole number"),
])
def test_an_invalid_number_of_threads_is_refused(threads: Any, message: str) -> None:
    for draft in (kirtle.draft_table, kirtle.draft_stream):
        with pytest.raises(kirtle.InputError, match=message):
            draft(people(1), ease=EASE, threads=threads)


def test_partly_read_streams_free_their_memory_and_callbacks() -> None:
    """Capsules, readers and callbacks form no reference cycle."""
    def progress(rows: int) -> None:
        pass

    source = people(4 * BLOCK)
    before = sys.getrefcount(progress), pa.total_allocated_bytes()
    for _ in range(3):
        stream = kirtle.draft_stream(source, ease=EASE, progress=progress)
        capsule = stream.__arrow_c_stream__()
        del stream, capsule
        reader = pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE, progress=progress))
        reader.read_next_batch()
        del reader
        kirtle.draft_table(source, ease=EASE, progress=progress).__arrow_c_schema__()
    gc.collect()
    assert (sys.getrefcount(progress), pa.total_allocated_bytes()) == before


def test_the_interpreter_exits_cleanly_with_an_open_stream() -> None:
    code = """
import threading
import pyarrow as pa, kirtle
ease = kirtle.Ease(waist=1.5, hip=5)
bodies = kirtle.simulate(200_000)
reader = pa.RecordBatchReader.from_stream(kirtle.draft_stream(bodies, ease=ease, progress=lambda rows: None))
reader.read_next_batch()
threading.Thread(target=kirtle.draft_table, args=(bodies,), kwargs={"ease": ease}, daemon=True).start()
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=TIMEOUT)
    assert (done.returncode, done.stderr) == (0, "")
