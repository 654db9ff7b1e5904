"""From what a builder can see to the keys: each function against a sum done by hand."""

import pytest

from inrushlib.build import new_build, parse_build
from inrushlib.cli import main
from inrushlib.copper import awg_area
from inrushlib.errors import BuildError, UsageError
from inrushlib.parts import WireRun, from_lit_pixels, from_loads, from_track, from_wire

TILES = {"title": "t", "adapter.rated_current": 2, "wiring.sections": 3, "wiring.pixels_per_section": 64}


def test_one_tile_of_1_5_amperes() -> None:
    # 1.5 A / 64 = 23.4375 mA, less 0.6 mA for the chip, over three channels: 7.6125 mA.
    found = from_lit_pixels(1.5, 64)
    assert found.values == {"pixel.channel_current": pytest.approx(7.6125e-3)}
    # One colour at half duty, 10 mA measured dark: (170 - 10) mA / 10 / 0.5 = 32 mA.
    one = from_lit_pixels(0.17, 10, colour=(0.5, 0.0, 0.0), quiescent=1e-3)
    assert one.values == {"pixel.channel_current": pytest.approx(32e-3), "pixel.quiescent_current": 1e-3}


def test_the_current_of_a_tile_is_what_the_solved_panel_draws() -> None:
    from inrushlib.panel import solve_panel

    channel = from_lit_pixels(1.5, 64).values["pixel.channel_current"]
    build = new_build(TILES | {"wiring.sections": 1, "pixel.channel_current": channel, "controller.feed": "own"})
    stiff = {"adapter.rated_current": 20, "lead.resistance": "5 mohm", "pixel.channel_resistance": 40}
    assert solve_panel(build.with_values(stiff)).lead_current == pytest.approx(1.5, rel=0.01)


def test_a_jumper_of_30_awg() -> None:
    # Handbook wire table, 20 C: 30 AWG 103.2 ohm per 1000 ft, 338.6 mohm a metre; two wires of 5 cm are 33.86 mohm.
    found = from_wire(WireRun.HOP, 0.05, awg_area(30))
    assert found.figures["loop_resistance"] == pytest.approx(2 * 0.05 * 103.2 / 304.8, rel=5e-4)
    build = new_build(TILES).with_values({"wiring.hop_length": "5 cm", "wiring.hop_gauge": "30 AWG"})
    assert build.wiring.hop_resistance == pytest.approx([found.figures["loop_resistance"]] * 2)
    # Two pairs side by side have half of it, and no gauge of a build says so.
    double = from_wire(WireRun.FEED, 0.05, awg_area(30), pairs=2, contacts=2e-3)
    half = found.figures["loop_resistance"] / 2
    assert double.values == {"wiring.feed_resistance": pytest.approx(half + 2e-3)}


def test_feed_wires_of_different_lengths() -> None:
    build = new_build(TILES | {"wiring.feeds": [0, 2], "wiring.feed_length": [0.5, 1.5], "wiring.feed_gauge": "20 AWG"})
    # Handbook wire table: 20 AWG 10.15 ohm per 1000 ft.
    assert build.wiring.feed_resistance == pytest.approx([2 * m * 10.15 / 304.8 for m in (0.5, 1.5)], rel=5e-4)


def test_a_given_resistance_wins_where_the_wire_can_have_it() -> None:
    wire = {"wiring.hop_length": "5 cm", "wiring.hop_gauge": "30 AWG"}
    assert new_build(TILES | wire | {"wiring.hop_resistance": "50 mohm"}).wiring.hop_resistance == (0.05, 0.05)
    for ohms in ("3 mohm", "2 ohm"):
        with pytest.raises(BuildError, match=r"hop_resistance: value .*30 AWG make 33\.9 mohm out and back"):
            new_build(TILES | wire | {"wiring.hop_resistance": ohms})


def test_a_new_resistance_takes_the_place_of_the_length() -> None:
    build = new_build(TILES | {"wiring.hop_length": "5 cm", "wiring.hop_gauge": "30 AWG"})
    changed = build.with_values({"wiring.hop_resistance": "1 mohm"})
    assert (changed.wiring.hop_resistance, changed.wiring.hop_length) == ((1e-3, 1e-3), None)
    assert build.with_values({"wiring.hop_length": "10 cm"}).wiring.hop_resistance[0] == pytest.approx(
        67.7e-3, rel=1e-3
    )


def test_two_ounces_of_copper_3_mm_wide() -> None:
    # 0.017241 ohm mm2/m x 0.06 m / (3 mm x 0.0700 mm) = 4.926 mohm, there and back twice that; over six pitches.
    found = from_track(2.0, 3e-3, 60e-3, 6)
    assert found.figures["loop_resistance"] == pytest.approx(2 * 0.017241e-3 * 60 / (3 * 0.0700), rel=1e-3)
    assert found.values["wiring.rail_resistance"] == pytest.approx(found.figures["loop_resistance"] / 6)
    plane = from_track(2.0, 3e-3, 60e-3, 6, return_width=float("inf"))
    assert plane.figures["loop_resistance"] == pytest.approx(found.figures["loop_resistance"] / 2)
    # IPC-2221, 6.2: 0.048 x 10^0.44 x (118.1 mil x 2.756 mil)^0.725 = 8.77 A.
    assert found.figures["track_current"] == pytest.approx(8.77, abs=0.01)


def test_a_measured_usb_port() -> None:
    # A published measurement of a computer's port: 5003 mV open, 4897 mV with 9.9 ohm, so 0.214 ohm.
    found = from_loads([(0.0, 5.003), (4.897 / 9.9, 4.897)])
    assert found.values["adapter.output_resistance"] == pytest.approx(0.214, abs=5e-4)
    assert found.values["adapter.rated_voltage"] == pytest.approx(5.003)
    assert "adapter.limit_current" not in found.values


def test_a_load_at_which_it_sags_tells_the_limit() -> None:
    found = from_loads([(0.2, 5.09), (2.2, 4.99), (3.6, 3.9)]).values
    expected = {"adapter.output_resistance": 0.05, "adapter.rated_voltage": 5.1, "adapter.limit_current": 3.6}
    assert found == pytest.approx(expected)
    assert from_loads([(0.2, 5.09), (3.6, 3.9)]).values == {"adapter.limit_current": 3.6}


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: from_lit_pixels(0.01, 64), lambda: from_lit_pixels(1.0, 0),
        lambda: from_lit_pixels(1.0, 8, colour=(0, 0, 0)),
        lambda: from_wire(WireRun.HOP, 0.0, 1e-6), lambda: from_wire(WireRun.HOP, 1.0, 1e-6, pairs=0),
        lambda: from_track(2.0, 3e-3, 60e-3, 0), lambda: from_track(9.0, 3e-3, 60e-3, 6),
        lambda: from_loads([(1.0, 5.0)]), lambda: from_loads([(1.0, 5.0), (2.0, 5.1)]),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(wrong) -> None:
    with pytest.raises(UsageError, match="accepted: "):
        wrong()


@pytest.mark.parametrize(
    ("words", "key", "value"),
    [
        (["pixels", "1.5 A", "64"], "pixel.channel_current", 7.6125e-3),
        (["pixels", "1.5 A", "64", "--dark", "64 mA"], "pixel.quiescent_current", 1e-3),
        (["wire", "hop", "5 cm", "30 AWG"], "wiring.hop_length", 0.05),
        (["wire", "lead", "1.5 m", "0.5 mm2", "--contacts", "20m"], "lead.resistance", 0.12345),
        (["track", "2", "3 mm", "60 mm", "6"], "wiring.rail_resistance", 1.642e-3),
        (["track", "2", "3 mm", "60 mm", "6", "--return", "plane"], "wiring.rail_resistance", 0.821e-3),
        (["adapter", "5.09 V @ 0.2 A", "4.99 V@2.2 A"], "adapter.output_resistance", 0.05),
    ],
)
def test_the_command_prints_lines_that_a_build_file_takes(words, key, value, capsys) -> None:
    assert main(["from", *words]) == 0
    page = capsys.readouterr().out
    table = key.partition(".")[0]
    needed = {
        "adapter": 'rated_current = "2 A"\n',
        "wiring": "sections = 2\npixels_per_section = 8\n",
    }
    rest = "".join(f"[{name}]\n{keys}" for name, keys in needed.items() if name != table)
    build = parse_build(f'title = "t"\n{page}\n{needed.get(table, "")}{rest}')
    found = build.get(key)
    assert (found[0] if isinstance(found, tuple) else found) == pytest.approx(value, rel=1e-3)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["pixels", "1,5 A", "64"], 'current: value "1,5 A"; accepted: .*; write "1.5 A"'),
        (["wire", "hop", "5 cm", "30"], 'gauge: value "30"; accepted: .*; write "30 AWG"'),
        (["adapter", "5.1 V", "5 V @ 2 A"], 'reading "5.1 V"; accepted: voltage and current'),
    ],
)
def test_the_command_refuses_in_one_line(words, says, capsys) -> None:
    import re

    assert main(["from", *words]) == 2
    assert re.search(says, capsys.readouterr().err)
