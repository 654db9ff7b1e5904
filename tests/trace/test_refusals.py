"""What cannot be read, or could be read in two ways: a message with the line, what was expected, and the choices."""

import re

import numpy as np
import pytest

from inrushlib.errors import TraceError
from inrushlib.trace import Counting, ReadChoices, read_trace

BAD = {
    b"": "line 1: the file is empty",
    b"\n\n  \n": "line 1: the file is empty",
    b"no numbers\nat all\n": "line 2: rows of numbers are expected, but 'at all'",
    b"t [s],x [V]\n0,1\n1,oops\n2,3\n": "line 3: a number is expected in cell 2, not 'oops'",
    b"t [s],x [V],y [V]\n0,1,2\n1,2\n2,3,4\n3,4,5\n": "line 3: 3 cells of numbers expected, 2 found",
    b"t [s],x [V],y [V]\n0,1,2\n1,2,3,4\n2,3,4\n3,4,5\n": "line 3: 3 cells of numbers expected, 4 found",
    b"t [s],x [V]\n0,1\n1,2\n0.9,3\n2,4\n": "line 4: the time falls from 1 s to 0.9 s",
    b"t [s],x [V]\n0,1\n": "line 2: two rows of samples are expected",
    b"t [s]\n0\n1\n2\n": "line 1: a column of samples is expected beside the time",
    b"t [s],x [V]\n0,1\x00\n1,2\n": "line 2: text is expected, but there is a zero byte",
    b"t [s],x [V]\n0,1,5\n1,2,5\n": "line 2: 2 cells are expected, as line 1 names them, but there are 3",
    b"t [s],x [V]\n0,1\n1,2\nt [s],y [V]\n2,3\n": "line 4: a number is expected in cell 1, not 't [s]'",
    b"t [s],x [V]\n0,1\n1,2\nt [s],x [A]\n2,3\n": "line 4: x is in 'V' above, but in 'A' here",
    b"t [s],x [V]\n0,1\n1,2\nEnd\n2,3\n": "line 4: 2 cells of numbers expected, 1 found",
    b"t [s],x [V]\n0,1\n1,2\nEnd\n2,3,4\n": "line 4: 2 cells of numbers expected, 1 found",
    b"t [s],x [V]\n0,1\n1,2\nMin,0\n": "line 4: a number is expected in cell 1, not 'Min'",
    b"t [s],x [V]\n0,1\n1,2\nVertical scale,a lot\n": "line 4: a number is expected in cell 1, not 'Vertical scale'",
    b"t [s],x [V]\n1,1\n1,2\n1,3\n": "line 2: rising times are expected, but they stay at 1 s",
    b"Sampling period,1us\nVertical scale,1e308\nCH1\n100\n-50\n": "line 3: CH1 is too large for a number",
    b"Sampling period,1us\nVertical scale,2 lines\nCH1\n100\n-50\n": "line 2: 'lines' is no unit of voltage",
    b"Sampling period,1us\nVertical scale,2 MV/div\nCH1\n1\n-5\n": "line 2: 'MV/div' could be thousandths or millions",
    b"Sampling period,1us\nVertical scale,2V\nProbe,1:10\nCH1\n1\n-5\n": "line 3: a probe ratio such as 10X or 10:1",
    b"Sampling period,1us\nVertical scale,2V\nVertical offset,1V\nCH1\n1\n-5\n": "line 3: the sign of the vertical",
    b"Sampling period,-1us\n1.5\n2.5\n": "the time between samples is -1e-06 s",
    b"Sampling period,2V\n1.5\n2.5\n": "line 1: a time in one of s, ms, us, ns is expected, not 2 V",
}

AMBIGUOUS = {
    "one column or two": (
        b"1,25\n2,30\n4,35\n",
        "line 1: '1,25' can be read in 2 ways",
        [
            (ReadChoices(decimal=",", interval=1e-3), "column 1", [1.25, 2.30, 4.35]),
            (ReadChoices(delimiter=",", time_column=1, time_unit="s"), "column 2", [25.0, 30.0, 35.0]),
        ],
    ),
    "thousands or decimals": (
        b"t [us];x [mV]\n1;1,500\n2;2,500\n3;3,500\n",
        "line 2: the comma in '1,500' could be the decimal mark or part thousands",
        [
            (ReadChoices(decimal=","), "x", [1.5e-3, 2.5e-3, 3.5e-3]),
            (ReadChoices(decimal=".", thousands=","), "x", [1.5, 2.5, 3.5]),
        ],
    ),
    "which column is the time": (
        b"0.0,0.5,3\n0.1,0.6,2\n0.2,0.7,3\n",
        "line 1: 2 columns rise from row to row and could be the time: choose --time-column 1 or --time-column 2",
        [
            (ReadChoices(time_column=1), "column 2", [0.5, 0.6, 0.7]),
            (ReadChoices(time_column=2), "column 1", [0.0, 0.1, 0.2]),
        ],
    ),
    "two columns of time": (
        b"time [s],a [V],time [s],b [V]\n0,1,0,2\n1,2,1,3\n",
        "line 1: columns 1 'time [s]', 3 'time [s]' could be the time: choose --time-column 1 or --time-column 3",
        [(ReadChoices(time_column=3), "b", [2.0, 3.0])],
    ),
    "unit of time": (
        b"time,a [V]\n0,1\n1,2\n2,3\n",
        "line 1: the time column has no unit and steps of 1; choose --time-unit s or --time-unit ms or --time-unit us",
        [(ReadChoices(time_unit="ms"), "a", [1.0, 2.0, 3.0])],
    ),
    "thousandths or millions": (
        b"time [s],a (MV)\n0,1\n1,2\n",
        "line 1: a: 'MV' could be thousandths or millions; give --unit a=mV",
        [(ReadChoices(units={"a": "mV"}), "a", [1e-3, 2e-3])],
    ),
    "thousandths or millions of seconds": (
        b"TIME(MS),a (V)\n0,1\n1,2\n",
        "line 1: 'MS' could be thousandths or millions; give --time-unit ms",
        [(ReadChoices(time_unit="ms"), "a", [1.0, 2.0])],
    ),
    "no time at all": (
        b"a [V],b [V]\n2,1\n1,2\n2,1\n",
        "line 1: no column is a time and no sample interval is given; choose --time-column NAME "
        "among 1 'a [V]', 2 'b [V]', or --interval SECONDS",
        [(ReadChoices(interval=1e-3), "b", [1.0, 2.0, 1.0])],
    ),
    "scale of counts": (
        b"Sampling period,1us\nScale,0.5\nCH1\n100\n-50\n25\n",
        "line 2: the scale of CH1 could be for a count or for a division",
        [
            (ReadChoices(scales={"CH1": 0.5}), "CH1", [50.0, -25.0, 12.5]),
            (ReadChoices(counts_per_division=25.0), "CH1", [2.0, -1.0, 0.5]),
            (ReadChoices(counts=Counting.VALUES), "CH1", [100.0, -50.0, 25.0]),
        ],
    ),
    "preamble that contradicts itself": (
        b"Sampling period,1us\nSample interval,2us\nCH1 [V]\n1.5\n2.5\n",
        "line 2: the interval is 2 us, but line 1 says 1 us; choose with --interval SECONDS",
        [(ReadChoices(interval=2e-6), "CH1", [1.5, 2.5])],
    ),
    "counts of more than 8 bits": (
        b"Sampling period,1us\nVertical scale,0.5V\nCH1\n1000\n-500\n",
        "CH1 holds counts of more than 8 bits; give --counts-per-division N",
        [(ReadChoices(counts_per_division=1000.0), "CH1", [0.5, -0.25])],
    ),
}


@pytest.mark.parametrize("data", BAD)
def test_bad_files_name_line_and_expectation(data: bytes) -> None:
    with pytest.raises(TraceError, match="^bench.csv: " + re.escape(BAD[data])):
        read_trace(data, name="bench.csv")


@pytest.mark.parametrize("case", AMBIGUOUS)
def test_ambiguities_name_the_choices_and_each_choice_works(case: str) -> None:
    data, message, ways = AMBIGUOUS[case]
    with pytest.raises(TraceError, match=re.escape(message)):
        read_trace(data)
    for choices, channel, values in ways:
        trace = read_trace(data, choices=choices)
        np.testing.assert_allclose(trace.channels[channel].values, values, rtol=1e-15)


def test_a_column_followed_by_a_quoted_table() -> None:
    # Found by mutation: the first rows are the same in two readings, and only one of them explains the later rows.
    column, table = "".join(f"{i * 7 % 50}\n" for i in range(42)), "".join(f'"{i}","{i}.5","2"\n' for i in range(42))
    with pytest.raises(TraceError, match="line 44: 1 cell of numbers expected, 3 found"):
        read_trace((column + '25"\n' + table).encode())


def test_a_file_that_is_not_there(tmp_path) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(TraceError, match=r"missing\.csv: cannot be read \(No such file"):
        read_trace(tmp_path / "missing.csv")
    with pytest.raises(TraceError, match="cannot be read"):
        read_trace(tmp_path)
    with pytest.raises(TraceError, match="cannot be read"):
        read_trace("with a zero\0byte")


CHOICES = {
    "--delimiter : is not accepted": {"delimiter": ":"},
    "--decimal ';' is not accepted; '.' or ','": {"decimal": ";"},
    "--thousands , is not accepted": {"thousands": ",", "decimal": ","},
    "--thousands , needs --decimal MARK": {"thousands": ","},
    "--header-rows 3 is not accepted; 0, 1 or 2": {"header_rows": 3},
    "--first-line 0 is not accepted; whole numbers from 1": {"first_line": 0},
    "--segment 0 is not accepted; whole numbers from 1": {"segment": 0},
    "--segment 2, but there are 1 segments": {"segment": 2},
    "--interval 0.0 is not accepted; numbers above zero": {"interval": 0.0},
    "--interval nan is not accepted; numbers above zero": {"interval": float("nan")},
    "--start inf is not accepted; finite numbers": {"start": float("inf")},
    "--per-count x=nan is not accepted": {"scales": {"x": float("nan")}},
    "--encoding klingon is not known": {"encoding": "klingon"},
    "--encoding base64 is not known": {"encoding": "base64"},
    "--time-column when is none of the columns: 1 't', 2 'x'": {"time_column": "when"},
    "'V' is no unit of time": {"time_unit": "V"},
    "--unit y=V names 'y'; the channels are x": {"units": {"y": "V"}},
    "1 names are given with --name NAME, but there are 2 columns": {"names": ("x",)},
    "line 9: a row of numbers is expected": {"first_line": 9},
    "--header-rows 2, but 1 lines stand above": {"header_rows": 2},
    "rows of numbers are expected with --delimiter ';'": {"delimiter": ";", "decimal": "."},
}


@pytest.mark.parametrize("message", CHOICES)
def test_choices_outside_what_is_accepted(message: str) -> None:
    data = b"t [s],x [V]\n0,1.5\n1,2.5\n2,3.5\n"
    with pytest.raises(TraceError, match=re.escape(message)):
        read_trace(data, choices=ReadChoices(**CHOICES[message]))


def test_all_wrong_choices_are_told_at_once() -> None:
    with pytest.raises(TraceError) as caught:
        read_trace(b"t,x\n0,1\n1,2\n", choices=ReadChoices(delimiter=":", decimal=";", interval=-1.0))
    assert len(caught.value.problems) == 3


def test_a_misspelt_choice_fails() -> None:
    with pytest.raises(TypeError, match="delimeter"):
        ReadChoices(delimeter=",")  # type: ignore[call-arg]
