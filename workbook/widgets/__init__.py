"""What the notebooks show: ``will_it_boot`` and its kin, one a notebook.

``get_ready`` loads what they need before any is asked for, ``in_steps`` in two steps.
"""

from widgets.bench_page import at_the_bench
from widgets.boot_page import will_it_boot
from widgets.delay_page import switch_delay
from widgets.panel_page import feed_and_wire
from widgets.question_page import which_supply
from widgets.ready import get_ready, in_steps
from widgets.scope_page import model_against_scope
from widgets.story_page import start_here
from widgets.sure_page import how_sure

__all__ = [
    "at_the_bench",
    "feed_and_wire",
    "get_ready",
    "how_sure",
    "in_steps",
    "model_against_scope",
    "start_here",
    "switch_delay",
    "which_supply",
    "will_it_boot",
]
