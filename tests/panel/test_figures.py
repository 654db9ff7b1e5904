"""What is read off a solved panel: each figure by its own definition."""

import json
from dataclasses import replace

import numpy as np
import pytest

from inrushlib.panel import solve_panel
from inrushlib.panel.state import colour_shift, first_within, relative_light
from inrushlib.parts.place import PlaceKind

from .made import GRID, build


def test_feeds_land_in_the_middle_and_where_told() -> None:
    assert solve_panel(build()).feed_pixels.tolist() == [2, 14]
    assert solve_panel(build(wiring__feed_pixels=[4, 0])).feed_pixels.tolist() == [4, 13]


def test_segment_and_hop_currents_are_those_of_the_pixels_beyond() -> None:
    state = solve_panel(build(wiring__feeds=[0]))
    beyond = state.pixel_currents[::-1].cumsum()[::-1]
    assert state.segment_currents[5:] == pytest.approx(beyond[6:], abs=1e-9)
    assert state.hop_currents == pytest.approx(beyond[[5, 13, 16]], abs=1e-9)
    assert state.largest_hop_current == pytest.approx(state.hop_currents[0])
    assert state.lead_current == pytest.approx(state.adapter_current - state.adapter_voltage / 1e3, abs=1e-9)


def test_sagging_pixels_are_dimmer_and_redder() -> None:
    state = solve_panel(build(wiring__feeds=[0], wiring__rail_resistance=0.45))
    worst = state.worst_pixel
    assert state.brightness[state.best_pixel] == pytest.approx(1.0)
    assert state.brightness[worst] < 0.9
    assert state.colour_shift[worst] > 0.05
    assert state.shares[worst, 0] > state.shares[worst, 2]


def test_every_figure_is_what_its_name_says() -> None:
    """Each from the voltages and currents alone, beside the code that prints it."""
    state = solve_panel(build(wiring__feeds=[1], wiring__rail_resistance=0.3), (1.0, 0.5, 0.2), GRID)
    volts = state.voltages
    figures = state.figures()
    losses = figures.pop("losses")
    assert sum(losses.values()) == pytest.approx(state.adapter_current * state.adapter_voltage, rel=1e-8)
    assert losses.keys() == {kind.together for kind in state.losses}
    assert losses["pixels"] == state.losses[PlaceKind.PIXELS]
    assert json.loads(json.dumps(figures)) == {
        "adapter_current": state.adapter_current,
        "lead_current": state.lead_current,
        "adapter_limit": state.adapter_limit,
        "adapter_limiting": False,
        "adapter_voltage": state.adapter_voltage,
        "bus_voltage": state.bus_voltage,
        "root_voltage": state.root_voltage,
        "lowest_voltage": min(volts),
        "lowest_pixel": int(np.argmin(volts)),
        "highest_voltage": max(volts),
        "highest_pixel": int(np.argmax(volts)),
        "section_voltages": pytest.approx([np.mean(volts[a:b]) for a, b in ((0, 5), (5, 13), (13, 16), (16, 23))]),
        "feed_currents": list(state.feed_currents),
        "feed_pixels": [9],
        "hop_currents": [state.segment_currents[k] for k in (4, 12, 15)],
        "largest_hop_current": max(abs(state.segment_currents[[4, 12, 15]])),
        "largest_segment_current": max(abs(state.segment_currents)),
        "lowest_brightness": min(state.brightness),
        "largest_colour_shift": max(state.colour_shift),
        "worst_pixel_shares": list(state.shares[np.argmin(volts)]),
        "iterations": state.iterations,
        "method": "newton",
    }


def test_every_loss_is_that_of_its_own_place() -> None:
    b = build(adapter__rated_current=0.8, switch={"on_resistance": 0.03}, wiring__rail_resistance=0.1)
    state = solve_panel(b, (1, 1, 1), GRID)
    w = b.wiring
    along = state.segment_currents**2
    hops = float((along[[4, 12, 15]] * w.hop_resistance).sum())
    pull = b.switch.gate_resistance + b.switch.pullup_resistance
    expected = {
        PlaceKind.ADAPTER_BLEED: state.adapter_voltage**2 / b.adapter.bleed_resistance,
        PlaceKind.LEAD: b.lead.resistance * state.lead_current**2,
        PlaceKind.CONTROLLER: b.controller.run_current * state.bus_voltage,
        PlaceKind.SWITCH: state.feed_currents.sum() * (state.bus_voltage - state.root_voltage),
        PlaceKind.GATE: state.bus_voltage**2 / pull,
        PlaceKind.FEED: (state.feed_currents**2 * w.feed_resistance).sum(),
        PlaceKind.HOP: hops,
        PlaceKind.RAIL: along.sum() * w.rail_resistance,
        PlaceKind.LINK: (state.link_currents**2 * [each[2] for each in GRID]).sum(),
        PlaceKind.PIXELS: (state.voltages * state.pixel_currents).sum(),
    }
    assert dict(state.losses) == pytest.approx(expected, rel=1e-6)
    assert PlaceKind.JOINT in solve_panel(build()).losses


def test_the_first_of_equals_is_named_whatever_rounding_does() -> None:
    assert first_within(np.array([5.1, 5.0 - 5e-13, 5.0]), 5.0) == 1
    assert first_within(np.array([5.0 + 5e-13, 5.0]), 5.0) == 0
    assert first_within(np.array([10.0, 5.0 - 5e-12, 5.0]), 5.0) == 2


def test_light_and_hue_by_hand() -> None:
    shares = np.array([[0.8, 0.8, 0.4], [0.4, 0.2, 0.1], [0.0, 0.0, 0.0]])
    # Its own colour, half red and half blue: 0.6 at the best-fed pixel, 0.25 here; a dark pixel counts as white.
    duties = np.array([[1.0, 1.0, 1.0], [0.5, 0.0, 0.5], [0.0, 0.0, 0.0]])
    assert relative_light(shares, duties, 0) == pytest.approx([1.0, 0.25 / 0.6, 0.0])
    # Of its light 0.8 is red, at the best-fed pixel it would be two thirds; of no light nothing is left in any channel.
    assert colour_shift(shares, duties, 0) == pytest.approx([0.0, 0.8 - 2 / 3, 0.5])
    assert relative_light(shares, duties, 2) == pytest.approx([2.0 / 3, 0.25, 0.0])  # nothing to compare with
    for duty in (0.0, 0.5, 1.0):
        assert relative_light(shares, np.full((3, 3), duty), 0) == pytest.approx([1.0, 0.35, 0.0])


def test_the_worst_pixel_is_that_of_lowest_voltage() -> None:
    # Without rail resistance neighbours differ by less than a nanovolt, and still one of them is the lowest.
    state = solve_panel(build(wiring__rail_resistance=0.0, wiring__pixels_per_section=200))
    assert state.voltages[state.worst_pixel] - state.voltages.min() <= 1e-12


@pytest.mark.parametrize(("share", "limiting"), [(0.96, False), (0.98, True), (1.0, True)])
def test_an_adapter_counts_as_limiting_from_where_a_start_counts_it_as_over(share: float, limiting: bool) -> None:
    state = solve_panel(build())
    assert replace(state, adapter_current=share * state.adapter_limit).limiting is limiting


def test_the_largest_hop_counts_whichever_way_it_flows() -> None:
    """Fed at its far end a panel has the currents of its mirror image, all the other way round."""
    near = solve_panel(build(wiring__feeds=[0], wiring__pixels_per_section=[8, 8, 8, 8], wiring__hop_resistance=0.03))
    far = solve_panel(build(wiring__feeds=[3], wiring__pixels_per_section=[8, 8, 8, 8], wiring__hop_resistance=0.03))
    assert near.hop_currents.min() > 0.0 > far.hop_currents.max()
    # A feed lands on the fourth of eight pixels, one off the mirror image, so by a little only.
    assert far.largest_hop_current == pytest.approx(near.largest_hop_current, rel=0.02)
    assert far.largest_hop_current == pytest.approx(float(far.pixel_currents[:24].sum()), rel=1e-6)


def test_heat_of_lead_and_limiter_is_that_of_one_current() -> None:
    """In series: heats are as resistances, together what the lead's current makes between adapter and bus (Joule)."""
    limited = build(limiter__cold_resistance=0.2, limiter__dissipation=0.5)
    state = solve_panel(limited)
    in_lead, in_limiter = state.losses[PlaceKind.LEAD], state.losses[PlaceKind.LIMITER]
    assert in_lead == pytest.approx(limited.lead.resistance * state.lead_current**2, rel=1e-9)
    assert in_lead + in_limiter == pytest.approx(
        (state.adapter_voltage - state.bus_voltage) * state.lead_current, rel=1e-9
    )
    assert in_limiter > in_lead
