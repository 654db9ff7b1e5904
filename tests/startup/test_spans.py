"""What each part was doing: pixels without voltage are off, whatever they would show."""

from itertools import pairwise

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.startup import Kind, State, simulate
from inrushlib.startup.spans import wakings

TILES = {
    "title": "three tiles", "adapter.rated_current": 4, "wiring.sections": 3, "wiring.pixels_per_section": 64,
    "run.duration": 0.5,
}  # fmt: skip


def states_at(start, name, times):
    spans = start.spans[name]
    return [next(span.state for span in spans if span.start <= t <= span.end) for t in times]


def first(start, kind):
    return next(s.time for s in start.switchings if s.kind is kind)


def test_pixels_behind_a_switch_that_is_off_are_off():
    start = simulate(new_build(TILES | {"switch": {}, "firmware.first_frame_delay": 10e-3}))
    closes = first(start, Kind.GATE_LOW)
    assert states_at(start, "pixels", [1e-6, 0.5 * closes, closes]) == [State.OFF] * 3
    assert states_at(start, "pixels", [closes + 5e-3, 0.5]) == [State.POWER_ON_COLOUR, State.SHOWING_DATA]


def test_without_a_switch_they_are_off_until_the_supply_has_come_up():
    start = simulate(new_build(TILES))
    off, lit, *_ = start.spans["pixels"]
    assert (off.state, lit.state) == (State.OFF, State.POWER_ON_COLOUR)
    # At that instant the first of the sections passes the wake voltage.
    volts = start.at(np.array([off.end]))
    assert max(volts[f"section_{k}_voltage"][0] for k in range(3)) == pytest.approx(2.0, abs=0.02)


def test_an_interruption_turns_pixels_off_that_showed_data():
    start = simulate(new_build(TILES | {"run.duration": 1.2, "run.interruptions": [[0.5, 0.9]]}))
    states = [span.state for span in start.spans["pixels"]]
    assert states[:3] == [State.OFF, State.POWER_ON_COLOUR, State.SHOWING_DATA]
    assert State.OFF in states[3:]
    assert states[-1] is State.SHOWING_DATA


def test_spans_cover_the_run_without_gaps():
    start = simulate(new_build(TILES | {"switch": {}, "run.interruptions": [[0.3, 0.4]]}))
    for spans in start.spans.values():
        assert spans[0].start == 0
        assert spans[-1].end == start.build.run.duration
        assert all(a.end == b.start and a.state != b.state for a, b in pairwise(spans))


def test_wakings_lie_where_the_line_between_two_instants_crosses():
    time = np.array([0.0, 1.0, 3.0])
    found = wakings(time, np.array([[0.0, 3.0], [4.0, 3.0], [0.0, 1.0]]), 2.0)
    assert [(w.time, w.section, w.awake) for w in found] == [(0.0, 1, True), (0.5, 0, True), (2.0, 0, False),
                                                             (2.0, 1, False)]  # fmt: skip
