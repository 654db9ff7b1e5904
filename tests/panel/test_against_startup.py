"""A start that stays lit and the steady panel agree: settled section voltages to 1 % of the section means.

Two ways to the same state: the start-up integrates lumped sections over time, the panel solves every pixel.
"""

from typing import Any

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.panel import solve_panel
from inrushlib.startup import simulate

CASES: dict[str, dict[str, Any]] = {
    "one end": {"wiring.feeds": [0]},
    "middle": {"wiring.feeds": [2], "wiring.hop_resistance": 0.08},
    "both ends, switch": {"wiring.feeds": [0, 4], "switch": {"gate_resistance": 100}, "adapter.rated_current": 7},
    "in its limit": {"wiring.feeds": [0, 2], "adapter.rated_current": 2.5, "controller.feed": "own"},
    "folding back": {
        "wiring.feeds": [1], "adapter.rated_current": 3.0, "adapter.limit_style": "foldback",
        "controller.feed": "own",
    },
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_settled_section_voltages(case: str) -> None:
    build = new_build(
        {
            "title": case,
            "adapter.rated_current": 8.0,
            "wiring.sections": 5,
            "wiring.pixels_per_section": 32,
            "wiring.rail_resistance": 0.2e-3,
            "firmware.first_frame_delay": 5.0,  # no data within the run: the power-on colour stays
            "controller.boot_time": 0.05,
            "run.duration": 0.6,
        }
        | CASES[case]
    )
    started = simulate(build)
    assert started.brown_outs == 0
    state = solve_panel(build, build.pixel.power_on)
    settled = np.array(started.figures.final_section_voltages)
    assert state.section_voltages == pytest.approx(settled, rel=0.01)
    assert state.lead_current == pytest.approx(started.figures.final_lead_current, rel=0.01)
