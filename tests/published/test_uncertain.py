"""Values with their uncertainty, to the place that the guide to its expression asks for.

JCGM 100:2008 (GUM), from memory: 7.2.2 and 7.2.6, H.1.
"""

from datetime import date

import pytest

from inrushlib.answers.fit import fit_blocks, with_note
from inrushlib.answers.guide import _known, log_table
from inrushlib.answers.measured import measured_table
from inrushlib.answers.terminal import text_of
from inrushlib.build import new_build
from inrushlib.guide import bench_log
from inrushlib.measurements import How, Measurement, MeasurementLog
from inrushlib.quantities import format_between, format_uncertain, format_uncertainty
from inrushlib.trace import Fit, FittedKey
from inrushlib.trace.fit.status import Status


@pytest.mark.parametrize(
    ("value", "uncertainty", "unit", "said"),
    [
        # 7.2.6: "if y = 10.057 62 ohm with uc(y) = 27 mohm, y should be rounded to 10.058 ohm".
        (10.05762, 27e-3, "ohm", ("10.058 ohm", "0.027 ohm")),
        # 7.2.6: u(x) = 28.05 kHz is rounded down to 28 kHz.
        (1.23456e6, 28.05e3, "Hz", ("1.235 MHz", "0.028 MHz")),
        # 7.2.4: Y = (100.021 47 +- 0.000 79) g.
        (100.0214712, 0.00079123, "g", ("100.02147 g", "0.00079 g")),
        # H.1.7: l = (50.000 838 +- 0.000 093) mm.
        (50.0008381e-3, 0.0000932e-3, "m", ("50.000838 mm", "0.000093 mm")),
    ],
)
def test_the_guide_s_own_examples(value, uncertainty, unit, said):
    assert format_uncertain(value, uncertainty, unit) == said


@pytest.mark.parametrize(
    ("value", "uncertainty", "said"),
    [
        (0.5173, 0.2834, ("520 mV", "280 mV")),
        (2.0, 0.0996, ("2.00 V", "0.10 V")),  # it is the rounded uncertainty that has two digits
        (2e-3, 1.3, ("0.0 V", "1.3 V")),
        (-1e-5, 1.3, ("0.0 V", "1.3 V")),
        (3.3, 0.0, ("3.3 V", "0 V")),
        (3.3, float("nan"), ("3.3 V", "nan V")),
    ],
)
def test_uncertainties_that_are_large_or_none(value, uncertainty, said):
    assert format_uncertain(value, uncertainty, "V") == said


def test_ends_of_an_interval_stand_to_the_place_that_it_leaves_open():
    assert format_between(0.105123, 0.100634, 0.109412, "ohm") == ("105.1 mohm", "100.6 mohm", "109.4 mohm")
    assert format_between(2.34567, None, 2.5, "V") == ("2.35 V", None, "2.50 V")
    assert format_between(2.34567, None, None, "V") == ("2.346 V", None, None)


def test_an_uncertainty_by_itself_has_two_digits():
    """Found on the bench page: known to +-27.9 mV."""
    assert format_uncertainty(0.0279, "V") == "28 mV"
    assert text_of(_known("controller.brownout_rising", 0.01423)).endswith(" to ±28 mV")


def test_the_log_says_what_was_measured_to_the_place_that_it_is_known_to():
    build = new_build(
        {"title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8}
    )  # fmt: skip
    row = Measurement(
        key="lead.resistance", value=0.105123, low=0.100634, high=0.109412, level=0.95, how=How.BENCH, source="meter",
        day=date(2026, 3, 1), modelled=0.127,
    )  # fmt: skip
    log = MeasurementLog((row,))
    shown = [text_of(cell) for cell in log_table(bench_log(build.with_measured(log), log)).rows[0]]
    assert shown[2:4] == ["105.1 mohm", "100.6 mohm to 109.4 mohm"]
    table = measured_table(build, [row])
    assert [table.heads[place] for place in table.numbers] == ["the build has", "measured", "from", "to", "level"]
    shown = [text_of(cell) for cell in table.rows[0]]
    assert shown[2:5] == ["105.1 mohm", "100.6 mohm", "109.4 mohm"]


def test_a_fit_says_its_values_to_the_place_of_their_standard_errors():
    build = new_build(
        {"title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8}
    )  # fmt: skip
    key, value, half = "adapter.limit_current", 5.602314, 0.0243219
    found = FittedKey(
        key=key, value=value, start=6.0, interval=(value - half, value + half), status=Status.INTERVAL
    )  # fmt: skip
    fit = Fit(keys={key: found}, build=build, shift=0.0, name="seen.csv")
    table = fit_blocks(fit)[1]
    assert [text_of(cell) for cell in table.rows[0][1:5]] == ["5.602 A", "0.012 A", "5.578 A to 5.627 A", "6 A"]
    assert with_note(fit).splitlines()[1] == f"#   {key} = 5.602 A +- 0.012 A, from 6 A"
