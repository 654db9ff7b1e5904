"""Everything that the file does not say outright is listed; what the caller says is not."""

import numpy as np
import pytest

from inrushlib.errors import TraceError
from inrushlib.trace import ReadChoices, read_trace
from inrushlib.trace.read.units import find_unit, split_label

from . import writer


def test_nothing_is_inferred_when_everything_is_said() -> None:
    choices = ReadChoices(encoding="utf-8", delimiter=",", decimal=".")
    assert read_trace(writer.table(writer.Style()).data, choices=choices).inferred == ()


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"t [s];x [V]\n0;1\n1;2\n", "delimiter: semicolon"),
        (b"t [s];x [V]\n0;1,5\n1;2,5\n", "decimal mark: comma"),
        ("t [µs];x [V]\n0;1\n1;2\n".encode("latin-1"), "encoding: Latin-1, since the bytes are not valid UTF-8"),
        ("t [s];x [V]\n0;1\n1;2\n".encode("utf-16"), "encoding: UTF-16-LE, from the byte order mark"),
        (
            "t [s];x [V]\n0;1\n1;2\n".encode("utf-16-be"),
            "encoding: UTF-16-BE without a byte order mark, from the zero bytes",
        ),
        (b"t [s];x [V]\r0;1\r1;2\r", "line ends: carriage return alone"),
        (b"t,x [V]\n0,1\n0.5,2\n", "time: in seconds, since column 1 has no unit and steps of 0.5"),
        (b"0.0,5\n0.1,6\n0.2,5\n", "time: column 1, the one without a name that rises from row to row"),
        (b"t [s],bus_voltage\n0,1\n1,2\n", "bus_voltage: taken as volts, by its name, since column 2 has no unit"),
        (b"t [s],lead_current\n0,1\n1,2\n", "lead_current: taken as amperes, by its name, since column 2 has no unit"),
        (b"t [s],CH1\n0,1\n1,2\n", "CH1: taken as the SI unit, since column 2 has no unit"),
        (b"t [s],heat [W]\n0,1\n1,2\n", "heat: 'W' is no unit of voltage or current; the values are as written"),
        (b"Sample rate,1 MSa/s\nCH1 [V]\n1.5\n2\n", "time: one sample every 1e-06 s, from the rate in line 1"),
        (b"Sample interval,1us\nCH1 [V]\n1.5\n2\n", "time: starts at zero, since no start is given"),
        (b"Increment,1us\nTrigger index,4\nCH1 [V]\n1.5\n2\n", "time: zero at sample 4, the trigger in line 2"),
        (b"Increment,1us\nStart,-2 ms\nCH1 [V]\n1.5\n2\n", "time: starts at -0.002 s, from line 2"),
        (
            b"t [s],x [V],x [V]\n0,1,2\n1,2,3\n",
            "x: more than one column has this name; the number of the column is added",
        ),
        (b"t [s],x [V]\n0,1\n1,2\n1,2\n2,2\n", "time: 1 samples have the time of the one before, as written"),
        (b"t [s],x [V]\n0,1\n1,2\n2", "line 4: the last line is cut short and was left out"),
        (b"t [s],x [V]\n0,1\n1,2\nEnd of data\n", "line 4: a footer of 1 line was left out"),
        (b"t [s],x [V]\n0,1\n1,2\n\nEnd of data,,\nbye, all\n", "line 5: a footer of 2 lines was left out"),
        (b"n,t [s],x [V]\n0,0.0,1\n1,0.1,2\n2,0.2,4\n", "n: a running number, left out"),
    ],
)
def test_each_inference_has_its_sentence(data: bytes, sentence: str) -> None:
    assert sentence in read_trace(data).inferred


def test_a_few_decimal_commas_among_whole_numbers_settle_the_decimal_mark() -> None:
    rows = [f"{i};{'2,5' if i % 10 == 7 else 2}" for i in range(50)]
    trace = read_trace("\n".join(["time [us];bus [V]", *rows]).encode())
    np.testing.assert_array_equal(trace.channels["bus"].values, np.where(np.arange(50) % 10 == 7, 2.5, 2.0))


def test_a_decimal_comma_that_comes_late() -> None:
    rows = [f"{i};{'2,5' if i == 900 else 2}" for i in range(1000)]
    trace = read_trace("\n".join(["time [us];bus [V]", *rows]).encode())
    assert trace.channels["bus"].values[900] == 2.5


def test_a_decimal_comma_that_comes_too_late_is_refused_and_the_choice_named() -> None:
    rows = [f"{i};{'2,5' if i == 90_000 else 2}" for i in range(100_000)]
    data = "\n".join(["time [us];bus [V]", *rows]).encode()
    with pytest.raises(TraceError, match="line 90002: a number is expected in cell 2, not '2,5'; give --decimal ,"):
        read_trace(data)
    assert read_trace(data, choices=ReadChoices(decimal=",")).channels["bus"].values[90_000] == 2.5


@pytest.mark.parametrize("rows", [3, 3000])
def test_exponents_of_double_precision(rows: int) -> None:
    lines = "".join(f"{k}.5D-03,-1.25d+00\n" for k in range(rows))
    trace = read_trace(("t [s],x [V]\n" + lines).encode())
    np.testing.assert_allclose(trace.time, (np.arange(rows) + 0.5) * 1e-3)
    np.testing.assert_array_equal(trace.channels["x"].values, -1.25)


def test_what_the_caller_says_wins() -> None:
    data = b"Sampling period,1us\nLabel,bus\nVertical scale,0.5V\n10\n-20\n30\n"
    choices = ReadChoices(
        interval=2e-6, start=1e-3, names=("lead",), scales={"lead": 0.1}, offsets={"lead": 1.0}, units={"lead": "A"}
    )
    trace = read_trace(data, choices=choices)
    np.testing.assert_allclose(trace.time, [1e-3, 1.002e-3, 1.004e-3], rtol=1e-15)
    np.testing.assert_allclose(trace.channels["lead"].values, [2.0, -1.0, 4.0], rtol=1e-15)
    assert trace.channels["lead"].unit == "A"


def test_first_line_and_header_rows() -> None:
    data = b"1,2\n3,4\ntime [s],x [V]\nbad,line\n0,1\n1,2\n2,3\n"
    choices = ReadChoices(first_line=5, header_rows=0, names=("time", "y"), time_unit="ms")
    trace = read_trace(data, choices=choices)
    np.testing.assert_array_equal(trace.time, [0.0, 1e-3, 2e-3])
    assert list(trace.channels) == ["y"]


def test_the_header_is_kept_as_it_stands() -> None:
    trace = read_trace(b'# made, not measured\n"t [s]" ,"x [V]"\n\n0,1\n1,2\n')
    assert trace.header == ("# made, not measured", '"t [s]" ,"x [V]"', "")


@pytest.mark.parametrize(
    ("cell", "name", "base", "exponent"),
    [
        ("time [us]", "time", "s", -6),
        ("time (\u00b5s)", "time", "s", -6),
        ("time (\u03bcs)", "time", "s", -6),
        ("U/mV", "U", "V", -3),
        ("bus voltage in mV", "bus voltage", "V", -3),
        ("lead_current_mA", "lead_current_mA", "A", -3),
        ("Time s", "Time", "s", 0),
        ("voltage (CH1) [mV]", "voltage (CH1)", "V", -3),
        ("TIME(US)", "TIME", "s", -6),
        ("t, ns", "t", "s", -9),
    ],
)
def test_header_cells(cell: str, name: str, base: str, exponent: int) -> None:
    found, text = split_label(cell)
    assert found == name
    assert find_unit(text) == (base, exponent)


@pytest.mark.parametrize("cell", ["Channel A", "lead (copper)", "bus_voltage", "Section s", "CH1", "panel_A"])
def test_names_that_only_look_as_if_they_had_a_unit(cell: str) -> None:
    assert split_label(cell) == (cell, "")
