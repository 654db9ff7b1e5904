"""An answer made of every kind of block, on each medium."""

import re

import pytest

from inrushlib.answers import html, terminal
from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Caution,
    Chart,
    Facts,
    FindingRow,
    Findings,
    Lines,
    Listing,
    Mark,
    Note,
    Picture,
    Ruler,
    Scale,
    Strong,
    Table,
    Temperature,
    Value,
    Verdict,
)
from inrushlib.answers.ruler import _bar, _round_values
from inrushlib.severity import Severity

HOSTILE = "<b>$x$</b> \x1b[31m"


def drawn(axes, _):
    axes.plot([0, 1], [0, 1])


FINDING = FindingRow(
    severity=Severity.DANGER, what="the switch", value=Temperature(206.4), limit=Temperature(150.0), remedy="Cool it.",
    source="data sheet", sentence="DANGER the switch: 206 C",
)  # fmt: skip
ANSWER = Answer(
    HOSTILE,
    False,
    (
        Verdict(("take ", Strong(Value(3.0, "A"))), ("the start decides.", ("It needs ", Value(2.31, "A"), ".")), True),
        Facts((("slope", Value(0.05, "ohm")), ("hot", Temperature(None)), ("nothing", Value(None, "V"))), "Figures"),
        Table(("", "from"), (("row", Value(1e-9, "V")), (HOSTILE, "-")), "Stretches", (1,), chosen=0),
        Listing((("one ", Value(1.0, "s")), "two"), "Things"),
        Findings((FINDING,), "Findings"),
        Beside((Note("small"), Caution("hot"))),
        Ruler("delays", "s", ((1e-3, 1e-2), (2e-2, None)), (Mark("recommended", 5e-3, True), Mark("own", 3e-3, False))),
        Picture("a line", drawn, 2.0, 1.0),
    ),
)


def test_terminal():
    assert terminal.render(ANSWER).splitlines() == [
        "<b>$x$</b> \\x1b[31m",
        "",
        "  TAKE 3 A: the start decides.",
        "  It needs 2.31 A.",
        "",
        "  Figures:",
        "    slope    50 mohm",
        "    hot      -",
        "    nothing  -",
        "",
        "  Stretches:",
        f"    {' ' * len(HOSTILE)}  from",
        f"    {'row'.ljust(len(HOSTILE))}  0 V",
        f"    {HOSTILE}  -",
        "",
        "  Things:",
        "    one 1 s",
        "    two",
        "",
        "  Findings:",
        "    DANGER the switch: 206 C",
        "",
        "  small",
        "",
        "  hot",
    ]


def test_html():
    found = html.render(ANSWER)
    assert '<div class="wb-answer" role="status"><b>Take 3 A</b>. The start decides.' in found
    assert "50 mΩ" in found
    assert "✗\u00a0danger" in found
    assert "206 °C" in found
    assert '<tr class="wb-chosen"><th scope="row">row</th><td class="wb-number">0 V</td></tr>' in found
    assert "data:image/png;base64," in found
    assert 'alt="a line"' in found
    assert 'aria-label="delays"' in found
    assert "<b>$x$" not in found
    assert len(re.findall("<table", found)) == len(re.findall("</table>", found)) == 3


WIDE = Table(
    ("remedy", "takes", "peak", "risks"),
    (("a fuse", Lines(("a holder of 10 mohm", "a cap")), Value(3.0, "A"), Lines(("one.", "two."))),
     ("nothing", "", Value(None, "A"), "none")),
    "Side by side", wide=True,
)  # fmt: skip


def test_a_wide_table_is_a_paragraph_a_row_on_a_terminal_and_a_table_on_a_page():
    assert terminal.render(Answer("t", True, (WIDE,))).splitlines()[2:] == [
        "  Side by side:",
        "    a fuse",
        "      takes  a holder of 10 mohm",
        "             a cap",
        "      peak   3 A",
        "      risks  one.",
        "             two.",
        "",
        "    nothing",
        "      risks  none",
    ]
    page = html.render(Answer("t", True, (WIDE,)))
    assert page.startswith('<div class="wb-scroll"><table')
    assert '<td data-head="takes">a holder of 10 mΩ<br>a cap</td>' in page
    assert '<td data-head="risks">one.<br>two.</td>' in page


def test_ohm_is_written_as_its_sign_on_a_page_only_behind_a_number():
    assert html.html_of("4.7 kohm at the gate, 0.3 ohm") == "4.7 kΩ at the gate, 0.3 Ω"
    assert html.html_of("Ohm's board, ohm") == "Ohm&#x27;s board, ohm"


CHART = Chart(
    rows=("SSB", "SBB"),
    x=Scale("adapter.rated_current", ((0, "1 A"), (2, "3 A")), "by equal differences"),
    y=Scale("bus.bulk", ((0, "10 uF"), (1, "1000 uF")), "by equal factors"),
    legend=(("B", "boots"), ("S", "stuck")),
)


def test_a_chart_has_its_axes_on_a_terminal_and_gives_way_to_a_picture_on_a_page():
    assert terminal.render(Answer("t", True, (CHART,))).splitlines()[2:] == [
        "  bus.bulk, upwards by equal factors",
        "",
        "  1000 uF - SSB",
        "    10 uF - SBB",
        "            |",
        "            1 A",
        "            adapter.rated_current, to the right by equal differences",
        "",
        "  B  boots",
        "  S  stuck",
    ]
    assert html.render(Answer("t", True, (CHART,))) == ""


def test_units_keep_their_spelling_in_a_loud_headline():
    loud = Answer("t", True, (Verdict(("take ", Value(0.47e-3, "F"))),))
    assert terminal.render(loud).splitlines()[-1] == "  TAKE 470 uF."


def test_a_stretch_with_an_upper_end_ends_in_a_side_and_one_without_in_a_point():
    assert "H300.0 V60" in _bar(20.0, 300.0, opened=False)
    assert "L300.0 47" in _bar(20.0, 300.0, opened=True)


@pytest.mark.parametrize(
    ("low", "high", "values"),
    [(1.5e-3, 0.03, [2e-3, 5e-3, 1e-2, 2e-2]), (1e-6, 1e-1, [1e-5, 1e-4, 1e-3, 1e-2])],
)
def test_a_ruler_has_round_values(low, high, values):
    assert _round_values(low, high) == pytest.approx(values)
