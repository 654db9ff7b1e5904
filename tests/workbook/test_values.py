"""Values as text and back, sliders' places."""

import numpy as np
import pytest
from widgets.groups import GROUPS, Slide, group_names, rest_of
from widgets.signs import signs
from widgets.values import at_position, label_of, position, shown, tooltip_of, typed

from inrushlib.build import build_keys, load_build
from inrushlib.parts import plainly
from tests.plain_words import unsaid

SLIDES = [item for items in GROUPS.values() for item in items if isinstance(item, Slide)]


def test_every_key_of_the_format_has_one_control():
    placed = [item.key for items in GROUPS.values() for item in items if hasattr(item, "key")]
    rest = [item.key for name in group_names() for item in rest_of(name)]
    assert sorted(placed + rest) == sorted(key for key, info in build_keys().items() if info.table)


@pytest.mark.parametrize("key", [key for key, info in build_keys().items() if info.table])
def test_a_control_says_unit_meaning_and_where_to_find_the_value(key):
    info = build_keys()[key]
    assert f"[{info.unit.replace('ohm', 'Ω')}]" in label_of(key) or not info.unit or info.kind == "gauge"
    for said in (info.meaning[1:], info.where_found):
        assert signs(plainly(said, key)) in tooltip_of(key)
    assert unsaid(tooltip_of(key)) == []


@pytest.mark.parametrize("name", ["tide_board_boots", "tide_board_with_switch"])
def test_what_a_field_shows_reads_back_as_the_same_value(builds, name):
    build = load_build(builds / f"{name}.toml").with_values({"run.interruptions": [[0.3, 0.31], [0.5, 0.55]]})
    for key, info in build_keys().items():
        text = shown(build, key)
        if info.table and text and info.kind != "yes-no":
            again, value = build.with_values({key: typed(key, text)}).get(key), build.get(key)
            if info.kind == "choice" or value == info.instead:
                assert again == value
            else:
                assert np.ravel(again) == pytest.approx(np.ravel(value), rel=1e-3), key  # a field shows four digits


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("bus.bulk", "22u", 22e-6),
        ("bus.bulk", "470 uF", 470e-6),
        ("bus.bulk", "4.7e-4", 4.7e-4),
        ("adapter.rated_current", " 2.37 ", 2.37),
        ("adapter.output_resistance", "34 mΩ", 0.034),
        ("controller.boot_time", "300ms", 0.3),
        ("lead.gauge", "22 AWG", 3.2552e-7),
        ("wiring.feeds", "0, 3", (0, 3)),
        ("wiring.feeds", "3", (3,)),
        ("wiring.hop_resistance", "30m", (0.03, 0.03, 0.03)),
        ("firmware.content", "0.1, 0.2, 0", (0.1, 0.2, 0.0)),
        ("run.interruptions", "0.3 to 0.31, 500 ms to 0.55 s", ((0.3, 0.31), (0.5, 0.55))),
        ("adapter.limit_current", "", 18.0),
    ],
)
def test_typed(builds, key, text, value):
    build = load_build(builds / "tide_board_boots.toml").with_values({key: typed(key, text)})
    assert np.ravel(build.get(key)) == pytest.approx(np.ravel(value), rel=1e-4)


@pytest.mark.parametrize("slide", SLIDES, ids=lambda slide: slide.key)
def test_a_slider_reaches_both_ends_and_keeps_its_place(slide):
    assert at_position(slide, 100) == pytest.approx(slide.high, rel=1e-2)
    assert at_position(slide, 0) in (0.0, slide.low)
    for step in range(0, 201, 7):
        place = step / 2
        assert abs(position(slide, at_position(slide, place)) - place) <= 0.5  # three digits round


def test_left_end_is_none_of_it_where_that_is_accepted():
    bulk = next(slide for slide in SLIDES if slide.key == "bus.bulk")
    assert at_position(bulk, 0) == 0.0
    assert position(bulk, bulk.low) > 0
    ceramic = next(slide for slide in SLIDES if slide.key == "bus.ceramic")
    assert at_position(ceramic, 0) == ceramic.low
