"""Every refusal of a capture says what to tell, as the command and the page take it, and both are understood."""

import argparse
import shlex

import pytest

from inrushlib.build import new_build
from inrushlib.cli.reading import add_reading, told_of_file
from inrushlib.errors import TraceError
from inrushlib.trace import SETTINGS, CaptureRefused, ReadChoices, Setting, choices_from, measure, read_trace
from inrushlib.trace.read.settings import Advice, Way

from . import bench_layouts, test_refusals

SOUND = b"t [s],x [V]\n0,1.5\n1,2.5\n2,3.5\n"
UNTOLD = [*test_refusals.BAD, *(data for data, _, _ in test_refusals.AMBIGUOUS.values())]
UNTOLD += [each.data for name, each in bench_layouts.REFUSED.items() if "interval" not in name]
REFUSED = [(data, ReadChoices()) for data in UNTOLD]
REFUSED += [(SOUND, ReadChoices(**told)) for told in test_refusals.CHOICES.values()]
# What no telling helps: there is nothing in it, or it has to be cut into files.
HELPLESS = ("the file is empty", "save the parts as files of their own")


def refusal(data: bytes, choices: ReadChoices) -> CaptureRefused:
    with pytest.raises(CaptureRefused) as caught:
        read_trace(data, choices=choices)
    return caught.value


def advice_of(error: CaptureRefused) -> list[Advice]:
    return [part for each in error.wordings for part in each.parts if isinstance(part, Advice)]


@pytest.mark.parametrize(("data", "choices"), REFUSED)
def test_a_refusal_names_an_option_and_a_control_and_no_argument(data: bytes, choices: ReadChoices) -> None:
    error = refusal(data, choices)
    for each in error.wordings:
        ways = [part for part in each.parts if not isinstance(part, str)]
        assert ways or any(words in each.for_command for words in HELPLESS)
        assert "--" not in each.for_page
        plain = "".join(part for part in each.parts if isinstance(part, str))
        assert not any(f"{setting.value}=" in plain or ("_" in setting.value and setting.value in plain)
                       for setting in Setting)  # fmt: skip


@pytest.mark.parametrize("data", UNTOLD)
def test_what_a_refusal_offers_is_taken_as_it_is_written(data: bytes) -> None:
    parser = argparse.ArgumentParser()
    add_reading(parser)
    for advice in advice_of(refusal(data, ReadChoices())):
        if not advice.value:
            continue
        typed = told_of_file(parser.parse_args(shlex.split(advice.as_option)))
        control, _, text = advice.as_control.partition('": ')
        assert control == f'"{SETTINGS[advice.setting].control}'
        assert choices_from({advice.setting: [text]}) == typed != ReadChoices()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"t [s],x [V]\n0,1\n1,2\n0.9,3\n2,4\n", {Setting.IGNORE: ["t"], Setting.INTERVAL: ["1 ms"]}),
        (b"t [s],x [V]\n0,1\n1,2\n0.9,3\n2,4\n", {Setting.TIME_COLUMN: ["0"], Setting.INTERVAL: ["1 ms"]}),
        (b"t [s],x [V]\n1,1\n1,2\n1,3\n", {Setting.TIME_COLUMN: ["0"], Setting.INTERVAL: ["1 ms"]}),
        (b"t [s],x [V]\n0,1\n,2\n2,3\n", {Setting.TIME_COLUMN: ["0"], Setting.INTERVAL: ["1 ms"]}),
        (b"Sampling period,2V\n1.5\n2.5\n", {Setting.INTERVAL: ["1 ms"]}),
        (b"Sampling period,-1us\n1.5\n2.5\n", {Setting.INTERVAL: ["1 ms"]}),
        (b"Sample rate,2 V\n1.5\n2.5\n", {Setting.INTERVAL: ["1 ms"]}),
        (b"Sampling period,1us\nVertical scale,1e308\nCH1\n100\n-50\n", {Setting.SCALES: ["CH1=0.1"]}),
    ],
)
def test_the_way_out_works(data: bytes, told: dict[Setting, list[str]]) -> None:
    named = {advice.setting for advice in advice_of(refusal(data, ReadChoices()))}
    assert named >= set(told) - {Setting.IGNORE}
    trace = read_trace(data, choices=choices_from(told))
    assert trace.time[1] - trace.time[0] == pytest.approx(1e-6 if Setting.SCALES in told else 1e-3)


BUILD = {"title": "t", "adapter.rated_current": 1, "wiring.sections": 1, "wiring.pixels_per_section": 64}
VOLTS = b"t [s],shunt 1 [V]\n" + b"".join(b"%d,%d\n" % (i, 1 + i % 3) for i in range(20))


@pytest.mark.parametrize(
    ("channels", "scales", "option", "control"),
    [
        ({"shunt 1": "lead_current"}, {}, "--scale 'shunt 1=FACTOR'", '"factor of shunt 1"'),
        ({"shunt 1": "bus_voltage"}, {"shunt 1": 1e9}, "--scale 'shunt 1=FACTOR'", '"factor of shunt 1"'),
        ({}, {}, "--channel NAME=QUANTITY", "the choice beside its name"),
    ],
)
def test_a_channel_that_cannot_be_laid_over_leads_to_its_control(channels, scales, option, control) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(TraceError) as caught:
        measure(read_trace(VOLTS), channels, new_build(BUILD), scales)
    error = caught.value
    assert isinstance(error, CaptureRefused)
    assert any(isinstance(part, Way) for part in error.wordings[0].parts)
    assert option in str(error)
    assert control in error.for_page
    assert "--" not in error.for_page
