"""The defaults and the keys, against the table of the format as the builder's manual prints it."""

import pytest

from inrushlib.build import build_keys, new_build
from inrushlib.parts import TABLES, Lead
from inrushlib.quantities import parse_gauge, parse_quantity

LEAST = {
    "title": "least",
    "adapter.rated_current": 2.0,
    "wiring.sections": 3,
    "wiring.pixels_per_section": 9,
    "switch": {},
    "limiter": {},
}

# The values are typical of the trade, from memory.
DEFAULTS = """
adapter rated_voltage 5.1 V | limit_current 2.4 A | limit_style constant-current | foldback_current 0.72 A
adapter foldback_knee 4.08 V | peak_current none | peak_time none | output_resistance 75 mohm
adapter output_capacitance 1000 uF | soft_start 8 ms | trip_delay 20 ms | retry_delay 1 s | bleed_resistance 1 kohm
adapter minimum_load none
lead length 1.2 m | gauge 22 AWG | inductance 0.96 uH | connector not said
lead contact_resistance 0 ohm
limiter cold_resistance 1 ohm | beta 2800 K | dissipation 15 mW/K | heat_capacity 0.9 J/K | ambient 25 C
bus ceramic 1 uF | bulk 0 F | bulk_esr 50 mohm
switch threshold_voltage 0.9 V | on_resistance 40 mohm | on_resistance_drive 4.5 V
switch gate_source_capacitance 1 nF | gate_drain_capacitance 0.2 nF | pullup_resistance 10 kohm
switch kind p-channel | slew_rate 1 kV/s | current_limit 2 A
switch gate_resistance 100 ohm | gate_driver transistor | thermal_resistances 1 K/W, 3 K/W, 10 K/W, 50 K/W
switch thermal_times 100 us, 2 ms, 30 ms, 1 s | ambient 25 C | highest_junction 150 C
panel ceramic 1 uF | bulk 0 F | bulk_esr 50 mohm
controller feed bus | own_voltage 5 V | feed_resistance 50 mohm | feed_diode false | diode_drop 0.3 V
controller reservoir 10 uF | rail_voltage 3.3 V | dropout_voltage 80 mV | dropout_resistance 0.3 ohm
controller regulator_limit 0.6 A | rail_capacitance 22 uF | brownout_rising 2.8 V | brownout_falling 2.3 V
controller reset_hold 1 ms | boot_peak_current 0 A | boot_peak_at 20 ms | boot_peak_length 40 ms
controller boot_time 150 ms | reset_current 10 mA | boot_current 80 mA | run_current 80 mA | highest_supply 6 V
controller burst_current 0 A | burst_length 2 ms | burst_period 100 ms
firmware gate_delay 0 s | first_frame_delay 1 ms | refresh_interval 0 s | bits_per_pixel 24 | bit_time 1.25 us
firmware reset_gap 300 us | first_frame 0, 0, 0 | content_delay none | content 0.3, 0.3, 0.3
pixel power_on 1, 1, 1 | quiescent_current 0.6 mA | channel_current 12 mA | forward_voltages 1.9 V, 2.75 V, 2.85 V
pixel channel_resistance 80 ohm | wake_voltage 2 V | highest_supply 5.5 V | listen_voltage 2.2 V
pixel listen_delay 0.3 ms | forget_voltage 1.8 V
wiring section_rows 1 | chain_by rows | serpentine true | sections_across 1
wiring lanes 1 | lumps auto | capacitance_per_pixel 100 nF
wiring hop_resistance 30 mohm, 30 mohm | feeds 0, | feed_resistance 20 mohm,
wiring rail_resistance 0.3 mohm | feed_pixels 4, | feed_gauge none | hop_gauge none | feed_connector not said
wiring feed_length none | hop_length none
run duration 1 s | start mains | interruptions none
"""


def default_cases():
    for line in DEFAULTS.strip().splitlines():
        table, _, rest = line.partition(" ")
        for entry in rest.split(" | "):
            key, _, text = entry.partition(" ")
            yield f"{table}.{key}", text


def read(text, info):
    if info.instead and text == info.instead:
        return text
    if text == "none" and info.kind != "pairs":
        return None
    match info.kind:
        case "gauge":
            return parse_gauge(text)
        case "choice":
            return text
        case "yes-no":
            return text == "true"
        case "list" | "count list":
            one = info.unit if info.kind == "list" else ""
            return tuple(
                parse_quantity(part.strip() if one else float(part), one) for part in text.split(",") if part.strip()
            )
        case "pairs":
            return ()
    return parse_quantity(text if info.unit else float(text), info.unit)


@pytest.mark.parametrize(("key", "text"), list(default_cases()))
def test_defaults_are_those_of_the_format(key, text):
    found = new_build(LEAST).get(key)
    expected = read(text, build_keys()[key])
    assert found == (pytest.approx(expected, rel=1e-12) if isinstance(expected, float | tuple) else expected)


def test_every_key_of_the_format_is_there_and_no_other():
    required = {"title", "adapter.rated_current", "wiring.sections", "wiring.pixels_per_section"}
    named = {key for key, _ in default_cases()} | required | {"format", "lead.resistance"}
    assert set(build_keys()) == named
    assert {key for key, info in build_keys().items() if info.required} == required


def test_lead_resistance_against_a_handbook():
    # Solid wire at 20 C, handbook table as widely printed: 22 AWG 16.14 ohm per 1000 ft; 0.05 % from its digits.
    per_metre = 16.14 / 304.8
    assert Lead().resistance == pytest.approx(2 * 1.2 * per_metre, rel=1e-3)
    assert Lead(length="2 m", gauge="0.5 mm2").resistance == pytest.approx(2 * 2 * 0.017241 / 0.5, rel=1e-12)
    assert Lead(resistance="0.2 ohm", length=9).resistance == 0.2


def test_a_word_that_may_stand_instead_of_a_number_is_told():
    assert build_keys()["wiring.lumps"].within == '"auto", or 1 to 99, whole'
    assert build_keys()["wiring.lanes"].within == "1 to 64, whole"


@pytest.mark.parametrize("info", build_keys().values(), ids=lambda info: f"{info.table}.{info.key}")
def test_every_key_says_what_a_builder_needs(info):
    assert len(info.meaning) > 3
    assert len(info.where_found) > 3
    assert info.bounds
    assert info.source
    assert info.default_text or info.required
    # A quantity says its unit in its bounds; nothing else has one.
    if info.unit and info.kind != "gauge":
        assert info.unit in info.bounds
    assert info.accepted.isprintable()


def test_parts_stand_alone():
    assert set(TABLES) == {
        "adapter", "lead", "limiter", "bus", "switch", "panel", "controller", "firmware", "pixel", "wiring", "run",
    }  # fmt: skip
    assert TABLES["adapter"](rated_current="2 A").model_dump()["limit_current"] == 2.4
