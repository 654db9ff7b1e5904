"""Why no switch does it on the adapter at hand, in numbers that can be worked out by hand."""

import math
from dataclasses import replace

import pytest

from inrushlib.answers.remedies import recommendation_answer
from inrushlib.answers.terminal import render
from inrushlib.build import new_build
from inrushlib.odds.interval import Estimate
from inrushlib.remedies import Recommendation, compare_remedies
from inrushlib.remedies.shortfall import shortfall_of
from inrushlib.startup import Rule

ODDS = Estimate(0.4, 0.3, 0.5)


@pytest.fixture(scope="module")
def tiles():
    return new_build({"title": "t", "adapter.rated_current": 0.8, "wiring.sections": 2, "wiring.pixels_per_section": 64,
                      "run.duration": 0.8})  # fmt: skip


@pytest.fixture(scope="module")
def switched(tiles):
    """A switch that boots now and then: with the pixels as they are assumed, but not with those that listen late."""
    parts = {
        "switch": {"on_resistance": 20e-3, "gate_resistance": 1e3, "gate_drain_capacitance": 10e-9},
        "controller.feed": "own", "firmware.first_frame_delay": 0.02, "firmware.refresh_interval": 6e-3,
        "bus.bulk": 4.7e-3, "wiring.lanes": 2,
    }  # fmt: skip
    (now, *_) = compare_remedies(tiles.with_values(parts))
    return replace(now, odds=ODDS)


def _white(v, p):
    """The pixel's law as it stands in the description of the model, written out."""

    def soft(x, w):
        return w * math.log1p(math.exp(x / w))

    whole, corner = p.channel_current, 0.03 * p.channel_current
    wanted = (soft(v - forward, 60e-3) / p.channel_resistance for forward in p.forward_voltages)
    channels = sum(a - soft(a - whole, corner) for a in wanted)
    return (p.quiescent_current + channels) / (1 + math.exp(-(v - p.wake_voltage) / 80e-3))


def test_numbers_are_those_of_the_parts(tiles, switched):
    found = shortfall_of(tiles, [switched], 0.95)
    assert found.rule is Rule.LISTEN
    assert found.by_rule <= found.failed
    # pixel.listen_voltage is assumed between 2 and 3 V; 64 pixels a lane, 24 bits of 1.25 us, 0.3 ms of gap.
    assert found.listen_voltage == pytest.approx(3.0)
    p = tiles.pixel
    assert found.drawn == pytest.approx(128 * _white(3.0, p), rel=1e-9)
    assert found.given == tiles.adapter.limit_current
    assert found.lasts == pytest.approx(p.listen_delay + 2 * (64 * 24 * 1.25e-6 + 0.3e-3))
    charge = (found.drawn - found.given) * found.lasts
    assert found.capacitance == pytest.approx(charge / (tiles.adapter.rated_voltage - 3.0))


def test_it_is_on_the_page(tiles, switched):
    found = shortfall_of(tiles, [switched], 0.95)
    page = render(recommendation_answer("t", Recommendation((switched, switched), (switched,), 0.95, found)))
    assert "No switch does it often enough" in page


def test_none_where_a_switch_does_it_or_there_is_none(tiles, switched):
    assert shortfall_of(tiles, [replace(switched, odds=Estimate(0.96, 0.95, 0.97))], 0.95) is None
    assert shortfall_of(tiles, [], 0.95) is None
    assert shortfall_of(tiles, [replace(switched, odds=None)], 0.95) is None


def test_an_adapter_that_carries_the_display_needs_no_charge(tiles, switched):
    ample = tiles.with_values({"adapter.limit_current": 9})
    found = shortfall_of(ample, [switched], 0.95)
    assert found.capacitance == 0
    assert "capacitors" not in found.words
