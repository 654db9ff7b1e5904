"""Shapes of display, each as a build that starts quickly."""

from inrushlib.build import new_build

BASE = {
    "title": "a display", "adapter.rated_current": "10 A", "controller.boot_time": "5 ms", "run.duration": "30 ms",
    "wiring.lumps": 1,
}  # fmt: skip
SWITCH = {
    "switch.gate_drain_capacitance": "22 nF", "controller.feed_diode": True, "controller.reservoir": "1000 uF",
    "firmware.gate_delay": "1 ms", "firmware.first_frame_delay": "5 ms",
}  # fmt: skip
SHAPES = {
    "one pixel": {"wiring.sections": 1, "wiring.pixels_per_section": 1},
    "ring in one strip": {"wiring.sections": 1, "wiring.pixels_per_section": 60, "wiring.feed_pixels": [0]},
    "two uneven strips": {"wiring.sections": 2, "wiring.pixels_per_section": [10, 144]},
    "tall column": {"wiring.sections": 12, "wiring.pixels_per_section": 24, "wiring.feeds": [0, 5, 11]},
    "square of tiles": {
        "wiring.sections": 4, "wiring.pixels_per_section": 64, "wiring.section_rows": 8, "wiring.sections_across": 2,
        "wiring.feeds": [0, 2], "bus.bulk": "470 uF", **SWITCH,
    },
    "wide board": {
        "wiring.sections": 8, "wiring.pixels_per_section": 256, "wiring.section_rows": 8, "wiring.chain_by": "columns",
        "wiring.sections_across": 8, "wiring.lanes": 8, "wiring.feeds": [0, 2, 4, 6], "panel.bulk": "1000 uF",
    },
    "three lines of four": {
        "wiring.sections": 12, "wiring.pixels_per_section": 256, "wiring.section_rows": 16, "wiring.sections_across": 4,
        "wiring.lanes": 3, "wiring.feeds": [0, 1, 2, 3, 8, 9, 10, 11], "limiter.cold_resistance": "1 ohm",
    },
    "every section fed": {
        "wiring.sections": 6, "wiring.pixels_per_section": 32, "wiring.feeds": [0, 1, 2, 3, 4, 5],
        "wiring.sections_across": 6, "wiring.section_rows": 4, "switch.kind": "load-switch",
    },
    "sixty-four tiles": {
        "wiring.sections": 64, "wiring.pixels_per_section": 64, "wiring.section_rows": 8, "wiring.sections_across": 16,
        "wiring.lanes": 16, "wiring.feeds": list(range(0, 64, 4)), "controller.feed": "own",
    },
    "narrow tower": {
        "wiring.sections": 16, "wiring.pixels_per_section": 64, "wiring.section_rows": 16, "wiring.feeds": [15],
        "switch.gate_driver": "pin",
    },
}  # fmt: skip


def shape(name):
    """The build of a shape."""
    return new_build({**BASE, **SHAPES[name]})
