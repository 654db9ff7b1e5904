"""A build and a verdict made for what pages say of them."""

from types import SimpleNamespace as Made

TILES = {
    "title": "two tiles", "adapter.rated_current": 8, "adapter.rated_voltage": 4.8,
    "wiring.sections": 2, "wiring.pixels_per_section": 64,
    "firmware.first_frame_delay": "10 ms", "run.duration": 0.5, "lead.gauge": "18 AWG", "switch": {},
}  # fmt: skip

GOOD = Made(words="boots", overstressed=False)
