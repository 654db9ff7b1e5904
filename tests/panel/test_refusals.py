"""What a panel cannot be solved for is refused, in words."""

from typing import Any

import numpy as np
import pytest

from inrushlib.errors import UsageError
from inrushlib.panel import solve_panel
from inrushlib.panel.network import make_rail

from .made import build


@pytest.mark.parametrize(
    ("links", "message"),
    [
        ([(0, 23, 0.1)], r"link from pixel 0 to 23: there is no such pixel; accepted: 0 to 22"),
        ([(4, 4, 0.1)], r"link from pixel 4 to 4: a link joins two different pixels"),
        ([(0, 9, 0.0)], r"link from pixel 0 to 9: 0 ohm: a loop without resistance is a short"),
        ([(0, 9, -1.0)], r"-1 ohm: a loop without resistance is a short"),
        ([(0, 9, float("nan"))], r"nan ohm"),
    ],
)
def test_bad_links(links: Any, message: str) -> None:
    with pytest.raises(UsageError, match=message):
        solve_panel(build(), extra_links=links)


@pytest.mark.parametrize(
    ("segments", "feeds", "resistances", "message"),
    [
        ([0.1, 0.1], [3], [0.1], r"feed on pixel 3: there is no such pixel; accepted: 0 to 2"),
        ([0.1, 0.1], [0, 7], [0.1, 0.1], r"feed on pixel 7"),
        ([0.1, 0.1], [-1], [0.1], r"feed on pixel -1"),
        ([0.1, 0.1], [0, 1], [0.1, float("inf")], r"feed 1: inf ohm"),
        ([-0.1, 0.1], [0], [0.1], r"rail from pixel 0 to 1: -0.1 ohm"),
        ([0.1, 0.1], [], [], r"no feed reaches the panel; accepted: at least one"),
        ([0.1, 0.1], [0], [0.0], r"feed 0: 0 ohm: a loop without resistance is a short"),
        ([0.1, 0.0], [0], [0.1], r"rail from pixel 1 to 2: 0 ohm: a loop without resistance is a short"),
    ],
)
def test_bad_rails(segments: Any, feeds: Any, resistances: Any, message: str) -> None:
    with pytest.raises(UsageError, match=message):
        make_rail(np.array(segments), feeds, resistances)


@pytest.mark.parametrize(
    ("colour", "message"),
    [
        ((1, 1), r"colour of shape \(2,\); accepted: .* each of 23 pixels"),
        (np.ones((22, 3)), r"colour of shape \(22, 3\)"),
        ((1, 1, 2), "duty of 2; accepted: 0 to 1"),
        ((0, 1, -0.5), "duty of -0.5; accepted: 0 to 1"),
        ((2, 0.5, 0.25), "duty of 2;"),
        ((0, 0, float("nan")), "duty of nan"),
    ],
)
def test_bad_colours(colour: Any, message: str) -> None:
    with pytest.raises(UsageError, match=message):
        solve_panel(build(), colour)


@pytest.mark.parametrize(
    ("links", "words"),
    [
        ([(0, 0.5, 0.1)], r"link from pixel 0 to 0.5: no whole numbers; accepted: 0 to 22"),
        ([(0.5, 2, 0.1)], "no whole numbers"),
        ([(float("nan"), 1, 0.1)], "link from pixel nan to 1: no whole numbers"),
        ([(0, float("inf"), 0.1)], "link from pixel 0 to inf: no whole numbers"),
        ([(0, 1, float("inf"))], "link from pixel 0 to 1: inf ohm"),
        ([(0, 0.5, 0)], r"no whole numbers; accepted: 0 to 22, whole\n.*link from pixel 0 to 0.5: 0 ohm"),
        ([(-1, 2, 0.1)], r"link from pixel -1 to 2: there is no such pixel; accepted: 0 to 22"),
        ([(0, 2, 0.1), (23, 0, 0.1), (1, 0, 0)], "link from pixel 23 to 0: there is no such pixel.*\n.*1 to 0: 0 ohm"),
        ([(0, 1)], "two pixels and a loop resistance"),
        ([("a", "b", 1)], "two pixels and a loop resistance"),
    ],
)
def test_malformed_links_are_refused(links: list, words: str) -> None:
    with pytest.raises(UsageError, match=words):
        solve_panel(build(), extra_links=links)


def test_a_colour_by_its_name_is_refused() -> None:
    with pytest.raises(UsageError, match="colour 'white'; accepted: three duties"):
        solve_panel(build(), "white")
