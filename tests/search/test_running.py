"""The running picture: one rule for every question that sizes a supply."""

import pytest

from inrushlib.build import new_build
from inrushlib.panel import solve_panel
from inrushlib.search.adapter import smallest_adapter
from inrushlib.search.brightness import brightness_caps
from inrushlib.search.running import (
    PictureKey,
    on_ample_adapter,
    picture_in_words,
    running_current,
    running_picture,
    showing,
)
from inrushlib.startup import simulate

from .sized_builds import six_tiles

DUTIES = (0.3, 0.3, 0.3)  # default of firmware.content


@pytest.mark.parametrize(
    ("values", "key", "colour"),
    [
        ({}, PictureKey.CONTENT, DUTIES),
        ({"firmware.content": [0.5, 0, 0]}, PictureKey.CONTENT, (0.5, 0, 0)),
        ({"firmware.first_frame": [0.1, 0, 0]}, PictureKey.FIRST_FRAME, (0.1, 0, 0)),
        ({"firmware.first_frame": [0.1, 0, 0], "firmware.content_delay": 0.1}, PictureKey.CONTENT, DUTIES),
    ],
)
def test_which_picture(values, key, colour):
    build = six_tiles().with_values(values)
    assert running_picture(build) == (key, colour)
    assert picture_in_words(build).startswith(key.words)
    assert ("assumed" in picture_in_words(build)) is (
        key is PictureKey.CONTENT and build.firmware.content_delay is None
    )


@pytest.mark.parametrize("delay", [None, 0.1])
def test_size_and_brightness_take_the_same_picture(delay):
    build = six_tiles(firmware__content_delay=delay)
    size, caps = smallest_adapter(build), brightness_caps(build)
    assert size.picture == caps.running
    full = next(row for row in caps.picture.levels if row.level == 255)
    assert size.running.current == pytest.approx(full.adapter_current, rel=1e-9)
    # By the label: 384 pixels with three channels of 12 mA at 30 %, 0.6 mA each besides, and the controller's 80 mA;
    # the drop along the tiles takes a little of it.
    assert size.running.current == pytest.approx(384 * (3 * 0.3 * 12e-3 + 0.6e-3) + 0.08, rel=0.05)


def test_size_does_not_depend_on_whether_the_delay_is_said():
    said, unsaid = (smallest_adapter(six_tiles(firmware__content_delay=delay)) for delay in (0.3, None))
    assert said.running.current == pytest.approx(unsaid.running.current, rel=1e-9)


def test_a_load_switch_does_not_hide_what_the_picture_draws():
    switch = {"switch.kind": "load-switch", "switch.on_resistance": 1e-3}
    values = {"title": "t", "adapter.rated_current": 8, "wiring.sections": 2, "wiring.pixels_per_section": 64, **switch}
    small, large = (new_build(values | {"switch.current_limit": limit}) for limit in (0.3, 8.0))
    assert running_current(small) == pytest.approx(running_current(large), rel=1e-3)


@pytest.mark.parametrize("first", [[0, 0, 0], [0.2, 0.2, 0.2]])
def test_showing_shows_it(first):
    build = six_tiles(adapter__rated_current=8, firmware__first_frame=first)
    base = simulate(build)
    shown = simulate(showing(build, (0.25, 0.25, 0.25), base.running_at))
    steady = running_current(build.with_values({"firmware.content_delay": 0.1, "firmware.content": [0.25, 0.25, 0.25]}))
    assert shown.figures.final_lead_current == pytest.approx(steady, rel=5e-3)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({}, "running picture, duties 0.3, 0.3, 0.3 (assumed: the build does not say when it comes)"),
        ({"firmware.content": [0.5, 0, 1], "firmware.content_delay": 0.1}, "running picture, duties 0.5, 0, 1"),
        (
            {"firmware.first_frame": [0.1, 0, 0]},
            "first frame's colour, duties 0.1, 0, 0 (it stays: the build does not say when another picture comes)",
        ),
    ],
)
def test_the_picture_in_words(values, words):
    assert picture_in_words(six_tiles().with_values(values)) == words


def test_an_ample_adapter_does_not_limit_and_only_just():
    for rated, tiles in ((0.5, 6), (60, 1)):
        build = six_tiles(adapter__rated_current=rated, wiring__sections=tiles)
        state = solve_panel(on_ample_adapter(build, (1.0, 1.0, 1.0)))
        assert state.adapter_limit == pytest.approx(1.5 * state.adapter_current, rel=0.05)
        assert not state.limiting


@pytest.mark.parametrize(
    ("values", "comes"),
    [
        ({"firmware__first_frame_delay": 0.02}, 0.02 + 0.05),
        ({"firmware__first_frame_delay": 0.02, "firmware__content_delay": 0.3}, 0.3),
        ({"firmware__first_frame_delay": 0.02, "firmware__first_frame": [1, 0, 0]}, 0.02),
    ],
)
def test_a_start_that_shows_a_picture_is_long_enough_to_watch_it(values, comes):
    build = six_tiles(run__duration=0.3, firmware__refresh_interval=0.04, **values)
    shown = showing(build, (0.25, 0.5, 0.75), running_at=0.6)
    # A refresh, two frames of 384 pixels of 30 us (24 bits at 800 kbit/s) and a latch each, 0.2 s to watch.
    assert shown.run.duration == pytest.approx(0.6 + comes + 0.04 + 2 * 384 * 30e-6 + 0.2, abs=2e-3)
    assert running_picture(shown).colour == (0.25, 0.5, 0.75)
    assert showing(build.with_values({"run.duration": 5}), (0.25, 0.5, 0.75), 0.6).run.duration == 5
