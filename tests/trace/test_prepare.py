"""From a capture to measured curves."""

import numpy as np
import pytest

from inrushlib.build import load_build
from inrushlib.errors import TraceError, UsageError
from inrushlib.parts.place import Place, PlaceKind
from inrushlib.startup import curve_named, curves_of
from inrushlib.trace import Channel, Trace
from inrushlib.trace.prepare import channel_named, converter_step, measure, sample_noise

from .. import make_captures


@pytest.fixture(scope="module")
def build():
    return load_build(make_captures.ROOT / "workbook/builds/tide_board_boots.toml")


def capture(**channels):
    values = next(iter(channels.values()))[0]
    return Trace(
        time=1e-3 * np.arange(len(values)),
        channels={name: Channel(v, unit) for name, (v, unit) in channels.items()},
        name="x",
    )


def test_chosen_channels_are_scaled_and_gaps_counted(build):
    clamp = np.linspace(0.0, 0.9, 10)
    clamp[[3, 4]] = np.nan
    trace = capture(CH1=(np.arange(10.0), "V"), CH2=(clamp, "V"), spare=(np.ones(10), "V"))
    found = measure(trace, {"CH1": "bus_voltage", "CH2": "lead_current"}, build, {"CH2": -10.0})
    assert list(found.curves) == ["bus_voltage", "lead_current"]
    np.testing.assert_allclose(found.curves["lead_current"], -10.0 * clamp)
    assert found.gaps == 2


def test_sections_are_curves(build):
    last = curves_of(build)[-1]
    assert (last.name, last.unit, last.of) == ("section_3_voltage", "V", Place(PlaceKind.SECTION, 3))
    assert curve_named("section_3_voltage") == last
    with pytest.raises(UsageError, match="no curve of a run; accepted: adapter_voltage, lead_current"):
        curve_named("section_03_voltage")


@pytest.mark.parametrize(
    ("channels", "scales", "message"),
    [
        ({"CH3": "bus_voltage"}, {}, "channel CH3: not in the capture; it has CH1, CH2"),
        ({"CH1": "bus_volts"}, {}, "channel CH1: bus_volts is no quantity of the model; accepted: adapter_voltage"),
        ({"CH1": "section_4_voltage"}, {}, "section_4_voltage is no quantity"),
        ({"CH1": "bus_voltage"}, {"CH1": 0.0}, "scale of CH1: 0.0; accepted: a number other than zero"),
        ({"CH1": "bus_voltage"}, {"CH1": np.nan}, "scale of CH1: nan"),
        ({"CH1": "bus_voltage"}, {"CH9": 2.0}, "channel CH9: not in the capture"),
        ({"CH1": "bus_voltage", "CH2": "bus_voltage"}, {}, "two channels are given the same quantity"),
        ({}, {}, "no channel is named; the capture has CH1, CH2"),
        ({"CH1": "lead_current"}, {}, "channel CH1: in V, but lead_current is in A; accepted: that unit, or a factor"),
        ({"CH1": "bus_voltage"}, {"CH1": 1e6}, "channel CH1: 1.9e+07 V with its factor; accepted: up to 1e+06"),
        ({"CH1": "bus_voltage"}, {"CH1": -1e308}, "channel CH1: inf V with its factor"),
        ({"CH2": "rail_voltage"}, {}, "rail_voltage: fewer than 8 samples that are not gaps"),
    ],
)
def test_what_cannot_be_is_refused_in_one_message(build, channels, scales, message):
    few = np.full(20, np.nan)
    few[:7] = 1.0
    trace = capture(CH1=(np.arange(20.0), "V"), CH2=(few, "V"))
    with pytest.raises(TraceError) as caught:
        measure(trace, channels, build, scales)
    assert message in str(caught.value)


def test_all_problems_come_together(build):
    with pytest.raises(TraceError) as caught:
        measure(capture(CH1=(np.arange(20.0), "V")), {"CH1": "volts", "CH2": "bus_voltage"}, build, {"CH1": 0.0})
    assert len(caught.value.problems) == 3


def test_a_capture_that_spans_no_time_is_refused(build):
    trace = Trace(time=np.zeros(20), channels={"CH1": Channel(np.arange(20.0), "V")})
    with pytest.raises(TraceError, match="20 samples that span no time"):
        measure(trace, {"CH1": "bus_voltage"}, build)


@pytest.mark.parametrize("step", [0.0, 0.025])
def test_noise_is_found_under_edges_and_through_the_converter(step):
    rng = np.random.default_rng(3)
    values = np.repeat([0.0, 3.0, 5.0, 4.9], 5000) + rng.normal(0.0, 0.02, 20000)
    if step:
        values = step * np.rint(values / step)
    # Noise and the converter's step together: sqrt(0.02^2 + q^2 / 12).
    assert sample_noise(values) == pytest.approx(np.hypot(0.02, step / np.sqrt(12)), rel=0.05)


def test_a_silent_capture_has_the_noise_of_its_step():
    assert sample_noise(np.repeat([0.0, 0.5, 1.0], 100)) == pytest.approx(0.5 / np.sqrt(12))
    assert sample_noise(np.zeros(100)) > 0


def test_step_of_the_converter_survives_the_rounding_of_text():
    step = 6.4 / 256
    levels = np.round(step * np.random.default_rng(0).integers(0, 256, 3000) - 0.4, 3)
    assert converter_step(levels) == pytest.approx(step, rel=1e-3)
    assert converter_step(np.ones(5)) == 0.0


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("CH1", "CH1"),
        ("CH1 (V)", "CH1"),
        ("ch1", "CH1"),
        ("ch2 (a)", "CH2"),
        (" CH2 ", "CH2"),
        ("b", "b"),
        ("B", "B"),
        ("Same (V)", "Same (V)"),
        ("CH9", "CH9"),
    ],
)
def test_a_channel_is_found_by_its_header_cell_and_in_any_case(text, name):
    labels = {"CH1": "CH1 (V)", "CH2": "CH2 (A)", "b": "b", "B": "B", "x": "Same (V)", "y": "Same (V)"}
    channels = {n: Channel(np.arange(3.0), "V", label=label) for n, label in labels.items()}
    assert channel_named(Trace(time=np.arange(3.0), channels=channels), text) == name
