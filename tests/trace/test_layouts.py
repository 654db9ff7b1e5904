"""Layouts that could be read in two ways: refused with options of the command or controls of the page; times, units."""

import re

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.errors import TraceError
from inrushlib.trace import (
    SETTINGS,
    CaptureRefused,
    ReadChoices,
    Setting,
    choices_from,
    measure,
    read_trace,
)

from . import bench_layouts, writer
from .test_round_trips import assert_says


@pytest.mark.parametrize("layout", bench_layouts.REFUSED)
def test_refused_with_choices_that_work(layout: str) -> None:
    refused = bench_layouts.REFUSED[layout]
    told = ReadChoices(interval=1e-3) if "contradict" in layout and "interval" in layout else ReadChoices()
    with pytest.raises(CaptureRefused, match=re.escape(refused.says)) as caught:
        read_trace(refused.data, choices=told)
    assert "--" not in caught.value.for_page
    assert not re.search(r"\b\w+=", str(caught.value)), "no argument of a function"
    for choices, written in refused.ways:
        assert_says(read_trace(refused.data, choices=choices), written)


def test_a_column_to_leave_out_that_is_not_there() -> None:
    data = bench_layouts.beside_samples("D0")
    said = "--ignore D1 is none of the columns: 1 'time [us]', 2 'D0', 3 'CH1 [V]'"
    with pytest.raises(CaptureRefused, match=re.escape(said)):
        read_trace(data, choices=ReadChoices(ignore=("D0", "D1")))
    with pytest.raises(CaptureRefused, match="--ignore 7 is none of the columns"):
        read_trace(data, choices=ReadChoices(ignore=("D0", "7")))


def test_pairs_are_told_by_the_order_of_low_and_high() -> None:
    assert read_trace(writer.peak_pairs().data).paired
    rounded = read_trace(bench_layouts.rounded_times(by_twos=True))
    assert not rounded.paired
    assert "time: 30 samples have the time of the one before, as written" in rounded.inferred
    assert rounded.hints[0].for_command.startswith("the times look rounded: --interval 0.0004")
    assert rounded.hints[0].for_page.startswith('the times look rounded: "interval": 0.0004')


def test_a_curve_that_only_rises_is_no_pairs() -> None:
    rows = "".join(f"{i // 2},{i}\n" for i in range(60))
    assert not read_trace(f"time [ms],CH1 [V]\n{rows}".encode()).paired


BUILD = {"title": "t", "adapter.rated_current": 1, "wiring.sections": 1, "wiring.pixels_per_section": 64}


def bare(step: float, volts: float, header: str = "time,CH1") -> bytes:
    rows = "".join(f"{i * step:.1f},{volts * (1 + i % 3 / 100):.3f}\n" for i in range(600))
    return f"{header}\n{rows}".encode()


@pytest.mark.parametrize(
    ("data", "says", "told"),
    [
        (
            bare(0.1, 5.0),
            "the time has no unit: in seconds the capture lasts 59.9 s, the build's run 1 s; "
            "choose --time-unit ms or --time-unit us or --time-unit s",
            {Setting.TIME_UNIT: ["ms"]},
        ),
        (
            bare(0.1, 5000.0, "time [ms],CH1"),
            "channel CH1 has no unit: in V it reaches 5100, the adapter gives 5.1; "
            "choose --unit CH1=mV or --unit CH1=V",
            {Setting.UNITS: ["CH1=mV"]},
        ),
    ],
)
def test_units_that_cannot_be_are_asked_for(data: bytes, says: str, told: dict[Setting, list[str]]) -> None:
    build = new_build({**BUILD, "run.duration": 1})
    with pytest.raises(CaptureRefused, match=re.escape(says)) as caught:
        measure(read_trace(data), {"CH1": "bus_voltage"}, build)
    assert "--" not in caught.value.for_page
    measured = measure(read_trace(data, choices=choices_from(told)), {"CH1": "bus_voltage"}, build)
    assert measured.time[-1] == pytest.approx(59.9e-3)
    assert np.nanmax(measured.curves["bus_voltage"]) == pytest.approx(5.1)


def test_what_the_builder_says_is_not_asked_again() -> None:
    told = {Setting.TIME_UNIT: ["s"], Setting.UNITS: ["CH1=V"]}
    trace = read_trace(bare(0.1, 5000.0), choices=choices_from(told))
    assert len(measure(trace, {"CH1": "bus_voltage"}, new_build(BUILD)).time) == 600


def test_every_choice_has_an_option_and_a_control() -> None:
    assert {setting.value for setting in SETTINGS} == set(ReadChoices.__dataclass_fields__)
    assert len({spec.option for spec in SETTINGS.values()}) == len(SETTINGS)
    assert len({spec.control for spec in SETTINGS.values()}) == len(SETTINGS)


def test_texts_that_are_not_accepted_are_told_at_once() -> None:
    told = {
        Setting.INTERVAL: ["soon"],
        Setting.UNITS: ["CH1"],
        Setting.FIRST_LINE: ["two"],
        Setting.DECIMAL: ["x"],
        Setting.SCALES: ["CH1=x"],
    }
    with pytest.raises(TraceError) as caught:
        choices_from(told)
    assert caught.value.problems == [
        "--interval soon: accepted: seconds, or a number with its unit such as 2 us",
        "--unit CH1: accepted: NAME=VALUE",
        "--first-line two: accepted: a whole number",
        "--decimal x: accepted: ., ,",
        "--per-count x: accepted: a number",
    ]


def test_typed_choices() -> None:
    told = {
        Setting.DELIMITER: [r"\t"],
        Setting.INTERVAL: ["20 us"],
        Setting.START: ["-0.5"],
        Setting.TIME_COLUMN: ["2"],
        Setting.IGNORE: ["a", "b c"],
        Setting.OFFSETS: ["CH 1=0.5"],
        Setting.THOUSANDS: [""],
    }
    assert choices_from(told) == ReadChoices(
        delimiter="\t", interval=2e-5, start=-0.5, time_column=2, ignore=("a", "b c"), offsets={"CH 1": 0.5}
    )
