"""Ranges of values that are known by more than a guess: of a class, and worked out from what was given."""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.margins import assumed_values
from inrushlib.odds import Draw, Which, key_ranges
from inrushlib.parts import Origin, part_classes
from inrushlib.startup.pack import pack

PLAIN = {
    "title": "t", "adapter.rated_current": 2, "wiring.sections": 3, "wiring.pixels_per_section": 8,
    "run.duration": 0.3,
}  # fmt: skip


def ranges_of(values):
    return {each.key: each for each in key_ranges(new_build(PLAIN | values))}


def test_a_class_has_its_own_range():
    found = ranges_of({"adapter.class": "plug-in 2 A"})
    for key, ends in part_classes("adapter")["plug-in 2 A"].ranges({"rated_current": 2}).items():
        if ends[0] < ends[1] and f"adapter.{key}" in found:
            each = found[f"adapter.{key}"]
            assert (each.low, each.high, each.origin) == (*ends, Origin.CLASS)
    # 110 % to 150 % of the label, which the build gives.
    assert (found["adapter.limit_current"].low, found["adapter.limit_current"].high) == pytest.approx((2.2, 3.0))


def test_what_is_given_beside_a_class_scatters():
    found = ranges_of({"adapter.class": "plug-in 2 A", "adapter.limit_current": 2.5})["adapter.limit_current"]
    assert found.origin is Origin.GIVEN
    assert (found.low, found.high) == pytest.approx((2.3, 2.7))


def test_another_class_another_range():
    build = new_build(PLAIN | {"adapter.class": "plug-in 2 A"})
    other = build.with_values(build.class_changes("adapter", "open frame 10 A"))
    kept = build.with_values(build.class_changes("adapter", None))
    assert other.class_range("adapter.output_capacitance") == pytest.approx((2.2e-3, 15e-3))
    assert kept.class_range("adapter.output_capacitance") is None


def test_a_lead_of_a_class_has_its_contacts_spread_and_no_more():
    found = ranges_of({"lead.class": "barrel 2.1 mm, 22 AWG"})
    assert (found["lead.contact_resistance"].low, found["lead.contact_resistance"].high) == (0.0, 0.1)
    known = found["lead.resistance"]
    assert known.high / known.low == pytest.approx(1.05 / 0.95)
    assert ranges_of({})["lead.resistance"].high / ranges_of({})["lead.resistance"].low > 2


@pytest.mark.parametrize("run", ["hop", "feed"])
def test_length_and_gauge_leave_part_scatter(run):
    key = f"wiring.{run}_resistance"
    copper = {f"wiring.{run}_length": 0.3, f"wiring.{run}_gauge": "22 AWG"}
    wide, known = ranges_of({})[key], ranges_of(copper)[key]
    assert wide.high / wide.low == pytest.approx(20)
    value = new_build(PLAIN | copper).get(key)
    assert (known.low, known.high) == pytest.approx((0.8 * value[0], 1.2 * value[0]))
    assumed = {each.key for each in assumed_values(new_build(PLAIN | copper))}
    assert key not in assumed
    assert key in {each.key for each in assumed_values(new_build(PLAIN))}


@pytest.mark.parametrize("entry", ["wiring.hop_length", "wiring.hop_gauge"])
@pytest.mark.parametrize("which", Which)
def test_a_stated_length_or_gauge_moves_the_joints(entry, which):
    build = new_build(
        PLAIN | {"wiring.hop_length": [0.2, 0.4], "wiring.hop_gauge": "22 AWG", f"tolerance.{entry}": {"relative": 0.2}}
    )
    draw = Draw(build, key_ranges(build, which))
    points = np.random.default_rng(3).random((6, len(draw.dimensions)))
    for i, packed in enumerate(draw.pack(points)):
        assert packed.lumps[0] == pytest.approx(pack(draw.at(points[i])).lumps)
    assert len({each.lumps.tobytes() for each in draw.pack(points)}) > 1
