"""An integrated load switch as its makers' data sheets work it out: I = C dV/dt, by slew and by limit.

Numbers marked "derived" follow from the printed ones. Tolerances are half of the last printed digit.
"""

import pytest

from .bare_build import at, first_reach, stiff

LOAD_SWITCH = {"switch.kind": "load-switch", "switch.on_resistance": 0.05}

# Supply, load capacitor, swing that is counted, milliamperes and microseconds, and half of the latter's last digit.
EXAMPLES = {
    # Data sheet TPS22810, section 10.5.2.3, equations 9 to 13: 9.6 V is 80 % of 12 V. Prints 220 mA; 220.7 derived.
    "TPS22810 at its limit of inrush": (12.0, 22e-6, 9.6, 400, 528.0, 0.05),
    "TPS22810 as slow as its capacitor makes it": (12.0, 22e-6, 9.6, 220.7, 957.0, 0.5),
    # Data sheet TPS22992 (SLVSFT0A): above 1175 us; 47 uF over the whole swing is derived.
    "TPS22992": (5.0, 47e-6, 5.0, 200, 1175.0, 0.05),
    # Data sheets TPS22965, TPS22966, TPS22976: 22 uF over the whole swing is derived.
    "TPS22966": (3.3, 22e-6, 3.3, 400, 181.5, 0.05),
    # Data sheet TPS22919, equation 3 and table 3 (3.6 V, 47 uF, 150 mA): times derived, 10 to 90 % and whole.
    "TPS22919, 10 to 90 %": (3.6, 47e-6, 2.88, 150, 902.4, 0.05),
    "TPS22919, whole swing": (3.6, 47e-6, 3.6, 150, 1128.0, 0.05),
}


@pytest.fixture(scope="module", params=EXAMPLES)
def example(request):
    return EXAMPLES[request.param]


def ten_to_ninety(startup, volts, span):
    """Time over 80 % of the supply: straight, so that any other swing follows; the rounded ends are left out."""
    since = startup.running_at
    edges = [first_reach(startup, "panel_voltage", share * volts, since, since + 2 * span) for share in (0.1, 0.9)]
    return edges[1] - edges[0], sum(edges) / 2


def test_slew_sets_the_current(example):
    volts, farad, swing, milliampere, microseconds, _ = example
    slew = swing / (microseconds * 1e-6)
    values = {**LOAD_SWITCH, "panel.ceramic": farad, "switch.slew_rate": slew, "switch.current_limit": 5}
    startup = stiff(volts, values, 15e-3)
    _, middle = ten_to_ninety(startup, volts, volts / slew)
    # The panel's 1 pF beside it takes nothing; the bus's 0.1 uF is full.
    assert 1e3 * at(startup, "lead_current", middle) == pytest.approx(milliampere, abs=0.5)
    assert at(startup, "panel_voltage", startup.running_at - 1e-6) == pytest.approx(0.0, abs=1e-9)


def test_limit_sets_the_time(example):
    volts, farad, swing, milliampere, microseconds, digit = example
    limit = 1e-3 * milliampere
    values = {**LOAD_SWITCH, "panel.ceramic": farad, "switch.slew_rate": 1e9, "switch.current_limit": limit}
    startup = stiff(volts, values, 15e-3)
    span, middle = ten_to_ninety(startup, volts, farad * volts / limit)
    assert 1e6 * span * swing / (0.8 * volts) == pytest.approx(microseconds, abs=digit)
    assert 1e3 * at(startup, "lead_current", middle) == pytest.approx(milliampere, rel=1e-6)


def test_negative_eighty_percent_is_not_the_whole_swing():
    # Reading the first example's 528 us as the time over all 12 V would give 500 mA, not the printed 400 mA.
    values = {**LOAD_SWITCH, "panel.ceramic": 22e-6, "switch.slew_rate": 12.0 / 528e-6, "switch.current_limit": 5}
    startup = stiff(12.0, values, 15e-3)
    assert 1e3 * at(startup, "lead_current", startup.running_at + 264e-6) == pytest.approx(500.0, abs=0.5)
