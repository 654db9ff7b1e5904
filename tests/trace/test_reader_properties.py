"""Any table in any style comes back; any bytes give a trace or a ``TraceError``; the two ways of parsing agree."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from inrushlib.errors import TraceError
from inrushlib.trace import ReadChoices, read_trace
from inrushlib.trace.read.layout import Layout
from inrushlib.trace.read.parse import OddLine, Parser, Rows

MARKS = st.sampled_from([(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ","), ("|", "."), (" ", ".")])
SAMPLES = st.floats(-1e9, 1e9, allow_subnormal=False)


@settings(deadline=None)
@given(
    st.lists(st.tuples(SAMPLES, SAMPLES | st.just(float("nan"))), min_size=2, max_size=40),
    MARKS,
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "latin-1"]),
    st.booleans(),
)
def test_any_table_comes_back_to_the_last_bit(rows, marks, newline, encoding, quote) -> None:  # type: ignore[no-untyped-def]
    delimiter, decimal = marks
    lines = [f"time [s]{delimiter}a [V]{delimiter}b [A]"]
    for i, (a, b) in enumerate(rows):
        cells = [repr(0.25 * i), repr(a), "****" if np.isnan(b) else repr(b)]
        cells = [cell.replace(".", decimal) for cell in cells]
        lines.append(delimiter.join(f'"{cell}"' if quote else cell for cell in cells))
    trace = read_trace(newline.join(lines).encode(encoding))
    np.testing.assert_array_equal(trace.time, 0.25 * np.arange(len(rows)))
    np.testing.assert_array_equal(trace.channels["a"].values, [a for a, _ in rows])
    np.testing.assert_array_equal(trace.channels["b"].values, [b for _, b in rows])
    assert trace.channels["b"].gaps == sum(np.isnan(b) for _, b in rows)


TEXTS = st.text(st.sampled_from(list('0123456789.,;\t -+eE"#[]()/:=*\n\r\x00\x0b\x1c∞µsVAmu_x')), max_size=300)


@settings(max_examples=400, deadline=None)
@given(TEXTS | st.binary(max_size=300).map(lambda b: b.decode("latin-1")), st.sampled_from(["utf-8", "utf-16"]))
def test_any_text_gives_a_trace_or_a_trace_error(text: str, encoding: str) -> None:
    try:
        trace = read_trace(text.encode(encoding))
    except TraceError:
        return
    assert trace.channels
    assert np.all(np.diff(trace.time) >= 0.0)
    for channel in trace.channels.values():
        assert len(channel.values) == len(trace.time) >= 2
        assert channel.gaps == np.isnan(channel.values).sum()


@settings(max_examples=200, deadline=None)
@given(
    TEXTS,
    st.fixed_dictionaries(
        {},
        optional={
            "delimiter": st.sampled_from([",", ";", "\t", "|", "", " "]),
            "decimal": st.sampled_from([".", ","]),
            "thousands": st.sampled_from(["'", ",", "."]),
            "first_line": st.integers(-1, 9),
            "header_rows": st.integers(-1, 3),
            "time_column": st.integers(-1, 4) | st.just("x"),
            "time_unit": st.sampled_from(["s", "ms", "V", ""]),
            "interval": st.floats(),
            "start": st.floats(),
            "segment": st.integers(-1, 3),
            "counts": st.booleans(),
            "names": st.lists(st.sampled_from(["x", "y", ""]), max_size=3).map(tuple),
        },
    ),
)
def test_any_choices_give_a_trace_or_a_trace_error(text: str, given_choices: dict[str, object]) -> None:
    try:
        trace = read_trace(text.encode(), choices=ReadChoices(**given_choices))  # type: ignore[arg-type]
    except TraceError:
        return
    assert trace.channels


CELLS = st.sampled_from(
    ["", "0", "1.5", "-2", "+3", ".5", "5.", "1e3", "1E-3", "1e", "--5", "---", "****", "inf", "nan", "9.9E37",
     "0x1", "1_0", "1 2", " 7 ", '"8"', "x", "True", "1e400", "5,5"]
)  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.lists(st.lists(CELLS, min_size=1, max_size=4), min_size=1, max_size=12))
def test_a_block_at_once_and_line_by_line_say_the_same(rows: list[list[str]]) -> None:
    data = "".join(",".join(row) + "\n" for row in rows).encode()
    parse = Parser(Layout(delimiter=",", decimal=".", width=3, columns=(0, 1, 2), first=0), "")
    at_once = parse._bulk(data)
    if at_once is None or data.isspace():
        return
    one_by_one = list(parse._one_by_one(data, False))
    assert not any(isinstance(item, OddLine) for item in one_by_one)
    joined = [np.concatenate([r.columns[c] for r in one_by_one if isinstance(r, Rows)]) for c in range(3)]
    (block,) = (item for item in at_once.items if isinstance(item, Rows))
    for values, other in zip(block.columns, joined, strict=True):
        # Codes for over range become gaps after parsing, in either way.
        values = np.where(np.abs(values) >= 9.9e37, np.nan, values)
        np.testing.assert_array_equal(values, other)
