"""Part classes: each loads, holds its own ranges and those of the defaults, and says where its values are from."""

import pytest

from inrushlib.build import Build, load_build, new_build, parse_build, save_build, to_toml
from inrushlib.errors import BuildError
from inrushlib.parts import TABLES, class_values, part_classes
from inrushlib.parts.connector import CONNECTORS
from inrushlib.parts.part import ValueKind
from inrushlib.quantities import parse_gauge

LEAST = {
    "title": "least",
    "adapter.rated_current": "3 A",
    "wiring.sections": 2,
    "wiring.pixels_per_section": 256,
}
EVERY = [(table, name) for table in TABLES for name in part_classes(table)]

# The class that is closest to what a build has where nothing is said.
NEAREST = {
    "adapter": "plug-in 3 A",
    "lead": "barrel 2.1 mm, 22 AWG",
    "bus": "electrolytic, low impedance",
    "panel": "electrolytic, low impedance",
    "switch": "P-channel, small",
    "controller": "Wi-Fi, radio off",
    "pixel": "12 mA, wakes white",
    "wiring": "tile 8 x 8, copper planes",
}


def of_class(table: str, name: str) -> Build:
    own = {key: value for key, value in LEAST.items() if not key.startswith(f"{table}.") or table == "wiring"}
    return new_build({**own, f"{table}.class": name})


@pytest.mark.parametrize(("table", "name"), EVERY)
def test_every_class_loads_and_lies_within_its_own_ranges(table: str, name: str) -> None:
    build = of_class(table, name)
    found = part_classes(table)[name]
    assert build.class_of(table) == name
    assert {f"{table}.{key}" for key in found.values} <= build.from_class | build.given
    for key, (low, high) in found.ranges().items():
        value = build.get(f"{table}.{key}")
        for each in value if isinstance(value, tuple) else (value,):
            assert low * (1 - 1e-9) <= each <= high * (1 + 1e-9), key


@pytest.mark.parametrize(("table", "name"), EVERY)
def test_every_number_of_a_class_has_a_range_and_every_value_a_source(table: str, name: str) -> None:
    found = part_classes(table)[name]
    assert found.meaning
    assert found.group
    assert all(entry.source for entry in found.values.values())
    assert all(fact.name and fact.value and fact.source for fact in found.facts)
    # The drive is the condition that a resistance is given at.
    numbers = {key for key in found.values if TABLES[table].about[key].kind is ValueKind.NUMBER}
    assert numbers - {"on_resistance_drive"} <= set(found.ranges())


@pytest.mark.parametrize("table", NEAREST)
def test_each_default_lies_in_the_range_of_the_nearest_class(table: str) -> None:
    plain = new_build({**LEAST, "switch": {}})
    ranges = part_classes(table)[NEAREST[table]].ranges()
    assert ranges
    for key, (low, high) in ranges.items():
        value = plain.get(f"{table}.{key}")
        for each in value if isinstance(value, tuple) else (value,):
            assert low * (1 - 1e-9) <= each <= high * (1 + 1e-9), key


@pytest.mark.parametrize("amperes", [1, 2, 3])
def test_a_plug_in_class_is_what_its_rated_current_alone_makes(amperes: int) -> None:
    by_class, by_label = (
        new_build({"title": "t", "wiring.sections": 1, "wiring.pixels_per_section": 8, **values})
        for values in ({"adapter.class": f"plug-in {amperes} A"}, {"adapter.rated_current": amperes})
    )
    assert by_class.adapter == by_label.adapter


def test_what_is_given_wins_over_the_class_and_the_class_over_the_default() -> None:
    build = parse_build("""
        title = "t"
        [adapter]
        class = "desktop 8 A"
        soft_start = "30 ms"
        [wiring]
        sections = 1
        pixels_per_section = 8
    """)
    assert build.adapter.rated_current == 8.0
    assert build.adapter.output_capacitance == pytest.approx(1500e-6)
    assert build.adapter.soft_start == pytest.approx(30e-3)
    assert build.adapter.bleed_resistance == 1e3
    assert "adapter.soft_start" in build.given - build.from_class
    assert "adapter.output_capacitance" in build.from_class - build.given
    assert "adapter.bleed_resistance" not in build.from_class | build.given


def test_what_grows_with_the_label_follows_a_label_that_is_given() -> None:
    build = of_class("adapter", "desktop 8 A").with_values({"adapter.rated_current": 2})
    assert (build.adapter.limit_current, build.adapter.output_resistance) == pytest.approx((2.4, 0.075))
    assert class_values("adapter", "desktop 8 A", {"rated_current": "nonsense"})["rated_current"] == "8 A"


def test_a_class_stays_in_the_file_and_can_be_changed(tmp_path) -> None:
    build = parse_build(
        'title = "t"\n[adapter]\nclass = "plug-in 1 A"  # the small one\n'
        "[wiring]\nsections = 1\npixels_per_section = 8\n"
    )
    changed = build.with_values({"adapter.class": "plug-in 2 A", "switch.class": "P-channel, small"})
    assert 'class = "plug-in 2 A"  # the small one' in to_toml(changed)
    save_build(changed, tmp_path / "b.toml")
    again = load_build(tmp_path / "b.toml")
    assert again == changed
    assert again.class_of("switch") == "P-channel, small"
    assert build.with_values({"adapter.class": "plug-in 1 A"}).adapter == build.adapter
    anew = new_build({**LEAST, "pixel.class": "8 mA, wakes dark"})
    assert parse_build(to_toml(anew)) == anew


def test_a_class_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(BuildError) as caught:
        parse_build(
            'title = "t"\n[adapter]\nclass = "pluggin 3 A"\nrated_current = "3 A"\n'
            "[run]\nclass = 3\n[wiring]\nsections = 1\npixels_per_section = 8\n"
        )
    first, second = caught.value.problems
    assert first.startswith('adapter.class: value "pluggin 3 A"; accepted: "plug-in 1 A", "plug-in 2 A"')
    assert second == "run.class: value 3; accepted: no class, this table has none"
    with pytest.raises(BuildError, match=r'lead\.class: value "x"'):
        class_values("lead", "x")


def test_a_lead_of_a_class_counts_its_plugs() -> None:
    # USB 2.0 power pair, 24 AWG: 84.2 mohm a metre of conductor (handbook wire table), out and back, and the contacts.
    lead = of_class("lead", "USB cable, 24 AWG").lead
    assert lead.resistance == pytest.approx(2 * 84.219e-3 + 60e-3, rel=1e-3)


def test_a_type_c_cable_keeps_to_the_drop_that_its_standard_allows() -> None:
    # USB Type-C 4.4.1, as reproduced by an engineer: 500 mV on VBUS and 250 mV on ground at 3 A, 250 mohm the loop.
    assert of_class("lead", "USB Type-C cable, 3 A").lead.resistance <= 0.25


# What a builder's drawer holds, by the values that tell one from another: table, classes, key and values.
DRAWER = [
    ("adapter", "plug-in", "rated_current", {1, 2, 3}),
    ("adapter", "desktop", "rated_current", {4, 5, 6, 8, 10}),
    ("adapter", "open frame", "rated_current", {10, 20, 30, 40, 60}),
    ("adapter", "USB", "rated_current", {0.5, 0.9, 1.5, 2.4, 3}),
    ("adapter", "power bank", "minimum_load", {0.075}),
    ("lead", "barrel 2.1 mm", "connector", {"barrel jack 5.5 mm x 2.1 mm"}),
    ("lead", "USB cable", "gauge", {"28 AWG", "24 AWG", "20 AWG"}),
    ("lead", "screw terminals", "gauge", {"18 AWG", "14 AWG"}),
    ("pixel", "5 mA", "channel_current", {0.005}),
    ("pixel", "8 mA", "channel_current", {0.0077}),
    ("pixel", "12 mA", "power_on", {(1, 1, 1), (0, 0, 0), (0, 0, 1)}),
    ("pixel", "18 mA", "channel_current", {0.018}),
    ("controller", "8-bit, 5 V", "rail_voltage", {5}),
    ("controller", "Wi-Fi, low-dropout", "dropout_voltage", {0.08}),
    ("controller", "Wi-Fi, 1.1 V", "dropout_voltage", {1.09}),
    ("switch", "P-channel", "kind", {"p-channel"}),
    ("switch", "load switch", "kind", {"load-switch"}),
]


@pytest.mark.parametrize(
    ("table", "begins", "key", "values"), DRAWER, ids=[f"{table} {begins}" for table, begins, _, _ in DRAWER]
)
def test_the_parts_of_the_trade_have_their_classes(table: str, begins: str, key: str, values: set[object]) -> None:
    found = {of_class(table, name).get(f"{table}.{key}") for name in part_classes(table) if name.startswith(begins)}
    if key == "gauge":
        assert found == {parse_gauge(str(each)) for each in values}
    else:
        assert found == values


@pytest.mark.parametrize("name", [name for name in part_classes("adapter") if name.startswith(("USB", "power bank"))])
def test_a_port_or_power_bank_says_when_it_switches_off(name: str) -> None:
    """It does so at its limit, and says whether it comes back."""
    found = part_classes("adapter")[name]
    assert of_class("adapter", name).adapter.limit_style in ("hiccup", "latch-off")
    assert "switches off" in {fact.name for fact in found.facts}


@pytest.mark.parametrize("name", [name for name in part_classes("controller") if name.startswith("Wi-Fi")])
def test_a_radio_that_is_on_calibrates_and_sends_in_bursts(name: str) -> None:
    controller = of_class("controller", name).controller
    on = "radio off" not in name
    assert (controller.boot_peak_current > 0, controller.burst_current > 0) == (on, on)


@pytest.mark.parametrize("name", part_classes("bus"))
def test_a_capacitor_says_its_tolerance_and_what_it_loses_under_bias(name: str) -> None:
    facts = {fact.name for fact in part_classes("bus")[name].facts}
    assert {"tolerance", "loss under bias"} <= facts


@pytest.mark.parametrize("name", part_classes("lead"))
def test_a_lead_says_what_its_plug_carries(name: str) -> None:
    rated, source = CONNECTORS[of_class("lead", name).lead.connector]
    assert rated > 0
    assert source
