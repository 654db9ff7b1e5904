import contextlib
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

from inrushlib.build import build_keys, load_build, new_build, parse_build
from inrushlib.errors import BuildError

REFERENCE = sorted((Path(__file__).parent / "reference").glob("*.toml"))

TIDE_BOARD = """
format = 1
title = "harbour tide board"
[adapter]
rated_current = "4 A"
limit_current = 5
[lead]
length = "120 cm"
gauge = "20 AWG"
[switch]
[panel]
bulk = "470 µF"
[wiring]
sections = 4
pixels_per_section = [256, 256, 128, 256.0]
hop_resistance = ["20 mohm", 0.03, "0.04 ohm"]
feeds = [0, 3]
feed_resistance = "15 mΩ"
[run]
interruptions = [["400 ms", 0.5], [0.6, 0.7]]
[tolerance]
"lead.resistance" = { relative = 0.2 }
"adapter.limit_current" = { low = "4.5 A", high = 5.5 }
"pixel.forward_voltages" = { sigma = "50 mV" }
"""


def test_a_build_is_read_and_resolved():
    build = parse_build(TIDE_BOARD)
    assert build.title == "harbour tide board"
    assert build.adapter.limit_current == 5.0
    assert build.adapter.foldback_current == pytest.approx(1.5)
    assert build.lead.inductance == pytest.approx(0.96e-6)
    assert build.panel.bulk == 470e-6
    assert build.switch is not None
    assert build.switch.on_resistance == 0.04
    assert build.wiring.pixels_per_section == (256, 256, 128, 256)
    assert all(type(count) is int for count in build.wiring.pixels_per_section)
    assert build.wiring.hop_resistance == (0.02, 0.03, 0.04)
    assert build.wiring.feed_resistance == (0.015, 0.015)
    assert build.wiring.feed_pixels == (128, 128)
    assert build.run.interruptions == ((0.4, 0.5), (0.6, 0.7))
    assert build.tolerance["lead.resistance"].relative == 0.2
    assert (build.tolerance["adapter.limit_current"].low, build.tolerance["adapter.limit_current"].high) == (4.5, 5.5)
    assert build.tolerance["pixel.forward_voltages"].sigma == 0.05
    assert parse_build(TIDE_BOARD.replace("[switch]\n", "")).switch is None


def test_given_names_what_the_file_gave():
    assert parse_build(TIDE_BOARD).given == {
        "format", "title", "adapter.rated_current", "adapter.limit_current", "lead.length", "lead.gauge",
        "panel.bulk", "wiring.sections", "wiring.pixels_per_section", "wiring.hop_resistance", "wiring.feeds",
        "wiring.feed_resistance", "run.interruptions", "tolerance.lead.resistance",
        "tolerance.adapter.limit_current", "tolerance.pixel.forward_voltages",
    }  # fmt: skip


def test_spellings_of_toml_do_not_matter():
    table = 'title = "t"\n[adapter]\nrated_current = 2\n[wiring]\nsections = 1\npixels_per_section = 5\n'
    inline = 'title = "t"\nadapter = { rated_current = 2.0 }\nwiring.sections = 1.0\nwiring.pixels_per_section = [5]\n'
    assert parse_build(table) == parse_build(inline) == parse_build(table.replace("\n", "\r\n"))
    assert hash(parse_build(table)) == hash(parse_build(inline))
    assert parse_build(table) != parse_build(table.replace("= 5", "= 6"))


@pytest.mark.parametrize(
    ("values", "key", "expected"),
    [
        ({"wiring.rail_resistance": 0}, "wiring.hop_resistance", (0.03, 0.03)),
        ({"wiring.hop_resistance": 0}, "wiring.hop_resistance", (0.0, 0.0)),
        ({"wiring.hop_resistance": [0, 0.1]}, "wiring.hop_resistance", (0.0, 0.1)),
        ({"switch.gate_drain_capacitance": 0}, "switch.gate_source_capacitance", 1e-9),
        ({"switch.gate_source_capacitance": 0}, "switch.gate_drain_capacitance", 0.2e-9),
        ({"switch.ambient": "-40 C"}, "switch.ambient", -40.0),
        ({"switch.ambient": 0}, "switch.ambient", 0.0),
        ({"run.interruptions": [[0, 0.1]]}, "run.interruptions", ((0.0, 0.1),)),
        ({"wiring.feeds": [2, 0], "wiring.feed_pixels": [8, 0]}, "wiring.feed_pixels", (8, 0)),
        ({"wiring.sections": 1, "wiring.hop_resistance": []}, "wiring.hop_resistance", ()),
        ({"wiring.lanes": 3}, "wiring.lanes", 3),
        ({"firmware.content": [0, 1, 0.5]}, "firmware.content", (0.0, 1.0, 0.5)),
        ({"adapter.peak_current": 2.4, "adapter.peak_time": 0.02}, "adapter.peak_current", 2.4),
    ],
)
def test_what_the_format_allows_is_read(values, key, expected):
    least = {
        "title": "t", "adapter.rated_current": 2, "wiring.sections": 3, "wiring.pixels_per_section": 9,
    }  # fmt: skip
    assert new_build({**least, **values}).get(key) == expected


ZERO_ALLOWED = {
    "lead.contact_resistance",
    "bus.bulk", "panel.bulk", "controller.boot_time", "firmware.gate_delay",
    "firmware.first_frame_delay", "firmware.content_delay", "pixel.listen_delay", "firmware.reset_gap",
    "adapter.trip_delay", "controller.dropout_voltage", "controller.diode_drop",
    "firmware.refresh_interval", "pixel.quiescent_current", "controller.reset_current",
    "controller.reset_hold", "controller.boot_peak_current", "controller.boot_peak_at", "controller.boot_peak_length",
    "controller.boot_current", "controller.run_current", "controller.burst_current", "switch.ambient",
    "limiter.ambient", "switch.gate_source_capacitance", "switch.gate_drain_capacitance", "wiring.rail_resistance",
    "wiring.hop_resistance",
}  # fmt: skip


def test_zero_is_allowed_where_the_format_says_so_and_nowhere_else():
    least = new_build(
        {"title": "t", "adapter.rated_current": 2, "wiring.sections": 3, "wiring.pixels_per_section": 9, "switch": {}}
    )
    accepted = set()
    for key, info in build_keys().items():
        if info.kind == "number" or key in ("wiring.hop_resistance", "wiring.feed_resistance"):
            with contextlib.suppress(BuildError):
                least.with_values({key: 0})
                accepted.add(key)
    assert accepted == ZERO_ALLOWED


def test_a_byte_order_mark_is_no_problem(tmp_path):
    (tmp_path / "marked.toml").write_bytes(b"\xef\xbb\xbf" + TIDE_BOARD.encode())
    assert load_build(tmp_path / "marked.toml") == parse_build(TIDE_BOARD)


def test_a_build_survives_another_process():
    build = parse_build(TIDE_BOARD)
    again = pickle.loads(pickle.dumps(build))
    assert again == build
    assert again.given == build.given


@pytest.mark.parametrize("path", REFERENCE, ids=lambda path: path.stem)
def test_reference_builds_are_read(path):
    build = load_build(path)
    assert build.title
    assert build.adapter.rated_current > 0


def test_reading_a_build_needs_no_heavy_library():
    heavy = "{'pandas', 'scipy', 'numba', 'matplotlib'}"
    code = f"import sys, inrushlib.build; print(sorted({heavy} & set(sys.modules)))"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"
