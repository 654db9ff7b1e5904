"""Every page but the first, worked by keyboard, then held to the rules of accessibility in the state that this left."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from inrushlib import serve

from . import working
from .conftest import STORY
from .rules import answers_in_the_first_screen, breaks_no_rule

pytestmark = pytest.mark.browser
PAGES = sorted({path.name for path in serve.workbook_folder().glob("[0-9]_*.ipynb")} - {serve.FIRST_NOTEBOOK})


@dataclass(frozen=True)
class Work:
    """What is done on a page, in a window of which size [px]."""

    do: Callable[..., None]
    width: int = 1280
    height: int = 2400


WORKS = {
    "0_start_here.ipynb": Work(working.check_answers, 390, 1200),
    "2_which_supply.ipynb": Work(working.find_a_supply),
    "3_switch_delay.ipynb": Work(working.find_a_delay),
    "4_feed_and_wire.ipynb": Work(working.feed_and_wire),
    "5_model_against_scope.ipynb": Work(working.fit_a_capture),
    "6_how_sure.ipynb": Work(working.ask_how_sure),
    "7_at_the_bench.ipynb": Work(working.enter_a_reading, 390, 1200),
}


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_worked_and_breaks_no_rule_of_accessibility(notebook, name):
    work = WORKS[name]
    visit = notebook(name, work.width, work.height)
    if name != STORY:
        answers_in_the_first_screen(visit)
        visit.page.set_viewport_size({"width": work.width, "height": work.height})
    work.do(visit)
    breaks_no_rule(visit)
