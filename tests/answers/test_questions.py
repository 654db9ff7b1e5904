"""The answers of remedies, map, comparison, fit and bench table: made once, the same numbers on terminal and page."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from inrushlib.answers import html, terminal
from inrushlib.answers.compare import Laid, compare_answer
from inrushlib.answers.fit import with_note
from inrushlib.answers.map import map_answer
from inrushlib.answers.pixel import pixel_answer
from inrushlib.answers.remedies import remedies_answer
from inrushlib.build import load_build, new_build
from inrushlib.quantities import in_percent, with_signs
from inrushlib.remedies import NoRemedy, compare_remedies
from inrushlib.search import Axis, verdict_map
from inrushlib.startup import simulate
from inrushlib.trace import compare, fit_bench, fit_build, measure, read_bench, read_trace

ROOT = Path(__file__).resolve().parents[2]
SIX_TILES = new_build(
    {"title": "six tiles", "adapter.rated_current": 1, "wiring.sections": 6, "wiring.pixels_per_section": 64}
)


def page_of(answer):
    """The page's words, one blank between any two."""
    shown = re.sub(r'src="[^"]*"', "", html.render(answer))
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", shown)).replace("&#x27;", "'")


def lines_of(answer):
    return re.sub(r"\s+", " ", terminal.render(answer))


@pytest.fixture(scope="module")
def remedies():
    return compare_remedies(SIX_TILES)


def test_remedies_say_the_same_on_both(remedies):
    answer = remedies_answer("six tiles", remedies)
    helping = [remedy for remedy in remedies if remedy.helps]
    assert answer.good
    for said, spelled in ((page_of(answer), with_signs), (lines_of(answer), str)):
        assert f"{len(helping)} of {len(remedies) - 1} remedies help." in said
        assert "Start as it is: stuck; with it: boots." in said
        for remedy in remedies:
            assert spelled(remedy.why[1:]) in said
            if not isinstance(remedy, NoRemedy):
                for sentence in remedy.could_go_wrong:
                    assert spelled(sentence) in said
    head = terminal.render(answer).splitlines()[2]
    assert head.startswith(f"  {helping[0].name.value.upper()}")
    assert "<img" not in html.render(answer)  # the table says it; not the same twice


def test_remedies_of_what_boots_and_of_what_nothing_helps():
    boots = compare_remedies(SIX_TILES.with_values({"adapter.rated_current": 8}))
    assert "IT BOOTS AT THE FIRST TRY AS IT IS" in terminal.render(remedies_answer("six tiles", boots))
    burnt = compare_remedies(SIX_TILES.with_values({"adapter.rated_voltage": 12, "adapter.rated_current": 8}))
    answer = remedies_answer("six tiles", burnt)
    assert not answer.good
    lines = terminal.render(answer).splitlines()
    assert lines[2].startswith("  OVERSTRESSED: The pixels see 11.9 V")  # first of all, since no remedy mends it
    assert any(line.startswith("  NONE OF THESE MAKES IT BOOT") for line in lines)


def test_the_map_has_its_axes_its_own_build_and_the_ends_of_its_ranges():
    build = SIX_TILES.with_values({"bus.bulk": 470e-6, "adapter.rated_current": 3})
    x, y = Axis("adapter.rated_current", 1, 6, 40), Axis("bus.bulk", 1e-5, 1e-2, 31, log=True)
    found = verdict_map(build, x, y)
    answer = map_answer(found)
    lines = terminal.render(answer).splitlines()
    at = lines.index("  bus.bulk, upwards by equal factors")
    rows = [line for line in lines[at + 2 :] if re.search("[BRTKLSO]{40}$", line)]
    assert len(rows) == 16  # every second of 31, both ends among them
    assert rows[0].split()[0] == "10000"
    assert rows[-1].split()[0] == "10"
    below = lines[lines.index(rows[-1]) + 1 :]
    assert below[0].index("|") == rows[-1].index(rows[-1].split()[-1])  # a tick below the first letter
    assert below[1].split()[:2] == ["1", "A"]
    assert below[1].split()[-2:] == ["6", "A"]
    assert below[2].strip() == "adapter.rated_current, to the right by equal differences"
    letters = np.array([list(row[-40:]) for row in rows])
    assert (letters[-1] == "B").tolist() == found.boots[0].tolist()
    share = in_percent(found.good.mean())
    assert "This build: adapter.rated_current 3 A, bus.bulk 470 uF." in lines_of(answer)
    assert "This build: adapter's rated current 3 A, bulk capacitor at the bus 470 µF." in page_of(answer)
    for said in (page_of(answer), lines_of(answer)):
        assert share in said
        assert f"From {found.runs} starts" in said
    assert "BBBB" not in page_of(answer)


@pytest.fixture(scope="module")
def laid():
    build = load_build(ROOT / "workbook/builds/tide_board_with_switch.toml")
    trace = read_trace(ROOT / "sample_traces/tide_board_with_switch.csv")
    channels = {"bus_voltage": "bus_voltage", "lead_current": "lead_current"}
    measured = measure(trace, channels, build)
    start = simulate(build)
    return Laid(
        measured=measured, start=start, comparison=compare(measured, start), inferred=trace.inferred,
        channels={"bus_voltage": "CH <1>"},
    )  # fmt: skip


def test_a_comparison_says_the_same_on_both_in_the_time_of_the_run(laid):
    answer = compare_answer(laid)
    bus, lead = (laid.comparison.channels[name] for name in ("bus_voltage", "lead_current"))
    assert answer.title.startswith("tide_board_with_switch.csv over ")
    worst = lead.largest_difference_at + laid.comparison.shift
    for said in (page_of(answer), lines_of(answer)):
        assert f"{1e3 * bus.rms:.3g} mV" in said
        assert f"{1e3 * lead.rms:.3g} mA" in said
        assert f"at most {abs(lead.largest_difference):.3g} A, at {1e3 * worst:.3g} ms" in said
        assert f"{1e3 * (bus.measured.release_at + laid.comparison.shift):.3g} ms" in said
        assert "6200" in said
        assert "encoding: UTF-8" in said
    assert "from channel CH <1>" in terminal.render(answer)
    assert "from channel CH &lt;1&gt;" in html.render(answer)


def test_the_report_of_a_fit(laid):
    lead = {"lead_current": laid.measured.curves["lead_current"]}
    fit = fit_build(laid.start.build, replace(laid.measured, curves=lead), ["adapter.limit_current"])
    answer = compare_answer(laid, fit)
    key = fit.keys["adapter.limit_current"]
    assert fit.alarm
    for said in (page_of(answer), lines_of(answer)):
        assert all(finding.sentence.lower() in said.lower() for finding in fit.alarm)
        assert "determines 0 of 1 parameters" in said.lower()  # the capture differs in more than this key
        assert f"{key.value:.4g} A" in said
        assert f"{fit.runs} model runs." in said
        assert fit.checksum in said
    note = with_note(fit).splitlines()
    assert fit.checksum in note[0]
    assert note[1].startswith(f"#   adapter.limit_current = {key.value:.4g} A ({key.note})")


def test_a_bench_table():
    rows = b"voltage [V],current [mA],count,colour\n5,8.4,0,dark\n5,128.4,10,red\n5,248.4,20,red\n"
    table = read_bench(rows, pixels=20)
    said = lines_of(pixel_answer(table, fit_bench(table)))
    assert "From 3 readings" in said
    assert re.search(r"pixel.channel_current 12\.000 mA \+- 0\.0\d\d mA", said)
    assert "pixel.channel_resistance 80 ohm, " in said
