"""A run that ends where its verdict can no longer change has the verdict of the whole run."""

from time import process_time

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.startup import Verdict, screen
from inrushlib.startup.pack_columns import pack_columns
from inrushlib.startup.verdicts import run_columns

from ..startup.wide_builds import Chance, random_values


def early(build):
    codes, _ = run_columns(pack_columns(build, {"run.duration": np.array([build.run.duration])}))
    return list(Verdict)[codes[0]]


@pytest.mark.parametrize("first", range(1, 61, 20))
def test_random_builds(first):
    for seed in range(first, first + 20):
        build = new_build(random_values(Chance(seed)))
        assert early(build) is screen(build).verdict, f"build {seed}"


#: Six tiles that reset over and over: the display lights up again each time.
AROUND = {
    "title": "around", "adapter.rated_current": 1.5, "wiring.sections": 6, "wiring.pixels_per_section": 64,
    "switch": {"gate_resistance": 10e3, "gate_drain_capacitance": 10e-9}, "bus.bulk": 470e-6,
    "controller.brownout_falling": 2.6, "controller.dropout_voltage": 1.0, "run.duration": 5,
}  # fmt: skip


def test_rounds_of_resets_end_early():
    build = new_build(AROUND)
    assert early(build) is Verdict.KEEPS_RESETTING
    assert screen(build).verdict is Verdict.KEEPS_RESETTING
    assert screen(build).brown_outs > 20
    began = process_time()
    early(build)
    took = process_time() - began
    began = process_time()
    screen(build)
    assert took < 0.4 * (process_time() - began)


def test_resets_that_end_are_waited_for():
    """A reservoir that fills a little more in each round starts it in the end: rounds must not be taken as alike."""
    slow = {
        "controller.feed_diode": True, "controller.reservoir": 5e-3, "controller.feed_resistance": 5.0, "switch": None,
    }  # fmt: skip
    for current in np.linspace(0.6, 3.0, 25):
        build = new_build(AROUND).with_values(slow | {"adapter.rated_current": float(current)})
        assert early(build) is screen(build).verdict, current


def test_mains_that_comes_back_is_waited_for():
    build = new_build(
        {
            "title": "late", "adapter.rated_current": 0.5, "adapter.limit_style": "latch-off", "wiring.sections": 2,
            "wiring.pixels_per_section": 64, "pixel.power_on": [0.3, 0.3, 0.3], "adapter.trip_delay": 5e-3,
            "run.interruptions": [[0.3, 0.6]], "run.duration": 1.2,
        }
    )  # fmt: skip
    for current in (0.2, 0.5, 1.0, 2.0):
        changed = build.with_values({"adapter.rated_current": current})
        assert early(changed) is screen(changed).verdict
