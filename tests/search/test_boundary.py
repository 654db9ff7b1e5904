import numpy as np
import pytest

from inrushlib.search.boundary import follow

N = 21


def circle(places):
    return (places[:, 0] - 10) ** 2 + (places[:, 1] - 9) ** 2 < 6.3**2


def on_grid(ask, nx=N, ny=N):
    columns, rows = np.meshgrid(np.arange(nx), np.arange(ny))
    return ask(np.column_stack((columns.ravel(), rows.ravel())).astype(float)).reshape(ny, nx)


def area(polygon):
    x, y = polygon.T
    return 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))


def test_circle():
    found = follow(on_grid(circle), circle, 1 / 64)
    assert len(found.lines) == 1
    line = found.lines[0]
    assert line[0].tolist() == line[-1].tolist()
    radii = np.hypot(line[:, 0] - 10, line[:, 1] - 9)
    assert radii == pytest.approx(np.full(len(line), 6.3), abs=1 / 64)


@pytest.mark.parametrize("fineness", [1, 1 / 2, 1 / 8, 0.1])
def test_as_fine_as_asked(fineness):
    found = follow(on_grid(circle), circle, fineness)
    along = [p for p in found.lines[0] if p[0] % 1 and not p[1] % 1]
    assert along
    for column, row in along:
        edge = 10 + np.sign(column - 10) * np.sqrt(6.3**2 - (row - 9) ** 2)
        assert abs(column - edge) <= fineness / 2 + 1e-12


def test_areas_fill_the_circle_up():
    yes = on_grid(circle)
    found = follow(yes, circle, 1 / 256)
    whole = (yes[:-1, :-1] & yes[1:, :-1] & yes[:-1, 1:] & yes[1:, 1:]).sum()
    areas = [area(polygon) for polygon in found.areas]
    assert min(areas) >= 0
    assert whole + sum(areas) == pytest.approx(np.pi * 6.3**2, rel=0.01)


def test_line_that_leaves_the_grid_is_open():
    def below(places):
        return places[:, 1] < 3.25 + 0.1 * places[:, 0]

    found = follow(on_grid(below), below, 1 / 64)
    assert len(found.lines) == 1
    line = found.lines[0]
    assert {line[0, 0], line[-1, 0]} == {0.0, N - 1.0}
    assert line[:, 1] == pytest.approx(3.25 + 0.1 * line[:, 0], abs=1 / 64)


@pytest.mark.parametrize("joined", [True, False])
def test_middle_decides_which_corners_belong_together(joined):
    # Yes at two opposite corners; the middle joins them or keeps them apart.
    def ask(places):
        u, v = places.T
        corner = np.minimum(np.hypot(u, v), np.hypot(u - 1, v - 1)) < 0.4
        return corner | ((np.abs(u - v) < 0.2) if joined else np.zeros(len(u), dtype=bool))

    found = follow(on_grid(ask, 2, 2), ask, 1 / 32)
    assert len(found.lines) == 2
    assert len(found.areas) == (1 if joined else 2)
    # A corner cut off has legs of 0.4; joined, the two others are cut off, at 0.2 from where the band meets the side.
    assert sum(area(polygon) for polygon in found.areas) == pytest.approx(
        1 - 0.6**2 if joined else 2 * 0.5 * 0.4**2, abs=0.03
    )
    # Two changes on each side, five rounds each, and the middle.
    assert found.asked == 4 * 5 + 1
    yes_corner_cut_off = any(min(np.hypot(*line.T)) < 0.5 and max(np.hypot(*line.T)) < 0.5 for line in found.lines)
    assert yes_corner_cut_off is not joined


def test_nothing_between_the_points_of_a_whole_axis():
    def ask(places):
        assert not (places[:, 0] % 1).any()
        return places[:, 0] > 0.5

    found = follow(on_grid(ask, 3, 3), ask, 1 / 8, fixed=(True, False))
    assert found.lines[0][:, 0] == pytest.approx([0.5] * 3)
    assert found.asked == 0


def test_no_boundary():
    found = follow(np.ones((4, 5), dtype=bool), circle, 1 / 8)
    assert (found.lines, found.areas, found.asked) == ((), (), 0)


def test_every_side_that_changes_is_on_a_line_once():
    random = np.random.default_rng(7).random((12, 15)) < 0.5

    def ask(places):
        return random[np.rint(places[:, 1]).astype(int) % 12, np.rint(places[:, 0]).astype(int) % 15]

    lines = follow(random, ask, 1 / 4).lines
    sides = (random[:, 1:] != random[:, :-1]).sum() + (random[1:] != random[:-1]).sum()
    places = np.vstack([line[:-1] if (line[0] == line[-1]).all() else line for line in lines])
    assert len(places) == sides
    assert len(np.unique(places.round(9), axis=0)) == sides


def test_saddle_the_other_way_round():
    """As above, the yes in the two other corners: mirrored, the areas are the same."""

    def ask(places):
        u, v = places.T
        return np.minimum(np.hypot(u - 1, v), np.hypot(u, v - 1)) < 0.4

    found = follow(on_grid(ask, 2, 2), ask, 1 / 32)
    assert [area(polygon) for polygon in found.areas] == pytest.approx([0.08, 0.08], abs=0.005)
    corners = {tuple(place) for polygon in found.areas for place in polygon.tolist() if set(place) <= {0.0, 1.0}}
    assert corners == {(1.0, 0.0), (0.0, 1.0)}
    assert len(found.lines) == 2
    for line in found.lines:
        assert line.min(axis=1).max() < 0.6 or line.max(axis=1).min() > 0.4


def test_the_share_done_rises_by_rounds():
    told = []
    follow(on_grid(circle), circle, 1 / 8, progress=told.append)
    assert told == pytest.approx([0.25, 0.5, 0.75])  # the last quarter is the middles of saddles


def test_a_square_grid_of_yes_with_a_hole():
    # One no in the middle of yes: the line closes around it, half a step away, with half the four squares beside it.
    yes = np.ones((3, 3), dtype=bool)
    yes[1, 1] = False
    found = follow(yes, circle, 1)
    (line,) = found.lines
    assert {tuple(place) for place in line.tolist()} == {(0.5, 1.0), (1.5, 1.0), (1.0, 0.5), (1.0, 1.5)}
    assert sum(area(polygon) for polygon in found.areas) == pytest.approx(4 - 0.5)
    assert found.asked == 0
