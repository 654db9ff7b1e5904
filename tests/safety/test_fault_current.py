"""What can flow for long into a fault: each limit, style and resistance, against arithmetic by hand."""

import math

import pytest

from inrushlib.build import new_build
from inrushlib.parts.place import LEAD, feed
from inrushlib.safety.fault_current import FaultSource, fault_currents

# Invented: 5 V through 0.02 + 0.08 ohm; the limit is 6 A. Feeds of 0.1 and 0.3 ohm.
BENCH = {
    "title": "a bench", "adapter.rated_voltage": 5.0, "adapter.rated_current": 5.0, "adapter.limit_current": 6.0,
    "adapter.output_resistance": 0.02, "lead.resistance": 0.08, "wiring.sections": 4, "wiring.pixels_per_section": 8,
    "wiring.feeds": [0, 2], "wiring.feed_resistance": [0.1, 0.3],
}  # fmt: skip
HICCUP = {"adapter.limit_style": "hiccup", "adapter.trip_delay": 0.02, "adapter.retry_delay": 0.5}


@pytest.mark.parametrize(
    ("values", "overload", "short", "source"),
    [
        ({}, 6.0, 6.0, FaultSource.LIMIT),
        ({"lead.resistance": 0.98}, 5.0, 5.0, FaultSource.LOOP),  # 5 V over 1 ohm
        ({"adapter.limit_style": "foldback", "adapter.foldback_current": 1.5}, 6.0, 1.5, FaultSource.LIMIT),
        ({"adapter.limit_style": "latch-off"}, 6.0, 0.0, FaultSource.LIMIT),
        # Heating mean of 6 A that is on for 20 ms and 5 ms of a soft start, and off for 500 ms.
        (HICCUP | {"adapter.soft_start": 0.005}, 6.0, 6.0 * math.sqrt(25 / 525), FaultSource.LIMIT),
        # The longest peak that a build may say is over before a fuse has to open (two minutes, UL 248-14).
        ({"adapter.peak_current": 9.0, "adapter.peak_time": 60.0}, 6.0, 6.0, FaultSource.LIMIT),
    ],
)
def test_at_the_end_of_the_lead(values, overload, short, source):
    found = fault_currents(new_build(BENCH | values), LEAD)
    assert (found.overload, found.short) == pytest.approx((overload, short))
    assert found.source is source


@pytest.mark.parametrize(
    ("switch", "place", "overload", "source"),
    [
        (None, feed(0), 6.0, FaultSource.LIMIT),
        ({"kind": "load-switch", "current_limit": 4.0, "on_resistance": 0.05}, feed(0), 4.0, FaultSource.SWITCH),
        ({"kind": "p-channel", "current_limit": 4.0, "on_resistance": 0.05}, feed(0), 6.0, FaultSource.LIMIT),
        # 5 V over 0.02 + 0.08 + 1.0 of the switch + 0.1 or 0.3 of the feed.
        ({"kind": "p-channel", "on_resistance": 1.0}, feed(0), 5.0 / 1.2, FaultSource.LOOP),
        ({"kind": "p-channel", "on_resistance": 1.0}, feed(2), 5.0 / 1.4, FaultSource.LOOP),
        ({"kind": "load-switch", "current_limit": 4.0, "on_resistance": 1.0}, feed(2), 5.0 / 1.4, FaultSource.LOOP),
    ],
)
def test_at_the_end_of_a_feed(switch, place, overload, source):
    found = fault_currents(new_build(BENCH | ({} if switch is None else {"switch": switch})), place)
    assert found.overload == pytest.approx(overload)
    assert found.short == found.overload
    assert found.source is source


def test_without_a_switch_the_loop_is_lead_and_feed():
    # 5 V over 0.02 + 0.48 + 0.1 or 0.3 ohm, and a joint that is next to nothing.
    build = new_build(BENCH | {"adapter.limit_current": 30.0, "lead.resistance": 0.48})
    assert fault_currents(build, feed(0)).overload == pytest.approx(5.0 / 0.6, rel=0.01)
    assert fault_currents(build, feed(2)).overload == pytest.approx(5.0 / 0.8, rel=0.01)
    assert fault_currents(build, LEAD).overload == pytest.approx(10.0)


def test_what_sets_it_is_said_in_words():
    assert [source.value for source in FaultSource] == [
        "the adapter's limit",
        "the load switch's limit",
        "the resistance from the adapter to the far end",
    ]
