"""The brightness cap: against the linear law of the pixels, handbook ampacities and the 80 % rule."""

from dataclasses import fields, replace

import pytest

from inrushlib.build import new_build
from inrushlib.errors import BuildError, UsageError
from inrushlib.panel import solve_panel
from inrushlib.parts.place import LEAD, Place, PlaceKind, feed, hop
from inrushlib.search.brightness import brightness_caps, conductor_limits
from inrushlib.search.caps import NoCap, OtherLimit
from inrushlib.search.firmware import firmware_constants
from inrushlib.search.running import on_ample_adapter, running_picture
from inrushlib.search.window import delay_window

# Invented: copper so thick that every pixel has its full current, so that the closed form holds.
STIFF = {
    "title": "thick copper", "adapter.rated_current": 4, "lead.resistance": 1e-4, "wiring.sections": 4,
    "wiring.pixels_per_section": 64, "wiring.rail_resistance": 1e-6, "wiring.hop_resistance": 1e-6,
    "wiring.feed_resistance": 1e-5, "firmware.content_delay": "0.1 s", "firmware.content": [0.5, 0.25, 0.25],
}  # fmt: skip
# Pixels: 12 mA a channel and 0.6 mA besides; the controller 80 mA; the bleed 1 kohm from 5.1 V less some millivolts.
REST = 256 * 0.6e-3 + 0.08 + 5.1e-3


def closed_form(ampere, duty):
    """Largest level by hand: (I - rest) / (pixels x 12 mA x duty) x 255, rounded down."""
    return int(255 * (ampere - REST) / (256 * 12e-3 * duty))


def test_linear_in_duty():
    # Linear in duty: measurement of a strip of 5 V RGB pixels (file current_analysis.ipynb of an open clock
    # project, commit f215d73), 33.25 mA for white and 16.56 mA for half white a pixel: half within 1 %.
    assert pytest.approx(2.0, rel=0.01) == 33.25 / 16.56
    # With thick copper the cap follows from it.
    caps = brightness_caps(new_build(STIFF))
    assert caps.white.rating.level == closed_form(4.0, 3.0)
    assert caps.white.continuous.level == closed_form(3.2, 3.0)
    dim = brightness_caps(new_build(STIFF | {"adapter.rated_current": 1.5}))
    assert dim.picture.rating.level == closed_form(1.5, 1.0)
    assert dim.picture.continuous.level == closed_form(1.2, 1.0)


@pytest.mark.parametrize("ampere", [1.0, 2.5, 8.0])
def test_edges(ampere):
    # NEC 210.20(A): 125 % of a continuous load within the rating, so 80 % of it.
    build = new_build(STIFF | {"adapter.rated_current": ampere, "wiring.hop_resistance": "20 mohm"})
    caps = brightness_caps(build)
    for cap, share in ((caps.white.rating, 1.0), (caps.white.continuous, 0.8)):
        assert cap.share == share
        assert cap.limited_by == Place(PlaceKind.ADAPTER)
        # On an adapter of twice the rating, which limits neither of the two levels.
        ample = build.with_values({"adapter.limit_current": 2 * ampere})
        at, above = (solve_panel(ample, (x / 255,) * 3).adapter_current for x in (cap.level, cap.level + 1))
        assert at <= share * ampere < above
        assert cap.adapter_current == pytest.approx(at, rel=2e-3)


def test_conductors():
    # Handbook of Electronic Tables and Formulas, chassis wiring: 26 AWG 2.2 A, 30 AWG 0.86 A, 18 AWG 16 A.
    build = new_build(
        STIFF
        | {
            "adapter.rated_current": 60, "lead.gauge": "18 AWG", "wiring.feeds": [0, 2], "wiring.feed_gauge": "26 AWG",
            "wiring.hop_gauge": "30 AWG", "wiring.hop_resistance": "5 mohm", "wiring.feed_resistance": "5 mohm",
        }
    )  # fmt: skip
    caps = brightness_caps(build)
    assert caps.unchecked == ()
    assert {place.name: caps.limits[place] for place in (LEAD, feed(2), hop(0))} == {
        "lead": 16.0, "feed to section 2": 2.2, "jumper 0-1": 0.86,
    }  # fmt: skip
    for cap in (caps.white.rating, caps.white.continuous):
        overloads = []
        for level in (cap.level, cap.level + 1):
            state = solve_panel(build, (level / 255,) * 3)
            most = max(abs(state.feed_currents).max() / 2.2, abs(state.hop_currents).max() / 0.86)
            overloads.append(most / cap.share)
        assert overloads[0] <= 1.0 < overloads[1]
        assert cap.limited_by.kind in (PlaceKind.FEED, PlaceKind.HOP)
    other = brightness_caps(build, "power transmission")
    assert other.white.rating.level < caps.white.rating.level


def test_load_switch_limit():
    values = {"switch.kind": "load-switch", "switch.current_limit": "1 A"}
    cap = brightness_caps(new_build(STIFF | values)).white.rating
    assert cap.limited_by == Place(PlaceKind.LOAD_SWITCH)
    # All but the controller and the bleed goes through it.
    assert cap.level == closed_form(1.0 + 0.08 + 5.1e-3, 3.0)


def test_unknown_gauges_are_said():
    limits, unchecked = conductor_limits(new_build(STIFF), "chassis wiring")
    assert set(limits) == {Place(PlaceKind.ADAPTER)}
    assert unchecked == (LEAD, feed(0), hop(0), hop(1), hop(2))
    limits, unchecked = conductor_limits(new_build(STIFF | {"lead.resistance": None}), "chassis wiring")
    assert limits[LEAD] == 7.0  # 22 AWG, the same handbook
    assert LEAD not in unchecked


def test_wire_thinner_than_the_table():
    with pytest.raises(BuildError, match="feed to section 0: wire area"):
        brightness_caps(new_build(STIFF | {"wiring.feed_gauge": "36 AWG"}))
    with pytest.raises(UsageError, match="ampacity table"):
        brightness_caps(new_build(STIFF | {"wiring.feed_gauge": "20 AWG"}), "no such table")


def test_nothing_to_cap_and_nothing_left():
    ample = brightness_caps(new_build(STIFF | {"adapter.rated_current": 20})).white
    assert (ample.continuous.level, ample.continuous.limited_by) == (255, OtherLimit.NOTHING)
    # The chips and the controller alone take 0.24 A.
    small = brightness_caps(new_build(STIFF | {"adapter.rated_current": 0.2})).white
    assert isinstance(small.rating, NoCap)
    assert small.rating.limited_by == Place(PlaceKind.ADAPTER)
    assert small.rating.adapter_current == pytest.approx(REST, rel=0.01)


def test_table():
    caps = brightness_caps(new_build(STIFF | {"wiring.hop_resistance": "30 mohm"}))
    rows = caps.white.levels
    levels = [row.level for row in rows]
    assert levels == sorted(levels)
    assert {0, 16, 128, 255, caps.white.rating.level, caps.white.continuous.level} <= set(levels)
    for name in ("adapter_current", "largest_feed_current", "largest_hop_current"):
        currents = [getattr(row, name) for row in rows]
        assert currents == sorted(currents)
    assert [row.lowest_voltage for row in rows] == sorted((row.lowest_voltage for row in rows), reverse=True)
    assert rows[0].share_of_rating == pytest.approx(rows[0].adapter_current / 4.0)


def test_the_largest_of_several_feeds_counts():
    # Two feeds of 10 and 30 mohm that land on copper of next to nothing share as their conductances do: 3 to 1.
    two = {"wiring.feeds": [1, 2], "wiring.feed_resistance": [0.01, 0.03], "wiring.hop_resistance": 1e-6,
           "wiring.rail_resistance": 1e-8, "adapter.rated_current": 20}  # fmt: skip
    row = brightness_caps(new_build(STIFF | two)).white.levels[-1]
    through = row.adapter_current - 0.08 - 5.1e-3  # less controller and bleed
    assert row.largest_feed_current == pytest.approx(0.75 * through, rel=2e-3)


def test_picture():
    assert running_picture(new_build(STIFF)) == ("firmware.content", (0.5, 0.25, 0.25))
    first = STIFF | {"firmware.content_delay": None, "firmware.first_frame": [0.1, 0, 0]}
    assert running_picture(new_build(first)) == ("firmware.first_frame", (0.1, 0.0, 0.0))
    # A first frame that is dark says nothing of the picture to come.
    assert running_picture(new_build(STIFF | {"firmware.content_delay": None}))[0] == "firmware.content"


def test_constants():
    build = new_build(STIFF | {"switch": {}, "firmware.gate_delay": "2 ms", "firmware.first_frame_delay": "12.5 ms"})
    caps = brightness_caps(build)
    found = {each.name: each for each in firmware_constants(build, caps)}
    assert [(each.value, each.unit) for each in found.values()] == [
        (2000, "us"), (12500, "us"), (caps.white.continuous.level, "of 255"), (caps.picture.continuous.level, "of 255"),
    ]  # fmt: skip
    assert list(found) == [
        "gate delay", "first frame delay", "brightness cap, any picture", "brightness cap, this picture",
    ]  # fmt: skip
    first_line = "from the first line of the program to"
    assert [each.meaning for each in found.values()] == [
        f"{first_line} closing the switch",
        f"{first_line} the first frame; as in the build, which ends as: {caps.start.words}",
        "scales every channel; full white at 80 % of every rating",
        "scales every channel; running picture at 80 % of every rating",
    ]
    window = delay_window(build)
    told = {each.name: each for each in firmware_constants(build, caps, window)}
    assert told["first frame delay"].value == round(1e6 * window.recommended)
    assert "recommended" in told["first frame delay"].meaning
    without = firmware_constants(new_build(STIFF), brightness_caps(new_build(STIFF)))
    assert without[0].name == "first frame delay"


def test_constant_when_even_dark_is_too_much():
    build = new_build(STIFF | {"adapter.rated_current": 0.2})
    found = firmware_constants(build, brightness_caps(build))
    assert found[-1].value == 0
    assert "even level 0 is too much for the adapter" in found[-1].meaning


def test_every_row_is_the_panel_at_its_level():
    build = new_build(STIFF | {"wiring.hop_resistance": "30 mohm", "wiring.feeds": [0, 2], "adapter.rated_current": 30})
    cap = brightness_caps(build).picture
    ample = on_ample_adapter(build, (0.5, 0.25, 0.25))
    assert [row.level for row in cap.levels] == [*range(0, 256, 16), 255]
    for row in cap.levels:
        state = solve_panel(ample, [row.level / 255 * duty for duty in (0.5, 0.25, 0.25)])
        told = (row.adapter_current, row.largest_feed_current, row.largest_hop_current, row.lowest_voltage)
        figures = (state.adapter_current, abs(state.feed_currents).max(), abs(state.hop_currents).max(),
                   min(state.voltages))  # fmt: skip
        assert told == pytest.approx(figures, rel=1e-9)
        assert row.share_of_rating == row.adapter_current / 30


def test_the_table_for_json_says_what_the_answer_says():
    caps = brightness_caps(new_build(STIFF))
    told = caps.to_dict()
    assert told.keys() == {field.name for field in fields(caps)}
    assert told["start"] == caps.start.to_dict()
    for name in ("running", "limits", "unchecked", "table", "pulses"):
        assert told[name] == getattr(caps, name)
    assert caps.table == "chassis wiring"
    for name, cap in (("white", caps.white), ("picture", caps.picture)):
        assert told[name] == {
            "picture": cap.picture, "colour": cap.colour, "levels": cap.levels, "start": cap.start,
            "rating": {"share": 1.0, "level": cap.rating.level, "adapter_current": cap.rating.adapter_current,
                       "limited_by": cap.rating.limited_by},
            "continuous": {"share": 0.8, "level": cap.continuous.level,
                           "adapter_current": cap.continuous.adapter_current, "limited_by": cap.continuous.limited_by},
        }  # fmt: skip
    none = replace(caps.white, rating=NoCap(share=1.0, adapter_current=0.2, limited_by=LEAD)).to_dict()["rating"]
    assert none == {"share": 1.0, "level": None, "adapter_current": 0.2, "limited_by": LEAD}


def test_no_cap_says_what_even_darkness_is_too_much_for():
    assert NoCap(share=0.8, adapter_current=0.2, limited_by=LEAD).reason == "even level 0 is too much for the lead"
    started = NoCap(share=0.8, adapter_current=0.2, limited_by=OtherLimit.START)
    assert started.reason == "even with level 0 the start ends worse"
    assert started.shown_level == 0


def test_a_cap_that_holds_for_255_and_one_a_level_below():
    # The adapter that full white just takes, and one that it just does not.
    state = solve_panel(new_build(STIFF | {"adapter.rated_current": 30}))
    for factor, level in ((1.0005, 255), (0.9995, 254)):
        build = new_build(STIFF | {"adapter.rated_current": factor * state.adapter_current})
        assert brightness_caps(build).white.rating.level == level
