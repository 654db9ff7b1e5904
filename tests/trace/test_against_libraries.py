"""The reader beside pandas and numpy, on layouts that those can read when told everything."""

import io

import numpy as np
import pandas as pd
import pytest

from inrushlib.trace import Trace, read_trace

from . import writer
from .writer import Style


def assert_same(trace: Trace, table: np.ndarray, factors: tuple[float, ...]) -> None:
    columns = [trace.time, *(channel.values for channel in trace.channels.values())]
    assert len(columns) == table.shape[1]
    for values, other, factor in zip(columns, table.T, factors, strict=True):
        np.testing.assert_allclose(values, other * factor, rtol=1e-15)


@pytest.mark.parametrize(("delimiter", "decimal"), [(",", "."), (";", "."), (";", ","), ("\t", ","), ("|", ".")])
@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "latin-1"])
def test_pandas(delimiter: str, decimal: str, encoding: str) -> None:
    data = writer.table(Style(delimiter, decimal, "\r\n", encoding, quote=True)).data
    frame = pd.read_csv(io.BytesIO(data), sep=delimiter, decimal=decimal, encoding=encoding)
    assert_same(read_trace(data), frame.to_numpy(), (1e-6, 1.0, 1e-3))


@pytest.mark.parametrize("gap", ["", "nan", "---"])
def test_pandas_with_gaps(gap: str) -> None:
    rows = [f"{0.1 * i:.1f},{gap if i % 7 == 3 else 5 - 0.01 * i:},{i * i}" for i in range(200)]
    data = "\n".join(["time [ms],bus [V],lead [mA]", *rows]).encode()
    frame = pd.read_csv(io.BytesIO(data), na_values=["---"])
    trace = read_trace(data)
    assert_same(trace, frame.to_numpy(), (1e-3, 1.0, 1e-3))
    assert trace.channels["bus"].gaps == frame["bus [V]"].isna().sum()


def test_numpy_loadtxt_with_blanks_and_remarks() -> None:
    rng = np.random.default_rng(3)
    table = np.column_stack([np.arange(100) * 1e-6, rng.normal(5.0, 0.1, 100), rng.normal(1.0, 0.1, 100)])
    file = io.BytesIO()
    np.savetxt(file, table, header="time [s] bus [V] lead [A]")
    trace = read_trace(file.getvalue())
    assert list(trace.channels) == ["bus", "lead"]
    assert_same(trace, np.loadtxt(io.BytesIO(file.getvalue())), (1.0, 1.0, 1.0))


def test_numpy_genfromtxt_with_missing_cells() -> None:
    rows = [f"{i * 0.25},{'' if i % 5 == 0 else i},{i - 50}" for i in range(100)]
    data = "\n".join(["t [us],a [V],b [V]", *rows]).encode()
    assert_same(read_trace(data), np.genfromtxt(io.BytesIO(data), delimiter=",", skip_header=1), (1e-6, 1.0, 1.0))


def test_pandas_writes_and_the_reader_reads() -> None:
    rng = np.random.default_rng(4)
    frame = pd.DataFrame({"bus [V]": rng.normal(5.0, 1.0, 300)}, index=pd.Index(np.arange(300) * 1e-6, name="time [s]"))
    trace = read_trace(frame.to_csv().encode())
    np.testing.assert_array_equal(trace.time, frame.index)
    np.testing.assert_array_equal(trace.channels["bus"].values, frame["bus [V]"])
