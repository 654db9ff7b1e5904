"""A dimmed picture's mean, rms and peak."""

from math import sqrt

import pytest

from inrushlib.build import new_build
from inrushlib.cli import main
from inrushlib.search import brightness_caps, picture_pulses, running_picture, wire_list

# A stiff supply and thin losses, nothing beside the pixels: the law of the pulse alone.
STIFF = {
    "title": "t", "adapter.rated_current": 60, "adapter.output_resistance": 1e-6, "lead.resistance": 1e-6,
    "wiring.sections": 1, "wiring.pixels_per_section": 64, "wiring.feed_resistance": 1e-6,
    "wiring.rail_resistance": 1e-9, "pixel.quiescent_current": 0.0, "controller.feed": "own",
    "adapter.bleed_resistance": 1e6,
}  # fmt: skip


@pytest.mark.parametrize("duty", [0.05, 0.3, 0.8])
def test_one_duty_in_step_is_a_square_wave(duty):
    # Root mean square of a rectangular pulse train: peak times the root of its duty (any textbook of circuits).
    found = picture_pulses(new_build(STIFF), (duty,) * 3)
    assert found.rms == pytest.approx(found.peak * sqrt(duty), rel=1e-3)
    assert found.mean == pytest.approx(found.peak * duty, rel=1e-3)
    full = picture_pulses(new_build(STIFF), (1.0, 1.0, 1.0))
    assert found.peak == pytest.approx(full.mean, rel=1e-6)
    assert full.rms == pytest.approx(full.peak) == full.mean


def test_channels_of_several_duties_by_hand():
    # 12 mA a channel at 5.1 V less a little: three on for a tenth, two to a half, one to 0.8, none after.
    build = new_build(STIFF)
    found = picture_pulses(build, (0.8, 0.1, 0.5))
    one = [picture_pulses(build, colour).mean for colour in ((1, 1, 1), (1, 0, 1), (1, 0, 0))]
    by_hand = sqrt(0.1 * one[0] ** 2 + 0.4 * one[1] ** 2 + 0.3 * one[2] ** 2)
    assert found.rms == pytest.approx(by_hand, rel=1e-3)
    assert found.mean == pytest.approx(0.1 * one[0] + 0.4 * one[1] + 0.3 * one[2], rel=1e-3)


def test_it_is_said_where_a_picture_sizes_something(tmp_path, capsys):
    build = tmp_path / "b.toml"
    build.write_text('title = "t"\n[adapter]\nrated_current = 4\n[wiring]\nsections = 2\npixels_per_section = 64\n')
    for command in (["size"], ["brightness"], ["wires", "--colour", "0.3,0.3,0.3", "--feed-length", "50 cm",
                                                "--hop-length", "5 cm"]):  # fmt: skip
        main([command[0], str(build), *command[1:]])
        said = " ".join(capsys.readouterr().out.split())
        assert "comes in pulses" in said, command
        assert "all in step" in said


def test_of_the_cap_and_of_the_wires():
    build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 2, "wiring.pixels_per_section": 64})
    caps = brightness_caps(build)
    level = caps.picture.continuous.level / 255
    cap = picture_pulses(build, tuple(level * duty for duty in running_picture(build).colour))
    assert caps.pulses.mean == pytest.approx(cap.mean, rel=1e-6)
    assert caps.pulses.mean == pytest.approx(caps.picture.continuous.adapter_current, rel=0.02)
    assert wire_list(build, [0.5], [0.05]).pulses is None  # full white does not pulse
    assert wire_list(build, [0.5], [0.05], colour=(0.3,) * 3).pulses.peak > 2.0
