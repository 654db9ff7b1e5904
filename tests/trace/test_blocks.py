"""Captures of many blocks: the same samples, the same line numbers, whatever the size of the blocks."""

import tracemalloc

import numpy as np
import pytest

from inrushlib.errors import TraceError
from inrushlib.trace import Trace, read_trace
from inrushlib.trace.read import source

from . import writer
from .test_round_trips import SPECIAL, assert_says
from .writer import Style


@pytest.fixture(params=[(600, 100), (600, 5000)], ids=str)
def small_blocks(request, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    head, block = request.param
    monkeypatch.setattr(source, "HEAD_BYTES", head)
    monkeypatch.setattr(source, "BLOCK_BYTES", block)


def from_file(data: bytes, tmp_path, **words) -> Trace:  # type: ignore[no-untyped-def]
    path = tmp_path / "capture.csv"
    path.write_bytes(data)
    return read_trace(path, **words)


@pytest.mark.usefixtures("small_blocks")
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "latin-1"])
def test_styles(newline: str, encoding: str, tmp_path) -> None:  # type: ignore[no-untyped-def]
    written = writer.table(Style(";", ",", newline, encoding, blank_tail=3), 400)
    assert_says(read_trace(written.data), written)
    assert_says(from_file(written.data, tmp_path), written)


@pytest.mark.usefixtures("small_blocks")
@pytest.mark.parametrize("layout", SPECIAL)
def test_special_layouts(layout: str, tmp_path) -> None:  # type: ignore[no-untyped-def]
    written = SPECIAL[layout]
    assert_says(from_file(written.data, tmp_path, choices=written.choices), written)


def long_capture(odd: dict[int, str]) -> bytes:
    lines = [f"{i},{i % 7},{i % 11}" for i in range(2000)]
    for at, text in odd.items():
        lines[at] = text
    return "\n".join(["time [us],a [V],b [V]", *lines]).encode()


@pytest.mark.usefixtures("small_blocks")
@pytest.mark.parametrize("at", [50, 777, 1998])
def test_the_line_of_a_bad_row_is_right(at: int) -> None:
    with pytest.raises(TraceError, match=rf"line {at + 2}: a number is expected in cell 2, not 'x'"):
        read_trace(long_capture({at: f"{at},x,1"}))
    with pytest.raises(TraceError, match=rf"line {at + 2}: 3 cells of numbers expected, 2 found"):
        read_trace(long_capture({20: "20,---,1", at: f"{at},1"}))


@pytest.mark.usefixtures("small_blocks")
@pytest.mark.parametrize("at", [50, 777, 1998])
def test_the_line_of_a_falling_time_is_right(at: int) -> None:
    with pytest.raises(TraceError, match=rf"line {at + 2}: the time falls"):
        read_trace(long_capture({at: f"{at - 3},1,1"}))


@pytest.mark.usefixtures("small_blocks")
def test_gaps_remarks_and_repeated_headers_anywhere() -> None:
    odd = {100: "100,****,5", 101: "# a remark", 1200: "time [us],b [V],a [V]", 1500: "1500,---,", 1999: ",,"}
    trace = read_trace(long_capture(odd))
    kept = np.array([i for i in range(1999) if i not in (101, 1200)])
    np.testing.assert_allclose(trace.time, kept * 1e-6, rtol=1e-15)
    a = np.where(kept > 1200, kept % 11, kept % 7).astype(float)
    b = np.where(kept > 1200, kept % 7, kept % 11).astype(float)
    a[kept == 100], b[kept == 100], a[kept == 1500], b[kept == 1500] = np.nan, 5.0, np.nan, np.nan
    np.testing.assert_array_equal(trace.channels["b"].values, b)
    np.testing.assert_array_equal(trace.channels["a"].values, a)
    assert (trace.channels["a"].gaps, trace.channels["b"].gaps) == (2, 1)


def test_a_block_of_nothing_but_truths_is_no_block_of_ones() -> None:
    rows = [f"{i},{i if i < 40_000 else 'True'}" for i in range(80_000)]
    with pytest.raises(TraceError, match="line 40002: a number is expected in cell 2, not 'True'"):
        read_trace("\n".join(["time [us],a [V]", *rows]).encode())


def test_a_long_capture_takes_little_more_memory_than_its_arrays(tmp_path) -> None:  # type: ignore[no-untyped-def]
    rows = 300_000
    path = tmp_path / "long.csv"
    path.write_text("time [us],a [V],b [A]\n" + "\n".join(f"{i / 10},{i % 977 / 100},{i % 89}" for i in range(rows)))
    read_trace(path)
    tracemalloc.start()
    trace = read_trace(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert len(trace.time) == rows
    # Blocks in flight weigh some 20 MB whatever the length; beside them there is room for less than two arrays more.
    assert peak < 2 * 3 * 8 * rows + 25e6
