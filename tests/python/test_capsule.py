"""Arrow's C streams, made and taken by hand: producers that fail or break off, consumers that stop, hold Python's lock,
or outlive the capsule. `DEVELOPERS.md` says how these run under AddressSanitizer."""

import ctypes
import gc
import threading
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pyarrow as pa
import pytest

import kirtle

EASE = kirtle.Ease(waist=1.5, hip=5)
STREAM = b"arrow_array_stream"
Pointer = ctypes.c_void_p

new_capsule = ctypes.pythonapi.PyCapsule_New
new_capsule.restype, new_capsule.argtypes = ctypes.py_object, [Pointer, ctypes.c_char_p, Pointer]
pointer_of = ctypes.pythonapi.PyCapsule_GetPointer
pointer_of.restype, pointer_of.argtypes = Pointer, [ctypes.py_object, ctypes.c_char_p]


class Stream(ctypes.Structure):
    _fields_ = [(name, Pointer) for name in ("get_schema", "get_next", "get_last_error", "release", "private_data")]


class Array(ctypes.Structure):
    _fields_ = [
        *((name, ctypes.c_int64) for name in ("length", "null_count", "offset", "n_buffers", "n_children")),
        *((name, Pointer) for name in ("buffers", "children", "dictionary", "release", "private_data")),
    ]


class Schema(ctypes.Structure):
    _fields_ = [
        *((name, Pointer) for name in ("format", "name", "metadata")),
        *((name, ctypes.c_int64) for name in ("flags", "n_children")),
        *((name, Pointer) for name in ("children", "dictionary", "release", "private_data")),
    ]


FILL = ctypes.CFUNCTYPE(ctypes.c_int, Pointer, Pointer)
TELL = ctypes.CFUNCTYPE(Pointer, Pointer)
FREE = ctypes.CFUNCTYPE(None, Pointer)


def people(rows: int) -> pa.RecordBatch:
    """Bodies in memory of NumPy, which is given back with Python's lock held."""
    columns = {"waist": np.linspace(70, 80, rows), "hip": np.linspace(98, 108, rows)}
    return pa.RecordBatch.from_pydict({**columns, "hip_depth": np.full(rows, 20.0), "length": np.full(rows, 60.0)})


class Producer:
    """A stream in a capsule, which counts how often it is released. C calls it without holding it, so that all are kept."""

    kept: "list[Producer]" = []

    def __init__(self, steps: list[Any], schema: Any = None, message: bytes | None = b"no more thread") -> None:
        self.steps, self.schema = iter(steps), people(1).schema if schema is None else schema
        self.message, self.released, self.name, self.stream = message, 0, STREAM, Stream()
        self.kept.append(self)
        self.calls = (FILL(self.get_schema), FILL(self.get_next), TELL(self.get_last_error), FREE(self.release))
        for field, call in zip(("get_schema", "get_next", "get_last_error", "release"), self.calls, strict=True):
            setattr(self.stream, field, ctypes.cast(call, Pointer))

    def get_schema(self, _: int, out: int) -> int:
        if isinstance(self.schema, int):
            return self.schema
        (self.schema if isinstance(self.schema, pa.Schema) else pa.field("", self.schema))._export_to_c(out)
        return 0

    def get_next(self, _: int, out: int) -> int:
        step = next(self.steps, None)
        if isinstance(step, int):
            return step
        if step is None:
            ctypes.memset(out, 0, ctypes.sizeof(Array))
        else:
            step._export_to_c(out)
        return 0

    def get_last_error(self, _: int) -> int | None:
        self.buffer = ctypes.create_string_buffer(self.message) if self.message is not None else None
        return ctypes.addressof(self.buffer) if self.buffer is not None else None

    def release(self, stream: int) -> None:
        self.released += 1
        Stream.from_address(stream).release = None

    def __arrow_c_stream__(self, requested_schema: object = None) -> object:
        return new_capsule(ctypes.addressof(self.stream), self.name, None)


@pytest.mark.parametrize("batches", [0, 1, 40])
def test_a_stream_is_moved_out_and_released_once(batches: int) -> None:
    producer = Producer([people(7) for _ in range(batches)])
    drafts = kirtle.draft_table(producer, ease=EASE)
    assert (len(drafts), drafts.refused) == (7 * batches, 0)
    assert producer.released == 1 and producer.stream.release is None
    with pytest.raises(ValueError, match="source: .*already released"):
        kirtle.draft_table(producer, ease=EASE)
    assert producer.released == 1


def without(field: str) -> Callable[[Producer], None]:
    return lambda producer: setattr(producer.stream, field, None)


def misnamed(producer: Producer) -> None:
    producer.name = b"arrow_array"


@pytest.mark.parametrize(
    ("schema", "spoil", "text", "released"),
    [
        (5, None, "source: .*Error code: 5.*no more thread", 1),
        (None, without("get_schema"), "source: .*get_schema", 1),
        (None, without("get_next"), "source: .*cannot be read", 1),
        (None, without("release"), "source: .*already released", 0),
        (None, misnamed, "source: .*gave PyCapsule, and no Arrow stream", 0),
        (pa.float64(), None, "source: .*no columns", 1),
    ],
)
def test_what_is_no_stream_is_refused(
    schema: Any, spoil: Callable[[Producer], None] | None, text: str, released: int
) -> None:
    producer = Producer([people(3)], schema)
    if spoil:
        spoil(producer)
    with pytest.raises((ValueError, TypeError), match=text):
        kirtle.draft_table(producer, ease=EASE)
    assert producer.released == released


def test_what_is_no_capsule_is_refused() -> None:
    class Offer:
        __arrow_c_stream__ = staticmethod(lambda: 7)

    for source in (Offer(), Producer):
        with pytest.raises(TypeError):
            kirtle.draft_table(source, ease=EASE)


@pytest.mark.parametrize("message", [b"no more thread", b"", "Größe \x00".encode(), b"\xff\xfe", None])
@pytest.mark.parametrize("before", [0, 1, 12])
def test_an_error_in_the_midst_ends_both_ways_of_reading(before: int, message: bytes | None) -> None:
    steps = [*[people(9000)] * before, 22, people(9000)]
    producers = Producer(steps, message=message), Producer(steps, message=message)
    with pytest.raises(RuntimeError, match="Error code: 22"):
        kirtle.draft_table(producers[0], ease=EASE)
    reader = pa.RecordBatchReader.from_stream(kirtle.draft_stream(producers[1], ease=EASE))
    with pytest.raises(pa.ArrowException, match="Error code: 22"):
        reader.read_all()
    # Python calls back into the producer to release it, for which no error may be on its way.
    del reader
    gc.collect()
    assert [producer.released for producer in producers] == [1, 1]


def test_rows_that_are_null_themselves_are_not_drafted() -> None:
    columns, names = people(3).columns, people(3).schema.names
    masked = pa.StructArray.from_arrays(columns, names, mask=pa.array([False, True, False]))
    with pytest.raises(RuntimeError, match="1 rows are null themselves"):
        kirtle.draft_table(pa.chunked_array([masked]), ease=EASE)
    part = pa.StructArray.from_arrays(columns, names)[1:]
    found, expected = (kirtle.draft_table(rows, ease=EASE) for rows in (pa.chunked_array([part]), people(3)[1:]))
    assert pa.table(found).equals(pa.table(expected))


class Consumer:
    """Takes a stream as C does, with Python's lock held all the while or released in each call."""

    def __init__(self, source: Any, locked: bool) -> None:
        self.capsule = source.__arrow_c_stream__()
        self.stream = Stream.from_address(pointer_of(self.capsule, STREAM))
        self.kind = ctypes.PYFUNCTYPE if locked else ctypes.CFUNCTYPE

    def next(self) -> tuple[int, Array]:
        array = Array()
        fill = self.kind(ctypes.c_int, Pointer, Pointer)(self.stream.get_next)
        return fill(ctypes.addressof(self.stream), ctypes.addressof(array)), array

    def free(self, held: Any) -> None:
        self.kind(None, Pointer)(held.release)(ctypes.addressof(held))
        assert held.release is None

    def batches(self) -> Iterator[Array]:
        while True:
            code, array = self.next()
            assert code == 0
            if array.release is None:
                return
            yield array

    def error(self) -> bytes | None:
        text = self.kind(ctypes.c_char_p, Pointer)(self.stream.get_last_error)(ctypes.addressof(self.stream))
        return bytes(text) if text is not None else None


def stream_of(batches: int, **options: Any) -> kirtle.DraftStream:
    source = pa.RecordBatchReader.from_batches(people(1).schema, (people(7000) for _ in range(batches)))
    return kirtle.draft_stream(source, ease=EASE, **options)


@pytest.mark.parametrize("locked", [True, False])
def test_a_consumer_may_hold_the_lock(locked: bool) -> None:
    consumer, rows = Consumer(stream_of(30), locked), 0
    for array in consumer.batches():
        rows += array.length
        consumer.free(array)
    assert rows == 210_000 and consumer.error() is None
    assert consumer.next()[1].release is None


@pytest.mark.parametrize("read", [0, 1, 2])
@pytest.mark.parametrize("table", [True, False])
def test_a_consumer_may_stop_and_free_in_any_order(read: int, table: bool) -> None:
    for order in ("stream first", "arrays first", "capsule only"):
        source: Any = kirtle.draft_table(people(140_000), ease=EASE) if table else stream_of(20)
        consumer = Consumer(source, locked=False)
        arrays = [consumer.next()[1] for _ in range(read)]
        del source
        if order == "stream first":
            consumer.free(consumer.stream)
        if order != "arrays first":
            consumer.capsule = None
            gc.collect()
        for array in arrays:
            assert array.length > 0
            consumer.free(array)


def test_a_moved_stream_outlives_its_capsule_and_ends_in_another_thread() -> None:
    consumer, rows = Consumer(stream_of(20, progress=lambda _: None), locked=False), []
    moved = Stream.from_buffer_copy(consumer.stream)
    consumer.stream.release = None
    consumer.capsule, consumer.stream = None, moved
    gc.collect()

    def read() -> None:
        for array in consumer.batches():
            rows.append(array.length)
            consumer.free(array)
        consumer.free(moved)

    thread = threading.Thread(target=read)
    thread.start()
    thread.join()
    assert sum(rows) == 140_000


def test_many_threads_share_a_table_and_one_gets_the_stream() -> None:
    table, stream, start = kirtle.draft_table(people(2000), ease=EASE), stream_of(3), threading.Barrier(8)
    expected, tables, refused = pa.table(table), [], []

    def take() -> None:
        start.wait()
        for _ in range(20):
            own = kirtle.draft_table(people(2000), ease=EASE, threads=2)
            tables.extend([pa.table(table), pa.table(own)])
        try:
            tables.append(pa.table(stream)[: expected.num_rows])
        except ValueError as error:
            refused.append(str(error))

    threads = [threading.Thread(target=take) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(tables) == 321 and sum(found.equals(expected) for found in tables) == 320
    assert refused == ["this stream of drafts is already being read"] * 7


def test_a_schema_is_given_as_often_as_it_is_asked_for() -> None:
    consumer = Consumer(stream_of(1), locked=True)
    for _ in range(3):
        schema = Schema()
        fill = FILL(consumer.stream.get_schema)
        assert fill(ctypes.addressof(consumer.stream), ctypes.addressof(schema)) == 0
        assert schema.n_children > 30
        consumer.free(schema)


@pytest.mark.parametrize("text", ["a\0b", "", "Größe", "\ud800"])
def test_any_error_of_progress_is_told(text: str) -> None:
    def progress(rows: int) -> None:
        raise ValueError(text)

    consumer = Consumer(stream_of(1, progress=progress), locked=False)
    code, array = consumer.next()
    assert code != 0 and array.release is None
    told = consumer.error()
    assert told is not None and b"ValueError" in told
    assert consumer.next()[0] == 0


def test_a_producer_that_lies_ends_no_process(capfd: pytest.CaptureFixture[str]) -> None:
    narrow = people(3).select(["waist", "hip", "hip_depth"])
    consumer = Consumer(kirtle.draft_stream(Producer([narrow]), ease=EASE), locked=False)
    assert consumer.next()[0] != 0
    told = consumer.error()
    assert told is not None and told.endswith(b"a batch is not what the stream says it holds")
    assert "panicked" in capfd.readouterr().err
