"""Wires: what is said of a plan of feeds and jumpers."""

from types import SimpleNamespace

import pytest

from inrushlib.answers.blocks import Caution
from inrushlib.answers.wires import wires_answer
from inrushlib.build import new_build
from inrushlib.search import rerun
from inrushlib.search.wires import wire_plan
from inrushlib.startup import simulate
from tests.answers.test_questions import lines_of


def answer(feeds):
    """Five tiles, each feed 0.5 m, each jumper 5 cm."""
    build = new_build({"title": "sign", "adapter.rated_current": "3 A", "wiring.sections": 5,
                       "wiring.pixels_per_section": 120, "wiring.feeds": feeds})  # fmt: skip
    plan = wire_plan(build, [0.5] * len(feeds), [0.05] * 4)
    return plan, wires_answer("sign", plan, rerun(simulate(build).headline, build))


def test_jumpers_that_a_loose_feed_would_overload_are_told_of():
    # Fed at both sides of a jumper that carries next to nothing, this gets the thinnest wire.
    plan, found = answer([0, 3])
    assert sum(isinstance(block, Caution) for block in found.blocks) == 1
    assert min(wire.ampacity for wire in plan.hops) < max(wire.carried for wire in plan.feeds)
    assert "should one come loose, its current, up to 8.0" in lines_of(found)


def test_with_one_feed_there_is_nothing_to_take_over():
    _, found = answer([0])
    assert not [block for block in found.blocks if isinstance(block, Caution)]


@pytest.mark.parametrize("worsens", [False, True])
def test_wires_with_which_it_starts_worse_are_no_good_answer_and_say_so(worsens):
    plan, _ = answer([0])
    found = wires_answer("sign", plan, SimpleNamespace(words="as it is: boots", worsens=worsens))
    assert found.blocks[0].good is found.good is not worsens
    assert len(found.blocks[0].sentences) == (4 if worsens else 3)
