"""Whole runs against ``scipy.integrate.solve_ivp`` (Radau) on the equations written a second time.

scipy goes from one recorded switching to the next, carrying its own state, with what is switched
rebuilt from the list of switchings and the build. So three things are checked that do not depend on
each other: the curves; that a threshold stands where a switching says it was crossed; and that none
was crossed without one.

The tolerance that a run is asked for bounds the estimated error of one step, relative to 1 + |y|.
What adds up over many steps can be more; the circuit forgets errors within its time constants, some
steps each. Found here at the ends of steps: 0.5 to 2.8 times what was asked for; ``AT_ENDS`` allows 4.
Between them the curves come from the dense output, whose order is one lower and whose error no
estimate watches. It is worst where a step is long against the time constant of a state that follows
others, such as the lead current's 10 us: found 0.5 to 21 times, ``BETWEEN`` allows 30.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from inrushlib.build import load_build
from inrushlib.model import layout as at
from inrushlib.model.crossing import HYSTERESIS

from . import equations as eq
from .driving import drive, modes

REFERENCE = Path(__file__).parents[1] / "reference"
AT_ENDS = 4.0
BETWEEN = 30.0
TOLERANCE = 1e-7
VOLTS = AT_ENDS * TOLERANCE * (1 + 5.2)  # the same at the highest voltage in these builds
TIGHT = 1e-9  # a hundredth of what is asked for, a hundred times less than is allowed at any end


def shortened(name, duration, **values):
    build = load_build(REFERENCE / f"{name}.toml")
    return build.with_values({"run.duration": duration, **{k.replace("__", "."): v for k, v in values.items()}})


BUILDS = {
    # A switch that opens into a lit panel, a brown-out by it, two lanes.
    "switch, transistor": lambda: shortened("0100", 0.2),
    # Pin as gate driver, allowance, mains away and back (shifted to fall into the shortened run).
    "switch, pin, interruption": lambda: shortened(
        "1000",
        0.08,
        run__interruptions=[[0.035, 0.06]],
        controller__boot_time=0.02,
        controller__reset_hold=0.002,
        controller__boot_peak_current=0.3,
        controller__boot_peak_at=0.004,
        controller__boot_peak_length=0.005,
        wiring__sections=3,
        wiring__feeds=[2],
        wiring__rail_resistance=6e-3,
        wiring__lumps="auto",
    ),
    # Foldback, plugging in, radio bursts, frames faster than they can be sent.
    "foldback, plugged in, bursts": lambda: shortened("1001", 0.12, controller__boot_time=0.03),
    # Feed diode, hiccup: trips and comes back; the second time the rail does not last through the hold.
    "diode, hiccup": lambda: shortened(
        "1006",
        0.038,
        controller__reset_hold=0.012,
        run__interruptions=[],
        controller__boot_time=0.01,
        adapter__trip_delay=0.003,
        adapter__retry_delay=0.02,
    ),
    # By choice: a load switch that ramps into a lit panel, behind a lead with an inrush limiter.
    "load switch, limiter": lambda: shortened(
        "0100",
        0.06,
        controller__boot_time=0.02,
        switch__kind="load-switch",
        switch__slew_rate=500,
        switch__current_limit=4,
        limiter__cold_resistance=0.3,
    ),
    # The controller on a supply of its own, so that the panel forgets while it runs on; pin as gate driver.
    "own supply": lambda: shortened("1027", 0.09, run__interruptions=[[0.04, 0.08]], controller__boot_time=0.005),
}


def right_hand_side(build, mode):
    inverse = np.linalg.inv(eq.mass_matrix(build))
    return (
        lambda t, y: inverse @ eq.right_hand_side(build, mode, t, y),
        lambda t, y: inverse @ eq.slopes(build, mode, t, y),
    )


@cache
def recorded(name):
    """The run that gives the switchings."""
    return drive(BUILDS[name](), TOLERANCE)


@cache
def solved(name):
    """The run's stretches as scipy has them, with the run that gave the switchings."""
    record = recorded(name)
    build = record.build
    y = np.zeros(record.states)
    if build.run.start == "plug":
        y[0] = build.adapter.rated_voltage
    answers = []
    for stretch in modes(record):
        f, slopes = right_hand_side(build, stretch.mode)
        answer = solve_ivp(
            f, (stretch.start, stretch.end), y, method="Radau", jac=slopes, rtol=TIGHT, atol=TIGHT,
            first_step=min(1e-8, stretch.end - stretch.start), dense_output=True,
        )  # fmt: skip
        assert answer.success, answer.message
        answers.append((stretch, answer))
        y = answer.y[:, -1]
    return record, answers


def relative(record, answer, times):
    """Largest difference of all states, in units of 1 + |y|."""
    expected = answer.sol(times).T
    return (np.abs(record.at(times) - expected) / (1 + np.abs(expected))).max()


def test_these_runs_switch_everything():
    seen = {int(code) for name in BUILDS for code in recorded(name).log[:, 1]}
    names = {value: key for key, value in vars(at).items() if key.startswith("E_")}
    missing = {names[code] for code in set(names) - seen}
    assert missing == set()


@pytest.mark.parametrize("name", BUILDS)
def test_curves(name):
    record, answers = solved(name)
    assert len(answers) > 5
    at_ends, between = 0.0, 0.0
    starts = record.kept[:, 0]
    for stretch, answer in answers:
        ends = starts[(starts >= stretch.start) & (starts < stretch.end)]
        at_ends = max(at_ends, relative(record, answer, ends))
        between = max(between, relative(record, answer, np.linspace(stretch.start, stretch.end, 101)[:-1]))
    print(f"{name}: error over tolerance {at_ends / TOLERANCE:.2f} at ends of steps, {between / TOLERANCE:.2f} between")
    assert at_ends < AT_ENDS * TOLERANCE
    assert between < BETWEEN * TOLERANCE


def margins(build, stretch, t, y):
    """How far each condition is from being met, positive once it is: (name, volts), at instants t, states y.

    The adapter's is in amperes times its output resistance, which is volts too.
    """
    a, c, x = build.adapter, build.controller, build.pixel
    found = []
    if stretch.mode.on:
        v_ref = a.rated_voltage * eq.clip((t - stretch.mode.t_on) / a.soft_start)
        now, plain = (
            eq.limit_current(y[0], top, a.limit_style, a.foldback_current, a.foldback_knee)
            for top in (stretch.mode.top, a.limit_current)
        )
        i = eq.adapter_current(v_ref, y[0], a.output_resistance, now, 0.01 * a.limit_current)
        over = 0.90 * plain - i if stretch.over else i - 0.97 * plain
        found.append(("over", over * a.output_resistance))
    rail = c.brownout_falling - y[8]
    if stretch.reset:
        rail = c.brownout_rising - HYSTERESIS - y[8] if stretch.holding else y[8] - c.brownout_rising
    found.append(("rail", rail))
    for k, v in enumerate(y[eq.CORE :]):
        # Below the listen level by the model's own 0.1 uV, so that rounding cannot toggle it.
        below = x.listen_voltage - HYSTERESIS - v
        found.append((f"listen {k}", below if stretch.above[k] else v - x.listen_voltage))
        if stretch.shows[k]:
            found.append((f"forget {k}", x.forget_voltage - v))
    return found


WATCHED = {at.E_OVER: "over", at.E_NOT_OVER: "over", at.E_RAIL_UP: "rail", at.E_RAIL_DIP: "rail",
           at.E_BROWN_OUT: "rail", at.E_ABOVE: "listen", at.E_DEAF: "listen", at.E_FORGETS: "forget"}  # fmt: skip


@pytest.mark.parametrize("name", BUILDS)
def test_no_threshold_is_crossed_without_a_switching(name):
    record, answers = solved(name)
    for stretch, answer in answers:
        t = np.linspace(stretch.start, stretch.end, 400)
        for what, volts in margins(record.build, stretch, t, answer.sol(t)):
            # A brief visit beyond, by what the curves may be off, is nothing.
            assert volts.max() < VOLTS, (what, stretch.start, stretch.end)


@pytest.mark.parametrize("name", BUILDS)
def test_switchings_stand_where_thresholds_are_crossed(name):
    record, answers = solved(name)
    # Jumps of the right-hand side retest the adapter: there its flag may flip far from its level.
    jumps = set(record.log[~np.isin(record.log[:, 1], list(WATCHED)), 0])
    checked = 0
    for stretch, answer in answers:
        at_end = dict(margins(record.build, stretch, stretch.end, answer.y[:, -1]))
        for t, code, index in record.log[record.log[:, 0] == stretch.end]:
            what = WATCHED.get(int(code))
            if what is None or (what == "over" and t in jumps):
                continue
            volts = at_end[what if index < 0 else f"{what} {int(index)}"]
            assert abs(volts) < VOLTS, (what, t)
            checked += 1
    assert checked >= 3


def test_error_falls_with_the_tolerance():
    # A step's error per tolerance is bounded, so the curves improve about as the tolerance does. Instants
    # of switching shift too, so their neighbourhoods are left out.
    name, tolerances = "switch, transistor", (1e-3, 1e-4, 1e-5, 1e-6)
    errors = []
    for tolerance in tolerances:
        record = drive(BUILDS[name](), tolerance)
        errors.append(
            max(
                relative(record, answer, np.linspace(stretch.start + 2e-4, stretch.end - 2e-4, 50))
                for stretch, answer in solved(name)[1]
                if stretch.end - stretch.start > 1e-3
            )
        )
    assert all(error < BETWEEN * tolerance for error, tolerance in zip(errors, tolerances, strict=True))
    assert errors[3] < errors[0] / 200
