"""Each law's value and slopes against the equations written a second time, and at its limits.

The second writing is in ``equations``; slopes are compared with complex steps through it, so both
comparisons are sharp to rounding and a constant of any law that is off by a millionth fails.
"""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inrushlib.model import laws

from . import equations as eq

RELATIVE = 1e-9
# The compiled laws cut their tails at 37 widths, where they are below 1e-16 of the width.
TAIL = 2e-16

volts = st.floats(-8.0, 30.0)
width = st.sampled_from([1e-3, 0.01, 0.03, 0.06, 0.08, 0.5, 2.0])
ohms = st.floats(-3.0, 3.0).map(lambda x: 10.0**x)
amps = st.floats(-3.0, 1.5).map(lambda x: 10.0**x)

hunt = settings(max_examples=300, deadline=None)


def agree(got, expected, scale):
    """Equal to a billionth, save what the cut tails leave out."""
    assert math.isfinite(got)
    assert got == pytest.approx(float(expected), rel=RELATIVE, abs=TAIL * scale)


@hunt
@given(x=st.floats(-200.0, 200.0), w=width)
def test_soft(x, w):
    value, slope = laws.soft(x, w)
    agree(value, eq.soft(x, w), w)
    agree(slope, eq.slope(lambda v: eq.soft(v, w), x), 1.0)


@pytest.mark.parametrize("w", [0.01, 0.08, 1.0])
def test_soft_limits(w):
    # ln 2 at the corner, the identity far above it, nothing far below: exactly.
    assert laws.soft(0.0, w) == (pytest.approx(w * math.log(2.0), rel=1e-15), 0.5)
    assert laws.soft(1e3 * w, w) == (1e3 * w, 1.0)
    assert laws.soft(-1e3 * w, w) == (0.0, 0.0)


@hunt
@given(a=volts, b=volts, w=width)
def test_least(a, b, w):
    value, to_a, to_b = laws.least(a, b, w)
    # a - soft(a - b) cancels where a is far above b: what is left is as exact as a.
    assert value == pytest.approx(float(eq.least(a, b, w)), rel=RELATIVE, abs=1e-15 * (abs(a) + abs(b)) + TAIL * w)
    agree(to_a, eq.slope(lambda x: eq.least(x, b, w), a), 4.0)
    agree(to_b, eq.slope(lambda x: eq.least(a, x, w), b), 4.0)


@hunt
@given(x=volts, w=width)
def test_rise(x, w):
    value, slope = laws.rise(x, w)
    assert value == pytest.approx(1.0 / (1.0 + math.exp(-max(x / w, -700.0))), rel=RELATIVE, abs=TAIL)
    # The second writing goes through tanh, which loses digits in its far tails.
    assert slope == pytest.approx(eq.slope(lambda v: eq.rise(v, w), x), rel=1e-6, abs=1e-15 / w)


@hunt
@given(
    v_o=volts, limit=amps, more=st.floats(1.0, 4.0), share=st.floats(0.05, 1.0), knee=st.floats(0.5, 6.0),
    style=st.sampled_from(["foldback", "constant-current"]),
)  # fmt: skip
def test_adapter_limit(v_o, limit, more, share, knee, style):
    assume(min(abs(v_o), abs(v_o - knee)) > 1e-9)  # at a corner either side's slope is right
    top, low = more * limit, share * limit
    value, slope = laws.adapter_limit(v_o, top, style == "foldback", low, knee)
    agree(value, eq.limit_current(v_o, top, style, low, knee), top)
    agree(slope, eq.slope(lambda x: eq.limit_current(x, top, style, low, knee), v_o), top)


def test_adapter_limit_at_its_corners():
    # Into a short the foldback current, at the knee and above it the full limit: exactly.
    assert laws.adapter_limit(0.0, 3.0, True, 1.0, 4.0)[0] == 1.0
    assert laws.adapter_limit(-0.5, 3.0, True, 1.0, 4.0) == (1.0, 0.0)
    assert laws.adapter_limit(4.0, 3.0, True, 1.0, 4.0) == (3.0, 0.0)
    assert laws.adapter_limit(2.0, 3.0, True, 1.0, 4.0) == (2.0, 0.5)
    assert laws.adapter_limit(0.0, 3.0, False, 1.0, 4.0) == (3.0, 0.0)


@hunt
@given(v_ref=st.floats(0.0, 13.0), v_o=volts, resistance=ohms, limit=amps, share=st.floats(0.1, 1.0))
def test_adapter_current(v_ref, v_o, resistance, limit, share):
    w = 0.01 * limit
    knee, low = 4.0, share * limit
    assume(min(abs(v_o), abs(v_o - knee)) > 1e-9)  # at a corner either side's slope is right

    def expected(ref, out):
        return eq.adapter_current(ref, out, resistance, eq.limit_current(out, limit, "foldback", low, knee), w)

    now, limit_slope = laws.adapter_limit(v_o, limit, True, low, knee)
    value, to_o, to_ref = laws.adapter_current(v_ref, v_o, resistance, now, limit_slope, w)
    # Rounding: the unlimited current cancels against itself down to the limit.
    rounding = 1e-15 * (1.0 + abs(v_ref - v_o) / resistance)
    assert value == pytest.approx(float(expected(v_ref, v_o)), rel=RELATIVE, abs=rounding)
    slack = (1.0 / resistance + limit / knee) * (4 * TAIL + rounding / w)
    assert to_o == pytest.approx(eq.slope(lambda x: expected(v_ref, x), v_o), rel=1e-8, abs=slack)
    assert to_ref == pytest.approx(eq.slope(lambda x: expected(x, v_o), v_ref), rel=1e-8, abs=slack)


@hunt
@given(
    v_b=volts, v_g=volts, v_r=volts, threshold=st.floats(0.3, 4.0), r_on=st.floats(0.002, 0.5), over=st.floats(0.2, 8.0)
)
def test_channel(v_b, v_g, v_r, threshold, r_on, over):
    drive = threshold + over
    beta = 1.0 / (r_on * over)
    value, *got = laws.channel(v_b, v_g, v_r, threshold, beta)

    def expected(b, g, r):
        return eq.channel_current(b, g, r, threshold, r_on, drive)

    # Source and drain side cancel where the switch is fully on: as exact as either of them.
    side = max(abs(v_b - v_g), abs(v_r - v_g)) + threshold
    assert value == pytest.approx(float(expected(v_b, v_g, v_r)), rel=RELATIVE, abs=1e-14 * beta * side**2)
    slopes = (
        eq.slope(lambda x: expected(x, v_g, v_r), v_b),
        eq.slope(lambda x: expected(v_b, x, v_r), v_g),
        eq.slope(lambda x: expected(v_b, v_g, x), v_r),
    )
    assert got == pytest.approx(slopes, rel=RELATIVE, abs=1e-14 * beta * side)


@pytest.mark.parametrize(
    ("v_sg", "v_sd", "amperes"),
    # The square law of the textbooks, k 5 A/V2 and threshold 1 V: saturation k/2 Vov^2, triode
    # k (Vov Vsd - Vsd^2 / 2), as printed: 2.5, 1.875 and 1.725 A.
    [(2.0, 4.0, 2.5), (2.0, 0.5, 1.875), (4.5, 0.1, 1.725)],
)
def test_channel_meets_the_square_law(v_sg, v_sd, amperes):
    # The charge-sheet law smooths either end over 80 mV. Of these the end nearest to threshold is
    # the drain of the second, 0.5 V above it: it lowers that current by 0.4 mA, below the last digit.
    value, *_ = laws.channel(5.0, 5.0 - v_sg, 5.0 - v_sd, 1.0, 5.0)
    assert value == pytest.approx(amperes, abs=0.5e-3)


def test_channel_below_threshold_falls_with_phi():
    # Below threshold a charge-sheet law falls by a factor e per phi = 40 mV: soft(x, 2 phi)^2 goes
    # as exp(2 x / (2 phi)). Textbook (EKV) form; the slope factor is one.
    deep, deeper = (laws.channel(5.0, 5.0 - v, 0.0, 1.0, 5.0)[0] for v in (0.40, 0.36))
    assert deep / deeper == pytest.approx(math.e, rel=1e-3)


@given(v_b=volts, v_g=volts, v_r=volts)
@settings(max_examples=100, deadline=None)
def test_channel_is_symmetric(v_b, v_g, v_r):
    # Source and drain change places when the current reverses.
    there, back = laws.channel(v_b, v_g, v_r, 0.9, 7.0)[0], laws.channel(v_r, v_g, v_b, 0.9, 7.0)[0]
    assert there == -back


@hunt
@given(v_b=volts, v_r=volts)
def test_body_diode(v_b, v_r):
    value, slope = laws.body(v_b, v_r)
    agree(value, eq.body_current(v_b, v_r), 1.0)
    agree(slope, eq.slope(lambda x: eq.body_current(v_b, x), v_r), 20.0)


def test_body_diode_far_out():
    # 0.7 V and 50 mohm: at 1.7 V root over bus exactly 20 A, at 20 mohm per volt.
    assert laws.body(0.0, 2.7) == (pytest.approx(2.0 / 0.05, rel=1e-15), 20.0)
    assert laws.body(5.0, 4.0) == (0.0, 0.0)


@hunt
@given(v_g=volts, v_3=volts, resistance=st.floats(0.1, 1e5))
def test_pin_clamp(v_g, v_3, resistance):
    value, slope = laws.pin_clamp(v_g, v_3, resistance)
    agree(value, eq.clamp_current(v_g, v_3, resistance), 0.03)
    agree(slope, eq.slope(lambda x: eq.clamp_current(x, v_3, resistance), v_g), 0.01)
    # The slope to the rail is taken as the negative of this one.
    agree(-slope, eq.slope(lambda x: eq.clamp_current(v_g, x, resistance), v_3), 0.01)


@hunt
@given(v_in=volts, v_h=volts, resistance=ohms, diode=st.booleans(), drop=st.floats(0.0, 1.2))
def test_feed_current(v_in, v_h, resistance, diode, drop):
    value, slope = laws.feed_current(v_in, v_h, resistance, diode, drop)
    expected = eq.feed_current(v_in, v_h, resistance, diode, drop)
    assert value == pytest.approx(float(expected), rel=RELATIVE, abs=1e-15 / resistance)
    to_in = eq.slope(lambda x: eq.feed_current(x, v_h, resistance, diode, drop), v_in)
    agree(slope, to_in, 1.0 / resistance)
    to_h = eq.slope(lambda x: eq.feed_current(v_in, x, resistance, diode, drop), v_h)
    agree(-slope, to_h, 1.0 / resistance)


@pytest.mark.parametrize("drop", [0.0, 0.3, 0.7])
def test_feed_current_rests_at_no_voltage(drop):
    # No current without a voltage, whatever the diode's rounding.
    assert laws.feed_current(3.0, 3.0, 0.05, True, drop)[0] == pytest.approx(0.0, abs=1e-16)


@hunt
@given(v_h=volts, v_3=volts, dropout=st.floats(0.0, 1.5), resistance=ohms, limit=amps)
def test_regulator(v_h, v_3, dropout, resistance, limit):
    def expected(h, rail):
        return eq.regulator_current(h, rail, 3.3, dropout, resistance, limit)

    value, to_h, to_3 = laws.regulator(v_h, v_3, 3.3, dropout, resistance, limit)
    rounding = 1e-15 * (1.0 + abs(3.3 - v_3) / 0.05 + (abs(v_h - v_3) + dropout) / resistance)
    assert value == pytest.approx(float(expected(v_h, v_3)), rel=RELATIVE, abs=4 * rounding)
    slack = (20.0 + 1.0 / resistance) * (8 * TAIL + 4 * rounding / (0.01 * limit))
    assert to_h == pytest.approx(eq.slope(lambda x: expected(x, v_3), v_h), rel=1e-8, abs=slack)
    assert to_3 == pytest.approx(eq.slope(lambda x: expected(v_h, x), v_3), rel=1e-8, abs=slack)
    assert value >= 0.0  # never backwards


def test_regulator_in_its_three_regions():
    # Limit 0.6 A, dropout 80 mV and 0.3 ohm; far from the corners each region holds exactly.
    # Regulating: 20 mV under its 3.3 V, over 50 mohm. Dropped out: the rest over 0.3 ohm. Limited.
    assert laws.regulator(5.0, 3.28, 3.3, 0.08, 0.3, 0.6)[0] == pytest.approx(0.02 / 0.05, rel=1e-9)
    assert laws.regulator(2.2, 2.0, 3.3, 0.08, 0.3, 0.6)[0] == pytest.approx(0.12 / 0.3, rel=1e-9)
    assert laws.regulator(5.0, 1.0, 3.3, 0.08, 0.3, 0.6)[0] == pytest.approx(0.6, rel=1e-9)
    assert laws.regulator(5.0, 3.5, 3.3, 0.08, 0.3, 0.6)[0] == 0.0


@hunt
@given(v_3=st.floats(-4.0, 8.0), current=amps)
def test_rail_load(v_3, current):
    value, slope = laws.rail_load(v_3, current)
    agree(value, eq.load_current(v_3, current), current)
    # 1 - tanh^2 cancels far out: as exact as 1.
    assert slope == pytest.approx(eq.slope(lambda x: eq.load_current(x, current), v_3), rel=1e-8, abs=1e-14 * current)


def test_rail_load_far_out():
    assert laws.rail_load(5.0, 0.08) == (0.08, 0.0)
    assert laws.rail_load(0.0, 0.08) == (0.0, 0.08 / 0.2)


duty = st.one_of(st.just(0.0), st.floats(1e-3, 1.0))


@hunt
@given(
    v=volts, duties=st.tuples(duty, duty, duty), resistance=st.floats(5.0, 500.0),
    channel=st.floats(2e-3, 60e-3), quiescent=st.floats(0.0, 3e-3), wake=st.floats(0.5, 3.5),
)  # fmt: skip
def test_pixel(v, duties, resistance, channel, quiescent, wake):
    forward = (1.9, 2.75, 2.85)

    def expected(x):
        return eq.pixel_current(x, duties, forward, resistance, channel, quiescent, wake)

    value, slope = laws.pixel(v, *duties, *forward, resistance, channel, quiescent, wake)
    scale = quiescent + 3 * max(channel, 30.0 / resistance)
    assert value == pytest.approx(float(expected(v)), rel=RELATIVE, abs=1e-15 * scale)
    assert slope == pytest.approx(eq.slope(expected, v), rel=1e-7, abs=1e-13 * scale)


def test_pixel_far_out():
    # Every part saturated: quiescent current and the duties' share of the channels' current, no more.
    value, slope = laws.pixel(20.0, 1.0, 0.5, 0.0, 1.9, 2.75, 2.85, 80.0, 0.012, 0.0006, 2.0)
    assert value == pytest.approx(0.0006 + 1.5 * 0.012, rel=1e-14)
    assert slope == pytest.approx(0.0, abs=1e-18)
    # Far below waking nothing at all: exp(-37) of the quiescent current, and then zero.
    assert laws.pixel(-2.0, 1.0, 1.0, 1.0, 1.9, 2.75, 2.85, 80.0, 0.012, 0.0006, 2.0)[0] == 0.0


@pytest.mark.parametrize("forward", [1.9, 2.75])
def test_colour_channel_fades_as_the_supply_sags(forward):
    # Between its forward voltage and full current a channel is a resistance: textbook. Its knee is
    # rounded by 3 % of its current, its foot by 60 mV, both far away in the middle.
    value, slope = laws.colour_channel(forward + 0.48, forward, 80.0, 0.012)
    assert value == pytest.approx(0.48 / 80.0, rel=1e-3)
    assert slope == pytest.approx(1 / 80.0, rel=1e-3)
