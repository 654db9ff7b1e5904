"""Samples that the scope could not show: found, made gaps, counted."""

import numpy as np
import pytest

from inrushlib.errors import TraceError
from inrushlib.trace import ReadChoices, read_trace

TOKENS = [
    "", "inf", "INF", "-Inf", "+inf", "Infinity", "∞", "-∞", "nan", "NaN", "NA", "n/a", "null",
    "-", "--", "---", "----------------", "*", "****", "*****************", "???", "9.9E+37", "-9.9e37", "9.91E+37",
    "1e400", "OVL", "OL", "Overflow", "overrange", "CLIP", "1.#INF", "-1.#IND",
]  # fmt: skip


@pytest.mark.parametrize("token", TOKENS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_each_token_is_a_gap_and_is_counted(token: str, encoding: str) -> None:
    rows = [f"{i},{token if i % 3 == 1 else i},{i * 2}" for i in range(30)]
    trace = read_trace("\n".join(["time [us],a [V],b [mA]", *rows]).encode(encoding))
    expected = np.where(np.arange(30) % 3 == 1, np.nan, np.arange(30.0))
    np.testing.assert_array_equal(trace.channels["a"].values, expected)
    assert (trace.channels["a"].gaps, trace.channels["b"].gaps) == (10, 0)


@pytest.mark.parametrize("token", TOKENS)
def test_each_token_is_a_gap_in_the_last_column_and_with_a_decimal_comma(token: str) -> None:
    rows = [f"{i},5;{i},25;{token if i == 7 else i}" for i in range(30)]
    trace = read_trace("\n".join(["time [us];a [V];b [V]", *rows]).encode())
    assert np.flatnonzero(np.isnan(trace.channels["b"].values)).tolist() == [7]
    assert trace.channels["b"].gaps == 1


def test_a_clipped_stretch_at_the_end_stays() -> None:
    rows = [f"{i},{'****' if i >= 20 else i}" for i in range(30)]
    trace = read_trace("\n".join(["time [us],a [V]", *rows, ",", ","]).encode())
    assert len(trace.time) == 30
    assert trace.channels["a"].gaps == 10


def test_a_clipped_stretch_at_the_end_stays_without_a_time_column_too() -> None:
    rows = [f"{i}.5" if i < 20 else "---" for i in range(30)]
    trace = read_trace("\n".join(["Sampling period,1us", *rows, "", ""]).encode())
    assert len(trace.time) == 30
    assert trace.channels["column 1"].gaps == 10


def test_blank_rows_between_samples_are_left_out_and_told() -> None:
    trace = read_trace(b"time [us],a [V]\n0,1\n\n,\n1,2\n2,3\n")
    np.testing.assert_array_equal(trace.channels["a"].values, [1.0, 2.0, 3.0])
    assert "rows: 1 without any sample were left out" in trace.inferred


def test_a_sample_without_a_time_is_refused() -> None:
    with pytest.raises(TraceError, match="line 4: a time is expected"):
        read_trace(b"time [us],a [V]\n0,1\n1,2\n,3\n3,4\n")


def test_words_of_the_caller() -> None:
    data = b"time [us],a [V]\n0,1\n1,unlocked\n2,3\n"
    with pytest.raises(TraceError, match="line 3: a number is expected in cell 2, not 'unlocked'"):
        read_trace(data)
    assert read_trace(data, choices=ReadChoices(gap_words=("Unlocked",))).channels["a"].gaps == 1


@pytest.mark.parametrize("gap", ["", "****"])
def test_a_channel_of_gaps_is_a_channel(gap: str) -> None:
    rows = [f"{i},{i},{gap}" for i in range(20)]
    trace = read_trace("\n".join(["time [us],a [V],b [A]", *rows]).encode())
    assert (trace.channels["b"].gaps, len(trace.time)) == (20, 20)


def test_a_channel_that_begins_long_after_the_first_rows() -> None:
    rows = [f"{i},{i},{i if i > 3000 else ''}" for i in range(6000)]
    trace = read_trace("\n".join(["time [us],a [V],b [A]", *rows]).encode())
    assert trace.channels["b"].gaps == 3001
    assert trace.channels["b"].values[-1] == 5999.0


def test_samples_in_a_column_that_has_neither_name_nor_sample_above() -> None:
    rows = [f"{i},{i},{i if i == 3000 else ''}" for i in range(6000)]
    with pytest.raises(TraceError, match="line 3002: an empty cell 3 is expected as in the rows above, not '3000'"):
        read_trace("\n".join(["time [us],a [V],", *rows]).encode())


def test_blank_rows_do_not_move_a_repeated_header() -> None:
    first = "".join(f"{i},{i}\n" for i in range(10))
    second = "".join(f"{i},{i}\n" for i in range(8, 20))
    data = "time [us],a [V]\n,\n" + first[:20] + ",\n" + first[20:] + "time [us],a [V]\n" + second
    trace = read_trace(data.encode(), choices=ReadChoices(segment=2))
    np.testing.assert_array_equal(trace.channels["a"].values, np.arange(8.0, 20.0))
