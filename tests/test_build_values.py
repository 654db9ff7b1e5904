import numpy as np
import pytest
from pydantic import ValidationError

from inrushlib.build import build_keys, new_build
from inrushlib.errors import BuildError
from inrushlib.parts import Origin

LEAST = {"title": "t", "adapter.rated_current": 2, "wiring.sections": 3, "wiring.pixels_per_section": 9}


@pytest.fixture
def build():
    return new_build(LEAST)


def test_what_follows_from_a_value_follows(build):
    changed = build.with_values({"adapter.rated_current": "3 A", "adapter.rated_voltage": 5, "lead.length": "2 m"})
    assert changed.adapter.limit_current == pytest.approx(3.6)
    assert changed.adapter.foldback_current == pytest.approx(1.08)
    assert changed.adapter.foldback_knee == pytest.approx(4.0)
    assert changed.lead.inductance == pytest.approx(1.6e-6)
    assert changed.lead.resistance == pytest.approx(build.lead.resistance * 2 / 1.2)
    assert build.adapter.rated_current == 2


def test_what_was_given_stays(build):
    given = build.with_values({"adapter.limit_current": 5})
    changed = given.with_values({"adapter.rated_current": 3})
    assert changed.adapter.limit_current == 5
    assert changed.adapter.foldback_current == pytest.approx(1.5)
    assert changed.with_values({"adapter.limit_current": None}).adapter.limit_current == pytest.approx(3.6)


def test_one_value_for_all_follows_the_sections(build):
    changed = build.with_values({"wiring.sections": 5, "wiring.hop_resistance": "10 mohm"})
    assert changed.wiring.pixels_per_section == (9,) * 5
    assert changed.wiring.hop_resistance == (0.01,) * 4
    assert changed.with_values({"wiring.sections": 1}).wiring.hop_resistance == ()
    listed = build.with_values({"wiring.pixels_per_section": [9, 9, 9]})
    with pytest.raises(BuildError, match=r"wiring.pixels_per_section: value \[9, 9, 9\]; accepted: a list of 4"):
        listed.with_values({"wiring.sections": 4})
    # A list of equal numbers put over one number is a list from then on.
    assert build.with_values({"wiring.pixels_per_section": [9, 9, 9]}).given == build.given


def test_the_switch_goes_in_and_out(build):
    assert build.switch is None
    assert build.get("switch.on_resistance") is None
    switched = build.with_values({"switch": {}})
    assert switched.get("switch.on_resistance") == 0.04
    assert switched.with_values({"switch.on_resistance": "20 mohm"}).switch.on_resistance == 0.02
    assert build.with_values({"switch.on_resistance": "20 mohm"}).switch.on_resistance == 0.02
    assert switched.with_values({"switch": None}) == build
    # Taking a key back does not take the switch out, nor put one in.
    assert (
        build.with_values({"switch.on_resistance": "20 mohm"}).with_values({"switch.on_resistance": None}) == switched
    )
    assert build.with_values({"switch.on_resistance": None}) == build


def test_a_table_takes_the_place_of_the_old_one(build):
    changed = build.with_values({"bus.bulk": 1e-3}).with_values({"bus": {"ceramic": "22 uF"}})
    assert changed.bus.bulk == 0
    assert changed.bus.ceramic == 22e-6
    assert changed.with_values({"bus": None}) == build


def test_optional_values_come_and_go(build):
    peak = build.with_values({"adapter.peak_current": 4, "adapter.peak_time": "20 ms"})
    assert (peak.adapter.peak_current, peak.adapter.peak_time) == (4.0, 0.02)
    assert peak.with_values({"adapter.peak_current": None, "adapter.peak_time": None}) == build
    with pytest.raises(BuildError, match="both, or neither"):
        peak.with_values({"adapter.peak_time": None})


def test_a_required_value_cannot_be_taken_out(build):
    with pytest.raises(BuildError, match=r"adapter\.rated_current: value missing; accepted: above 0 A"):
        build.with_values({"adapter.rated_current": None})


def test_numbers_of_numpy_are_numbers(build):
    changed = build.with_values(
        {
            "adapter.rated_current": np.float64(3), "wiring.sections": np.int64(2), "wiring.feeds": np.array([1, 0]),
            "firmware.content": np.array([0.1, 0.2, 0.3]), "controller.feed_diode": np.bool_(True),
        }
    )  # fmt: skip
    assert type(changed.adapter.rated_current) is float
    assert changed.wiring.feeds == (1, 0)
    assert changed.firmware.content == (0.1, 0.2, 0.3)
    assert changed.controller.feed_diode is True


def test_spreads_of_what_is_not_there_are_left_out(build):
    tolerant = build.with_values(
        {
            "tolerance.switch.on_resistance": {"relative": 0.1},
            "tolerance.lead.resistance": {"relative": 0.1},
            "tolerance.adapter.peak_current": {"relative": 0.1},
        }
    )
    assert len(tolerant.tolerance) == 3
    assert [spread.key for spread in tolerant.spreads()] == ["lead.resistance"]
    assert len(tolerant.with_values({"switch": {}}).spreads()) == 2
    assert tolerant.with_values({"tolerance": None}) == build


def test_a_build_cannot_be_changed_in_place(build):
    with pytest.raises(ValidationError, match="frozen"):
        build.adapter.rated_current = 3
    with pytest.raises(ValidationError, match="frozen"):
        build.title = "u"


def test_every_problem_of_a_change_is_told(build):
    with pytest.raises(BuildError) as refusal:
        build.with_values({"adapter.rated_current": -1, "lead.length": "3 V", "wiring.sections": 99})
    assert len(refusal.value.problems) == 3
    with pytest.raises(BuildError) as refusal:
        build.with_values({"adapter.rated": -1, "leed.length": 3})
    assert len(refusal.value.problems) == 2


def test_each_key_s_origin_is_the_set_that_it_is_in():
    classes = {"adapter.class": "plug-in 3 A", "adapter.limit_current": 3.4, "tolerance.bus.ceramic": {"relative": 0.1}}
    build = new_build({key: value for key, value in LEAST.items() if key != "adapter.rated_current"} | classes)
    for key in build_keys():
        expected = Origin.GIVEN if key in build.given else Origin.CLASS if key in build.from_class else Origin.ASSUMED
        assert build.origin(key) is expected, key
        assert (build.class_range(key) is None) or key in build.from_class
    assert build.class_range("adapter.output_capacitance") is not None
