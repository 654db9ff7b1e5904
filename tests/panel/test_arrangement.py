"""Where each pixel of the chain sits: what is taken for said, and what cannot be."""

import pytest

from inrushlib.errors import UsageError
from inrushlib.panel.arrangement import Arrangement


def test_unless_said_otherwise_the_chain_runs_along_rows_and_back():
    seen = Arrangement(2, 2, ((0,),)).places((4,)).tolist()
    assert seen == [[0, 0], [0, 1], [1, 1], [1, 0]]


@pytest.mark.parametrize(
    "order", [((0, 0),), ((0, 0, 2),), ((0, 2),), ((1, 2),), ((0, 1), (2,)), ((-1, 0),), ((0, 1), (1, 2))]
)
def test_every_section_stands_once_in_equal_rows(order):
    with pytest.raises(UsageError, match="every section from 0 once, in equal rows"):
        Arrangement(2, 2, order)
    assert Arrangement(2, 2, ((3, 1), (0, 2))).shape == (4, 4)


@pytest.mark.parametrize(("rows", "columns"), [(0, 3), (3, 0), (-1, 1)])
def test_a_section_has_pixels(rows, columns):
    with pytest.raises(UsageError, match=f"{rows} x {columns} pixels in a section"):
        Arrangement(rows, columns, ((0,),))
    assert Arrangement(1, 1, ((0,),)).shape == (1, 1)


def test_a_panel_has_the_sections_and_places_of_its_arrangement():
    both = Arrangement(1, 3, ((1, 0),))
    assert both.places((3, 2)).tolist() == [[0, 3], [0, 4], [0, 5], [0, 0], [0, 1]]
    for pixels in ((3,), (1, 1, 1)):
        with pytest.raises(UsageError, match=f"orders 2 sections; accepted: {len(pixels)}"):
            both.places(pixels)
    with pytest.raises(UsageError, match="1 x 3 places in a section; accepted: 4 or more"):
        both.places((4, 1))
