"""Where rules came closest, on the start-up picture."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from inrushlib.answers.margins import shown
from inrushlib.build import new_build
from inrushlib.parts.place import PlaceKind
from inrushlib.plots.live import LivePicture
from inrushlib.plots.startup import StartupPicture, View
from inrushlib.startup import Rule, simulate

TILES = new_build(
    {"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64}
)


@pytest.fixture(scope="module")
def tiles():
    return simulate(TILES)


def test_a_ring_stands_on_the_curve_at_each_instant(tiles):
    picture = StartupPicture(Figure((8, 6)))
    picture.show(tiles, View(slack=shown(tiles)))
    times, volts = picture.rings[0].get_data()
    assert list(times) == [1e3 * each.at for each in shown(tiles)]
    for each, volt in zip(shown(tiles), volts, strict=True):
        if each.where.kind is PlaceKind.CONTROLLER_RAIL:
            assert volt == pytest.approx(float(tiles.at(np.array([each.at]))["rail_voltage"][0]))
        if each.rule is Rule.LISTEN:
            assert volt == pytest.approx(2.2 + each.value, abs=2e-3)
    assert not picture.rings[1].get_visible()


def test_the_adapters_rules_are_ringed_on_its_current():
    start = simulate(TILES.with_values({"adapter.limit_style": "latch-off"}))
    picture = StartupPicture(Figure((8, 6)))
    picture.show(start, View(slack=shown(start)))
    trip = next(each for each in shown(start) if each.rule is Rule.TRIP)
    assert 1e3 * trip.at in list(picture.rings[1].get_xdata())


def test_without_slack_there_is_no_ring_and_with_it_another_picture(tiles):
    picture = StartupPicture(Figure((8, 6)))
    picture.show(tiles, View())
    assert not any(ring.get_visible() for ring in picture.rings)
    live = LivePicture()
    assert live.png(tiles, View()) != live.png(tiles, View(slack=shown(tiles)))
