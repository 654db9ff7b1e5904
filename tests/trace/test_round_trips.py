"""Every layout, written by ``writer`` and read back sample for sample."""

import itertools

import numpy as np
import pytest

from inrushlib.trace import Trace, read_trace

from . import bench_layouts, writer
from .writer import Style, Written

MARKS = [(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ","), ("|", "."), ("|", ","), (" ", ".")]
FLAGS = list(itertools.product([False, True], repeat=4))
ENCODINGS = ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"]
SPECIAL = {
    "two header rows": writer.two_header_rows(),
    "units as words": writer.unit_words(),
    "start and increment": writer.start_and_increment(),
    "start and increment, rows without them": writer.start_and_increment(trailing=False),
    "preamble, volts": writer.preamble_volts(),
    "preamble, counts by division": writer.preamble_counts(),
    "preamble, counts by multiplier": writer.multiplier_counts(),
    "preamble, counts by scale and offset": writer.scale_and_offset(),
    "preamble, volts per count": writer.volts_per_count(),
    "sources for names": writer.sources_for_names(),
    "preamble beside": writer.preamble_beside(),
    "named fields": writer.named_fields(),
    "pairs": writer.peak_pairs(),
    "segments 1": writer.segments(1, headed=False),
    "segments 3": writer.segments(3, headed=False),
    "headed segments 2": writer.segments(2, headed=True),
    "segments without times 1": writer.segments_without_times(1),
    "segments without times 3": writer.segments_without_times(3),
    "segments that start late": writer.segments_that_start_late(),
    "names in the preamble": writer.names_in_the_preamble(),
    "stitched": writer.stitched(),
    "one line": writer.one_line(),
    "one line, semicolon": writer.one_line(";"),
    "one line, blanks": writer.one_line(" "),
    **bench_layouts.READ,
}


def assert_says(trace: Trace, written: Written) -> None:
    """A value in the file's own unit is read to the last bit; one that is scaled may be two roundings off."""
    np.testing.assert_allclose(trace.time, written.time, rtol=5e-16, atol=1e-19)
    assert list(trace.channels) == list(written.channels)
    for name, values in written.channels.items():
        np.testing.assert_allclose(trace.channels[name].values, values, rtol=5e-16, atol=1e-15)
        assert trace.channels[name].gaps == np.isnan(values).sum()
        assert trace.channels[name].unit == written.units[name]


@pytest.mark.parametrize(("delimiter", "decimal"), MARKS)
@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ENCODINGS)
def test_marks_line_ends_and_encodings(delimiter: str, decimal: str, newline: str, encoding: str) -> None:
    style = Style(delimiter, decimal, newline, encoding, time_unit="µs")
    written = writer.table(style)
    assert_says(read_trace(written.data), written)


@pytest.mark.parametrize(("delimiter", "decimal"), [*MARKS[:-1], (",", ",")])
@pytest.mark.parametrize(
    ("quote", "trailing", "tail", "last_newline"), list(itertools.product([False, True], repeat=4))
)
def test_quotes_trailing_delimiters_and_blank_tails(
    delimiter: str, decimal: str, quote: bool, trailing: bool, tail: bool, last_newline: bool
) -> None:
    style = Style(
        delimiter,
        decimal,
        quote=quote or delimiter == decimal,
        trailing=trailing,
        blank_tail=3 * tail,
        last_newline=last_newline,
    )
    written = writer.table(style)
    trace = read_trace(written.data)
    assert_says(trace, written)
    assert any("blank and were left out" in s for s in trace.inferred) == tail


@pytest.mark.parametrize("time_unit", ["s", "ms", "us", "µs", "μs"])
@pytest.mark.parametrize(("bus_unit", "lead_unit"), [("V", "A"), ("mV", "mA")])
@pytest.mark.parametrize("header", ["{name} [{unit}]", "{name} ({unit})", "{name}({unit})", "{name}/{unit}"])
def test_units_in_the_header(time_unit: str, bus_unit: str, lead_unit: str, header: str) -> None:
    written = writer.table(Style(time_unit=time_unit, bus_unit=bus_unit, lead_unit=lead_unit, header=header))
    assert_says(read_trace(written.data), written)


@pytest.mark.parametrize("layout", SPECIAL)
def test_special_layouts(layout: str) -> None:
    written = SPECIAL[layout]
    assert_says(read_trace(written.data, choices=written.choices), written)


def test_pairs_are_found_and_kept() -> None:
    trace = read_trace(writer.peak_pairs().data)
    assert trace.paired
    assert any("peak detect" in sentence for sentence in trace.inferred)


def test_segments_are_counted_and_the_choice_is_told() -> None:
    trace = read_trace(writer.segments(1, headed=False).data)
    assert (trace.segment, trace.segments) == (1, 3)
    assert [hint.for_command for hint in trace.hints] == ["--segment 2 reads the second of 3 segments"]
    assert [hint.for_page for hint in trace.hints] == ['"segment": 2 reads the second of 3 segments']


def test_a_file_and_its_bytes_are_the_same(tmp_path) -> None:  # type: ignore[no-untyped-def]
    written = writer.table(Style())
    path = tmp_path / "bench 7.csv"
    path.write_bytes(written.data)
    from_file, from_bytes = read_trace(path), read_trace(written.data, name="bench 7.csv")
    assert_says(from_file, written)
    assert from_file.name == from_bytes.name == "bench 7.csv"
    assert from_file.checksum == from_bytes.checksum
    assert from_file.header == from_bytes.header == ("time [us],bus [V],lead [mA]",)


def test_the_checksum_is_that_of_the_bytes() -> None:
    # SHA-256 of "t [s],x [V]\n0,1\n1,2\n" from the command sha256sum.
    data = b"t [s],x [V]\n0,1\n1,2\n"
    assert read_trace(data).checksum == "85f565b5fc530f6e40f8a2a2792a1ce6b412129ce2144e0de200f11e832c986f"
