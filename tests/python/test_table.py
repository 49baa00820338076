"""Tables of drafts, in and out of pandas, polars, pyarrow and duckdb."""

import gc
import io
import itertools
import os
import signal
import threading
import weakref
from collections.abc import Iterator
from typing import Any

import duckdb
import numpy as np
import pandas as pd
import polars as pl
import pyarrow as pa
import pytest
from tqdm import tqdm

import kirtle

EASE = kirtle.Ease(waist=1.5, hip=5)
BLOCK = 65_536


def people(rows: int, seed: int = 1) -> pa.Table:
    """Simulates bodies in cm with correlated waist and hip."""
    draws = np.random.default_rng(seed).normal(size=(3, rows))
    waist = 76 + 8 * draws[0]
    return pa.table({
        "waist": waist,
        "hip": waist + 25 + 4 * draws[1],
        "hip_depth": 20 + 1.2 * draws[2],
        "length": np.full(rows, 60.0),
    })


def single_draft(row: dict[str, Any]) -> kirtle.Draft:
    return kirtle.draft(kirtle.Body(**row), ease=EASE)


def test_columns_measure_the_figures() -> None:
    source = people(50).append_column("FRONT", pa.array([100.0 + k % 3 if k % 2 else None for k in range(50)]))
    columns = {"figure.front_length": "FRONT", "body.figure.side_length": "SIDE"}
    source = source.append_column("SIDE", pa.array([101.5 if k % 2 else None for k in range(50)]))
    plain, table = (pa.table(kirtle.draft_table(source, ease=EASE, columns=given)).to_pylist() for given in ({}, columns))
    for k, (row, without) in enumerate(zip(table, plain, strict=True)):
        assert (row == without) is (k % 2 == 0)
        if k % 2:
            assert abs(row["front_waist_lowering"] - (1.5 - k % 3)) < 1e-12
    short = {"front_length": "FRONT", "side_length": "SIDE"}
    assert pa.table(kirtle.draft_table(source, ease=EASE, columns=short)).to_pylist() == table
    message = 'columns.figure.front: "figure.front" is not one of 31 names: did you mean figure.front_hip, figure.front_'
    with pytest.raises(kirtle.InputError, match=message):
        kirtle.draft_table(source, ease=EASE, columns={"figure.front": "FRONT"})
    # Without the high hip, a depth that all rows share has no effect.
    given: Any = {"high_hip": "HIGH", "high_hip_depth": 9.0}
    source = source.append_column("HIGH", pa.array([None if k % 2 else 90.0 for k in range(50)]))
    rows = pa.table(kirtle.draft_table(source, ease=EASE, columns=given)).to_pylist()
    assert rows[1::2] == plain[1::2] and not any(row["error_text"] for row in rows)


def test_every_row_is_the_draft_of_its_body() -> None:
    source = people(300)
    table = pa.table(kirtle.draft_table(source, ease=EASE))
    assert table.num_rows == 300
    for body, row in zip(source.to_pylist(), table.to_pylist(), strict=True):
        draft = single_draft(body)
        assert row["error_text"] is None
        assert row["suppression_total"] == draft.suppression.total
        assert row["suppression_side"] == draft.suppression.side
        assert row["findings"] == [finding.code for finding in draft.findings]
        assert row["finding_panels"] == [finding.panel for finding in draft.findings]
        for panel in (draft.back, draft.front):
            name = "back" if panel.width == draft.back.width else "front"
            assert row[f"{name}_width"] == panel.width
            assert row[f"{name}_waist_lowering"] == panel.waist_lowering
            assert row[f"{name}_area"] == pytest.approx(panel.area, rel=1e-12)
            assert row[f"{name}_waist_seam"] == pytest.approx(panel.seams.waist, rel=1e-12)
            assert row[f"{name}_centre_seam"] == pytest.approx(panel.seams.centre, rel=1e-12)
            assert row[f"{name}_darts"] == len(panel.darts)
            for k in range(2):
                found = [row[f"{name}_dart{k + 1}_{what}"] for what in ("intake", "length", "centre")]
                if k < len(panel.darts):
                    dart = panel.darts[k]
                    assert found == [dart.intake, dart.length, dart.centre]
                else:
                    assert found == [None, None, None]
        assert row["side_seam"] == pytest.approx(draft.back.seams.side, rel=1e-12)


def test_refused_rows_stay_in_the_table_with_their_problems() -> None:
    waist = [72.0, None, 7.0, float("nan"), 72.0]
    source = pa.table({"waist": waist, "hip": [98.0, 98, 980, 98, 98], "hip_depth": [20.0] * 5, "length": [60.0, 60, 60, 60, 20.5]})
    drafts = kirtle.draft_table(source, ease=EASE)
    assert (len(drafts), drafts.refused) == (5, 4)
    rows = pa.table(drafts).to_pylist()
    assert [row["error_codes"] for row in rows] == [None, ["missing"], ["below_minimum", "above_maximum"], ["not_finite"], ["above_hip_line"]]
    assert [row["error_fields"] for row in rows] == [None, ["body.waist"], ["body.waist", "body.hip"], ["body.waist"], ["body.length"]]
    assert rows[2]["error_text"] == "body.waist: 7 cm is below the minimum of 40 cm\nbody.hip: 980 cm is above the maximum of 220 cm"
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.Body(waist=7, hip=98, hip_depth=20, length=60)
    assert refused.value.problems[0].code == rows[2]["error_codes"][0]
    assert all(rows[k][name] is None for k in (1, 2, 3, 4) for name in drafts.columns if not name.startswith("error"))


def test_a_table_in_another_unit_is_refused_with_the_unit_to_give() -> None:
    def in_mm(rows: int) -> pd.DataFrame:
        table = people(100).to_pandas()
        table.loc[: rows - 1, ["waist", "hip"]] *= 10
        return table

    advice = 'body: waist or hip of 95 of 100 rows is out of range in cm: give unit="mm"'
    with pytest.raises(kirtle.InputError, match=advice):
        kirtle.draft_table(in_mm(95), ease=EASE)
    with pytest.raises(pa.ArrowInvalid, match=advice):
        pa.table(kirtle.draft_stream(in_mm(95), ease=EASE))
    assert kirtle.draft_table(in_mm(90), ease=EASE).refused == 90
    # The first block decides.
    assert kirtle.draft_table(pd.concat([people(BLOCK).to_pandas(), in_mm(95)]), ease=EASE).refused >= 95


def test_kept_columns_stand_first_unchanged() -> None:
    """Batches of odd lengths, one of them longer than a block and one empty, with columns of any type."""
    rows = BLOCK + 200
    source = people(rows).append_column("id", pa.array([f"W{row}" for row in range(rows)]))
    source = source.append_column("site", pa.array(["A", None] * (rows // 2)).dictionary_encode())
    source = source.append_column("visits", pa.array([[{"day": row}] for row in range(rows)]))
    parts = [source.slice(0, 3), source.slice(3, 0), source.slice(3, BLOCK + 90), source.slice(BLOCK + 93)]
    batches = [batch for part in parts for batch in part.combine_chunks().to_batches()]
    reader = pa.RecordBatchReader.from_batches(batches[0].schema, batches)
    expected = pa.table(kirtle.draft_table(source, ease=EASE))
    drafts = pa.table(kirtle.draft_table(reader, ease=EASE, keep=["visits", "site", "id"]))
    assert drafts.column_names == ["visits", "site", "id", *expected.column_names]
    assert drafts.drop_columns(["visits", "site", "id"]).equals(expected)
    assert drafts.select(["visits", "id"]).equals(source.select(["visits", "id"])) and drafts["site"].to_pylist() == source["site"].to_pylist()
    assert drafts.schema.field("site").type == source.schema.field("site").type
    whole = kirtle.draft_stream(source.slice(0, 0), ease=EASE, keep="all")
    assert whole.columns == [*source.column_names, *expected.column_names] and pa.table(whole).num_rows == 0
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.draft_table(source.append_column("findings", source["id"]), ease=EASE, keep=["id", "ID", "findings", "id"])
    assert str(refused.value).splitlines() == [
        'keep[1]: "ID" is not the name of exactly one column; did you mean id, hip or site?',
        'keep[2]: another column is already named "findings"',
        'keep[3]: another column is already named "id"',
    ]


def test_tables_of_any_library_are_read_and_written() -> None:
    source = people(1000)
    expected = pa.table(kirtle.draft_table(source, ease=EASE))
    frame = pd.DataFrame(source.to_pydict())
    connection = duckdb.connect()
    relation = connection.from_arrow(source)
    for bodies in (source, frame, pl.DataFrame(source), source.to_reader(100), relation, source.to_batches()[0]):
        assert pa.table(kirtle.draft_table(bodies, ease=EASE)).equals(expected), type(bodies)
    drafts = kirtle.draft_table(frame, ease=EASE)
    total = expected["suppression_total"].to_numpy()
    assert (pd.DataFrame.from_arrow(drafts)["suppression_total"].to_numpy() == total).all()
    assert (pl.DataFrame(drafts)["suppression_total"].to_numpy() == total).all()
    [sums] = connection.sql("select count(*), sum(suppression_total), sum(len(findings)) from drafts").fetchall()
    assert sums[0] == 1000 and sums[1] == pytest.approx(total.sum())
    assert sums[2] == sum(map(len, expected["findings"].to_pylist()))


def test_columns_have_names_units_number_types_and_may_hold_ease_and_rules() -> None:
    inches = pa.table({
        "W": pa.array([28, 30], pa.int16()),
        "H": pa.array([38.5, 41.0], pa.float32()),
        "share": [0.3, 0.35],
        "room": [0.5, 1.0],
    })
    columns = {
        "waist": "W", "hip": "H", "hip_depth": 8.0, "length": 24.0, "ease.waist": "room", "ease.hip": 2.0,
        "rules.shares.back_share": "share",
    }
    rows = pa.table(kirtle.draft_table(inches, columns=columns, unit="in")).to_pylist()
    for row, source_row in zip(rows, inches.to_pylist(), strict=True):
        body = kirtle.Body(waist=source_row["W"], hip=source_row["H"], hip_depth=8, length=24, unit="in")
        rules = kirtle.Rules(shares=kirtle.Shares(back_share=source_row["share"]))
        draft = kirtle.draft(body, ease=kirtle.Ease(waist=source_row["room"], hip=2, unit="in"), rules=rules)
        assert row["suppression_total"] == draft.suppression.total / 2.54
        assert row["back_area"] == pytest.approx(draft.back.area / 2.54**2, rel=1e-12)
    given_darts = kirtle.Rules(darts=kirtle.Darts(
        back=[kirtle.GivenDart(intake=2.5, length=13, place=0.5)],
        front=[],
    ))
    table = pa.table(kirtle.draft_table(people(5), ease=EASE, rules=given_darts))
    assert table["back_dart1_intake"].to_pylist() == pytest.approx([2.5] * 5)
    assert "front_dart1_intake" not in table.column_names


def test_invalid_columns_are_reported_all_at_once() -> None:
    source = pa.table({"waist": ["72"], "hips": [98.0]})
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.draft_table(source, columns={"hip": "hip", "girth": "hips", "length": True})
    assert str(refused.value).startswith("columns.length: true is not")
    with pytest.raises(kirtle.InputError) as refused:
        kirtle.draft_table(source, columns={"hip": "hip", "girth": "hips"})
    found = [(problem.code, problem.field) for problem in refused.value.problems]
    assert found == [
        ("unknown_choice", "columns.girth"),
        ("wrong_type", "body.waist"),
        ("unknown_choice", "body.hip"),
        ("missing", "body.hip_depth"),
        ("missing", "body.length"),
        ("missing", "ease.waist"),
        ("missing", "ease.hip"),
    ]
    with pytest.raises(kirtle.InputError, match=r"ease.waist: 100 cm is above the maximum of 40 cm"):
        kirtle.draft_table(people(1), ease=EASE, columns={"ease.waist": 100.0})
    assert "column \"waist\" of type Utf8 is not a column of numbers: convert it by pandas.to_numeric or" in str(refused.value)
    texts = pl.DataFrame({"waist": ["72", None, "7O", "x"], "hip": ["9"] * 4, "hip_depth": 20.0, "length": 60.0})
    wrong = 'body.waist: column "waist" of type .* is not a column of numbers \\(the first text that is not a number is "7O"\\): convert it'
    for function in (kirtle.draft_table, lambda source, ease: kirtle.best_chart(source, 2)):
        with pytest.raises(kirtle.InputError, match=wrong.replace("body", "people|body")):
            function(texts, ease=EASE)
    fractions = pl.DataFrame({"waist": ["28.5", "28 1/8"], "hip": [39, 40]})
    with pytest.raises(kirtle.InputError, match=r'is "28 1/8"\): convert each text by kirtle.parse_length\(text, "in"\)$'):
        kirtle.best_chart(fractions, 1, unit="in")
    assert kirtle.best_chart(fractions.with_columns(waist=pl.Series([28.5, kirtle.parse_length("28 1/8", "in")])), 1, unit="in").measured == 2
    with pytest.raises(kirtle.InputError, match=r"^columns.weight: \"weight\" is not an input of a draft: drafts have no weights; keep the column by its name in keep"):
        kirtle.draft_table(people(1), ease=EASE, columns={"weight": "w"})
    with pytest.raises(kirtle.InputError, match=r'did you mean " hip_GIRTH ", "Waist girth \(in\.\)" or id\?'):
        kirtle.best_chart(pa.table({" hip_GIRTH ": [1.0], "Waist girth (in.)": [1.0], "id": [1], "c": [2]}), 1, columns={"waist": "waist girth", "hip": "hip_GIRTH"})
    with pytest.raises(TypeError, match="list offers no Arrow stream"):
        kirtle.draft_table([1, 2], ease=EASE)


def test_decimals_are_numbers() -> None:
    expected = pa.table(kirtle.draft_table(pa.table({"waist": [86.5], "hip": [102.0], "hip_depth": [20.0], "length": [60.0]}), ease=EASE))
    query = "select 86.5 waist, 102.0::decimal(4, 1) hip, 20.0::decimal(30, 20) hip_depth, 60.00 length, null as note"
    relation = duckdb.sql(query)
    assert pa.table(kirtle.draft_table(relation, ease=EASE)).equals(expected)


@pytest.mark.parametrize("rows", [0, 1])
def test_tables_of_no_row_and_one_row_are_drafted(rows: int) -> None:
    drafts = kirtle.draft_table(people(rows), ease=EASE)
    assert len(drafts) == rows
    assert pa.table(drafts).num_rows == rows
    assert pa.schema(drafts).names == drafts.columns


def ipc_bytes(table: Any) -> bytes:
    """Returns a table in the Arrow IPC stream format."""
    sink = pa.BufferOutputStream()
    reader = pa.RecordBatchReader.from_stream(table)
    with pa.ipc.new_stream(sink, reader.schema) as writer:
        for batch in reader:
            writer.write_batch(batch)
    return bytes(sink.getvalue())


def test_the_bytes_do_not_depend_on_threads_or_chunks() -> None:
    source = people(BLOCK + 4464)
    expected = ipc_bytes(kirtle.draft_table(source, ease=EASE, threads=1))
    chunks = [source.slice(k * 7, 7) for k in range(10_000)]
    chunked = pa.concat_tables(chunks)
    assert chunked["waist"].num_chunks == 10_000 and chunked.num_rows == source.num_rows
    for bodies, threads in ((source, 2), (source, 5), (chunked, 2)):
        assert ipc_bytes(kirtle.draft_table(bodies, ease=EASE, threads=threads)) == expected
    assert ipc_bytes(kirtle.draft_stream(chunked, ease=EASE)) == expected


def endless_reader(rows: int) -> tuple[pa.RecordBatchReader, list[int]]:
    """Returns an endless reader of batches with `rows` bodies, and a list whose only item counts the batches read."""
    batch, batches_read = people(rows).to_batches()[0], [0]

    def batches() -> Iterator[pa.RecordBatch]:
        while True:
            batches_read[0] += 1
            yield batch

    return pa.RecordBatchReader.from_batches(batch.schema, batches()), batches_read


def test_a_consumer_may_stop_and_the_source_is_freed() -> None:
    source, batches_read = endless_reader(10_000)
    reported_rows: list[int] = []
    reader = pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE, progress=reported_rows.append))
    assert [reader.read_next_batch().num_rows for _ in range(2)] == [BLOCK, BLOCK]
    assert reported_rows == [BLOCK, BLOCK] and batches_read[0] == 14
    reference = weakref.ref(source)
    del reader, source
    gc.collect()
    assert reference() is None and batches_read[0] == 14


def test_a_stream_is_read_once_and_a_table_repeatedly() -> None:
    stream = kirtle.draft_stream(people(10), ease=EASE)
    assert pa.table(stream).num_rows == 10
    with pytest.raises(ValueError, match="can be read only once"):
        pa.table(stream)
    table = kirtle.draft_table(people(10), ease=EASE)
    assert pa.table(table).equals(pa.table(table))
    assert repr(table) == f"DraftTable(rows=10, refused=0, columns={len(table.columns)})"


def test_an_error_of_the_source_is_raised() -> None:
    def batches() -> Iterator[pa.RecordBatch]:
        yield people(10).to_batches()[0]
        raise OSError("the disk is gone")

    reader = pa.RecordBatchReader.from_batches(people(1).schema, batches())
    with pytest.raises(RuntimeError, match="the disk is gone"):
        kirtle.draft_table(reader, ease=EASE)


@pytest.mark.usefixtures("sigint_enabled")
@pytest.mark.parametrize("stream", [False, True])
def test_ctrl_c_ends_a_table_and_a_stream(stream: bool) -> None:
    # Endless without Python code, which would turn the interrupt into an error of the producer.
    batch = people(BLOCK).to_batches()[0]
    source = pa.RecordBatchReader.from_batches(batch.schema, itertools.repeat(batch))
    timer = threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT))
    timer.start()
    with pytest.raises((KeyboardInterrupt, pa.ArrowException, OSError)) as ended:
        if stream:
            try:
                for _ in pa.RecordBatchReader.from_stream(kirtle.draft_stream(source, ease=EASE)):
                    pass
            except (pa.ArrowException, OSError):
                # Python raises the pending KeyboardInterrupt here, after the error of the reader.
                for _ in range(1_000_000):
                    pass
                raise
        else:
            kirtle.draft_table(source, ease=EASE)
    timer.join()
    assert ended.type is KeyboardInterrupt


def test_progress_drives_a_tqdm_bar() -> None:
    source, output = people(3 * BLOCK + 7), io.StringIO()
    with tqdm(total=source.num_rows, unit=" bodies", file=output, mininterval=0, miniters=1) as bar:
        drafts = kirtle.draft_table(source, ease=EASE, progress=bar.update)
    assert bar.n == bar.total == len(drafts) == 3 * BLOCK + 7
    # tqdm draws the bar at the start and after each block.
    bars = [line for line in output.getvalue().split("\r") if " bodies/s]" in line]
    assert "100%" in bars[-1] and all(f"{k * BLOCK}/{bar.total}" in output.getvalue() for k in (0, 1, 2, 3)), bars


def test_an_exception_of_the_progress_callback_ends_the_table() -> None:
    source, _ = endless_reader(BLOCK)

    def stop(rows: int) -> None:
        raise StopAsyncIteration(rows)

    with pytest.raises(StopAsyncIteration, match=str(BLOCK)):
        kirtle.draft_table(source, ease=EASE, progress=stop)


def test_outlines_in_a_table_equal_those_of_the_drafts() -> None:
    source = people(20)
    table = pa.table(kirtle.draft_table(source, ease=EASE, outlines=True))
    for body, row in zip(source.to_pylist(), table.to_pylist(), strict=True):
        draft = single_draft(body)
        for name, panel in (("back", draft.back), ("front", draft.front)):
            edges = [(edge["role"], [(p["x"], p["y"]) for p in edge["points"]]) for edge in row[f"{name}_outline"]]
            assert edges == [(edge.role, [tuple(point) for point in edge.points]) for edge in panel.edges]
