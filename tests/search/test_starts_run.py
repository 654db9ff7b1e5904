"""How many starts a search ran, which each page tells, against a count of them."""

import sys

import pytest

from inrushlib.build import new_build
from inrushlib.search import Axis, delay_window, smallest_adapter, smallest_reservoir, verdict_map

from .sized_builds import four_tiles, reference, six_tiles, tide_board


@pytest.fixture
def ran(monkeypatch):
    """A list with a 1 for each start that anything in the searches runs."""
    starts = []

    def counted(run, how_many):
        def wrapped(*arguments, **more):
            starts.extend([1] * how_many(arguments[0]))
            return run(*arguments, **more)

        return wrapped

    for module in [each for name, each in sys.modules.items() if name.startswith("inrushlib.search.")]:
        for name, how_many in (("simulate", lambda _: 1), ("screen_many", len)):
            if hasattr(module, name):
                monkeypatch.setattr(module, name, counted(getattr(module, name), how_many))
    return starts


SMALL = {"adapter__rated_current": 0.51, "controller__boot_time": 7.6e-3, "controller__feed_diode": True,
         "controller__reservoir": 470e-6, "pixel__power_on": [0.46] * 3, "switch": {}}  # fmt: skip
FLASH = {"title": "four panels", "adapter.rated_current": 3, "bus.bulk": 470e-6, "switch.on_resistance": 12e-3,
         "firmware.first_frame_delay": 60e-3, "firmware.refresh_interval": 40e-3, "wiring.sections": 4,
         "wiring.pixels_per_section": 256, "wiring.lanes": 4, "wiring.feeds": [0, 2], "run.duration": 0.5}  # fmt: skip
DARK_PIXEL = {"wiring__sections": 1, "wiring__pixels_per_section": 1, "controller__feed": "own",
              "pixel__quiescent_current": 0, "pixel__power_on": [0, 0, 0]}  # fmt: skip

SEARCHES = {
    "window": lambda: delay_window(six_tiles(switch={})),
    "window, lost without a frame": lambda: delay_window(four_tiles(**SMALL)),
    "window, switch too hot": lambda: delay_window(tide_board("boots").with_values({"switch": {}})),
    "program never runs": lambda: delay_window(six_tiles(switch={}, controller__brownout_rising=3.4)),
    "lost before a frame": lambda: delay_window(reference("0101")),
    "no delay boots": lambda: delay_window(reference("1000")),
    "adapter": lambda: smallest_adapter(six_tiles()),
    "adapter, from a milliampere": lambda: smallest_adapter(six_tiles(**DARK_PIXEL)),
    "no adapter": lambda: smallest_adapter(reference("0103")),
    "each adapter overstresses": lambda: smallest_adapter(six_tiles(adapter__rated_voltage=12)),
    "reservoir": lambda: smallest_reservoir(new_build(FLASH)),
    "no reservoir": lambda: smallest_reservoir(new_build(FLASH | {"switch": None})),
    "map": lambda: verdict_map(six_tiles(), Axis("adapter.rated_current", 1, 6, 11), Axis("bus.bulk", 1e-4, 1e-2, 9)),
}


@pytest.mark.parametrize("search", SEARCHES)
def test_a_search_tells_how_many_starts_it_ran(search, ran):
    found = SEARCHES[search]()
    assert found.runs == len(ran) > 0
