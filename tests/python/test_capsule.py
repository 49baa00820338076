"""Arrow C streams by hand: producers that fail, consumers that stop, hold Python's lock, or outlive the capsule."""

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
    """`struct ArrowArrayStream` of the Arrow C stream interface, with its callbacks as plain pointers."""

    _fields_ = [(name, Pointer) for name in ("get_schema", "get_next", "get_last_error", "release", "private_data")]


class Array(ctypes.Structure):
    """`struct ArrowArray` of the Arrow C data interface."""

    _fields_ = [
        *((name, ctypes.c_int64) for name in ("length", "null_count", "offset", "n_buffers", "n_children")),
        *((name, Pointer) for name in ("buffers", "children", "dictionary", "release", "private_data")),
    ]


class Schema(ctypes.Structure):
    """`struct ArrowSchema` of the Arrow C data interface."""

    _fields_ = [
        *((name, Pointer) for name in ("format", "name", "metadata")),
        *((name, ctypes.c_int64) for name in ("flags", "n_children")),
        *((name, Pointer) for name in ("children", "dictionary", "release", "private_data")),
    ]


FillFunction = ctypes.CFUNCTYPE(ctypes.c_int, Pointer, Pointer)
MessageFunction = ctypes.CFUNCTYPE(Pointer, Pointer)
ReleaseFunction = ctypes.CFUNCTYPE(None, Pointer)


def people(rows: int) -> pa.RecordBatch:
    """Returns `rows` bodies whose buffers belong to NumPy: freeing them takes Python's global lock."""
    columns = {"waist": np.linspace(70, 80, rows), "hip": np.linspace(98, 108, rows)}
    return pa.RecordBatch.from_pydict({**columns, "hip_depth": np.full(rows, 20.0), "length": np.full(rows, 60.0)})


class Producer:
    """Arrow stream in a capsule that counts its releases and may fail on purpose.

    A step is a batch or an error code. C holds no Python reference, so `instances` keeps every producer alive.
    """

    instances: "list[Producer]" = []

    def __init__(self, steps: list[Any], schema: Any = None, message: bytes | None = b"no more thread") -> None:
        self.steps, self.schema = iter(steps), people(1).schema if schema is None else schema
        self.message, self.released, self.name, self.stream = message, 0, STREAM, Stream()
        self.instances.append(self)
        self.callbacks = (FillFunction(self.get_schema), FillFunction(self.get_next),
                          MessageFunction(self.get_last_error), ReleaseFunction(self.release))
        for field, callback in zip(("get_schema", "get_next", "get_last_error", "release"), self.callbacks, strict=True):
            setattr(self.stream, field, ctypes.cast(callback, Pointer))

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
def test_a_stream_is_consumed_and_released_once(batches: int) -> None:
    producer = Producer([people(7) for _ in range(batches)])
    drafts = kirtle.draft_table(producer, ease=EASE)
    assert (len(drafts), drafts.refused) == (7 * batches, 0)
    assert producer.released == 1 and producer.stream.release is None
    with pytest.raises(ValueError, match="source: .*already released"):
        kirtle.draft_table(producer, ease=EASE)
    assert producer.released == 1


def set_null(field: str) -> Callable[[Producer], None]:
    """Returns a function that sets a callback of the producer's stream to NULL."""
    return lambda producer: setattr(producer.stream, field, None)


def rename_capsule(producer: Producer) -> None:
    """Gives the capsule the name of an array where a stream is expected."""
    producer.name = b"arrow_array"


@pytest.mark.parametrize(
    ("schema", "damage", "message", "released"),
    [
        (5, None, "source: .*Error code: 5.*no more thread", 1),
        (None, set_null("get_schema"), "source: .*get_schema", 1),
        (None, set_null("get_next"), "source: .*cannot be read", 1),
        (None, set_null("release"), "source: .*already released", 0),
        (None, rename_capsule, "source: .*returned PyCapsule, not an Arrow stream", 0),
        (pa.float64(), None, "source: .*not a table with columns", 1),
    ],
)
def test_a_malformed_stream_is_refused(
    schema: Any, damage: Callable[[Producer], None] | None, message: str, released: int
) -> None:
    producer = Producer([people(3)], schema)
    if damage:
        damage(producer)
    with pytest.raises((ValueError, TypeError), match=message):
        kirtle.draft_table(producer, ease=EASE)
    assert producer.released == released


def test_a_source_that_offers_no_capsule_is_refused() -> None:
    class Source:
        __arrow_c_stream__ = staticmethod(lambda: 7)

    for source in (Source(), Producer):
        with pytest.raises(TypeError):
            kirtle.draft_table(source, ease=EASE)


@pytest.mark.parametrize("message", [b"no more thread", b"", "Größe \x00".encode(), b"\xff\xfe", None])
@pytest.mark.parametrize("before", [0, 1, 12])
def test_an_error_between_batches_ends_draft_table_and_draft_stream(before: int, message: bytes | None) -> None:
    steps = [*[people(9000)] * before, 22, people(9000)]
    producers = Producer(steps, message=message), Producer(steps, message=message)
    with pytest.raises(RuntimeError, match="Error code: 22"):
        kirtle.draft_table(producers[0], ease=EASE)
    reader = pa.RecordBatchReader.from_stream(kirtle.draft_stream(producers[1], ease=EASE))
    with pytest.raises(pa.ArrowException, match="Error code: 22"):
        reader.read_all()
    # The release callback runs Python code, which would fail if a Python exception were pending.
    del reader
    gc.collect()
    assert [producer.released for producer in producers] == [1, 1]


def test_null_rows_are_refused_and_sliced_rows_are_drafted() -> None:
    columns, names = people(3).columns, people(3).schema.names
    masked = pa.StructArray.from_arrays(columns, names, mask=pa.array([False, True, False]))
    with pytest.raises(RuntimeError, match="1 rows are null"):
        kirtle.draft_table(pa.chunked_array([masked]), ease=EASE)
    slice_ = pa.StructArray.from_arrays(columns, names)[1:]
    found, expected = (kirtle.draft_table(rows, ease=EASE) for rows in (pa.chunked_array([slice_]), people(3)[1:]))
    assert pa.table(found).equals(pa.table(expected))


class Consumer:
    """Reads a stream as C code does; each call into the stream keeps Python's global lock, or releases it."""

    def __init__(self, source: Any, keeps_lock: bool) -> None:
        self.capsule = source.__arrow_c_stream__()
        self.stream = Stream.from_address(pointer_of(self.capsule, STREAM))
        self.prototype = ctypes.PYFUNCTYPE if keeps_lock else ctypes.CFUNCTYPE

    def next(self) -> tuple[int, Array]:
        array = Array()
        get_next = self.prototype(ctypes.c_int, Pointer, Pointer)(self.stream.get_next)
        return get_next(ctypes.addressof(self.stream), ctypes.addressof(array)), array

    def release(self, struct: Any) -> None:
        self.prototype(None, Pointer)(struct.release)(ctypes.addressof(struct))
        assert struct.release is None

    def batches(self) -> Iterator[Array]:
        while True:
            code, array = self.next()
            assert code == 0
            if array.release is None:
                return
            yield array

    def error(self) -> bytes | None:
        text = self.prototype(ctypes.c_char_p, Pointer)(self.stream.get_last_error)(ctypes.addressof(self.stream))
        return bytes(text) if text is not None else None


def draft_stream(batches: int, **options: Any) -> kirtle.DraftStream:
    """Returns the drafts of `batches` batches with 7,000 bodies each."""
    source = pa.RecordBatchReader.from_batches(people(1).schema, (people(7000) for _ in range(batches)))
    return kirtle.draft_stream(source, ease=EASE, **options)


@pytest.mark.parametrize("keeps_lock", [True, False])
def test_a_consumer_may_keep_or_release_the_python_lock(keeps_lock: bool) -> None:
    consumer, rows = Consumer(draft_stream(30), keeps_lock), 0
    for array in consumer.batches():
        rows += array.length
        consumer.release(array)
    assert rows == 210_000 and consumer.error() is None
    assert consumer.next()[1].release is None


@pytest.mark.parametrize("batches", [0, 1, 2])
@pytest.mark.parametrize("from_table", [True, False])
def test_a_consumer_may_stop_early_and_release_in_any_order(batches: int, from_table: bool) -> None:
    for order in ("stream first", "arrays first", "capsule only"):
        source: Any = kirtle.draft_table(people(140_000), ease=EASE) if from_table else draft_stream(20)
        consumer = Consumer(source, keeps_lock=False)
        arrays = [consumer.next()[1] for _ in range(batches)]
        del source
        if order == "stream first":
            consumer.release(consumer.stream)
        if order != "arrays first":
            consumer.capsule = None
            gc.collect()
        for array in arrays:
            assert array.length > 0
            consumer.release(array)


def test_a_moved_stream_outlives_its_capsule_and_is_read_in_another_thread() -> None:
    consumer, rows = Consumer(draft_stream(20, progress=lambda _: None), keeps_lock=False), []
    moved = Stream.from_buffer_copy(consumer.stream)
    consumer.stream.release = None
    consumer.capsule, consumer.stream = None, moved
    gc.collect()

    def read() -> None:
        for array in consumer.batches():
            rows.append(array.length)
            consumer.release(array)
        consumer.release(moved)

    thread = threading.Thread(target=read)
    thread.start()
    thread.join()
    assert sum(rows) == 140_000


def test_eight_threads_share_a_table_and_only_one_reads_a_stream() -> None:
    table, stream, start = kirtle.draft_table(people(2000), ease=EASE), draft_stream(3), threading.Barrier(8)
    expected, tables, refused = pa.table(table), [], []

    def take() -> None:
        start.wait()
        for _ in range(20):
            private_table = kirtle.draft_table(people(2000), ease=EASE, threads=2)
            tables.extend([pa.table(table), pa.table(private_table)])
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
    assert refused == ["this stream of drafts can be read only once; call draft_stream again"] * 7


def test_get_schema_can_be_called_repeatedly() -> None:
    consumer = Consumer(draft_stream(1), keeps_lock=True)
    for _ in range(3):
        schema = Schema()
        get_schema = FillFunction(consumer.stream.get_schema)
        assert get_schema(ctypes.addressof(consumer.stream), ctypes.addressof(schema)) == 0
        assert schema.n_children > 30
        consumer.release(schema)


@pytest.mark.parametrize("text", ["a\0b", "", "Größe", "\ud800"])
def test_an_error_of_the_progress_callback_reaches_the_consumer(text: str) -> None:
    def progress(rows: int) -> None:
        raise ValueError(text)

    consumer = Consumer(draft_stream(1, progress=progress), keeps_lock=False)
    code, array = consumer.next()
    assert code != 0 and array.release is None
    message = consumer.error()
    assert message is not None and b"ValueError" in message
    assert consumer.next()[0] == 0


def test_a_batch_that_differs_from_its_schema_is_an_error_and_no_crash(capfd: pytest.CaptureFixture[str]) -> None:
    narrow = people(3).select(["waist", "hip", "hip_depth"])
    consumer = Consumer(kirtle.draft_stream(Producer([narrow]), ease=EASE), keeps_lock=False)
    assert consumer.next()[0] != 0
    message = consumer.error()
    assert message is not None and message.endswith(b"a batch does not match the schema of the stream")
    assert "panicked" in capfd.readouterr().err
