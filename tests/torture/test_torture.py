"""A seeded part of the torture bench: ``python -m tests.torture`` runs the whole of it."""

import pytest

from inrushlib.build import new_build
from inrushlib.startup import simulate

from .anywhere import LEAST, anywhere
from .bench import against_twins, by_itself, differences
from .relations import RELATIONS, Chance, random_values

SEEDS = range(20_001, 20_041)


@pytest.mark.parametrize("seed", SEEDS)
def test_any_build_of_the_allowed_ranges_ends(seed):
    assert by_itself(seed).wrong == ()


@pytest.mark.parametrize("seed", SEEDS[:6])
def test_no_way_of_telling_a_build_changes_what_becomes_of_it(seed):
    assert against_twins(seed).wrong == ()


def test_the_draws_reach_beyond_real_parts():
    far = {key: value for seed in SEEDS for key, value in anywhere(seed).far.items()}
    assert len(far) > 30
    numbers = [value for value in far.values() if isinstance(value, float) and value > 0]
    assert min(numbers) < 1e-6
    assert max(numbers) > 1e3
    assert all(far.get(key, least) >= least for key, least in LEAST.items())


@pytest.mark.parametrize("name", [name for name in RELATIONS if name != "in other units"])
def test_a_twin_that_is_another_display_is_seen(name):
    """The comparison sees a tenth more current in the second telling, whatever the relation."""
    source = Chance(8)
    twin = RELATIONS[name](random_values(source), source)
    other = twin.other | {"pixel.channel_current": 1.1 * twin.other["pixel.channel_current"]}
    assert differences(simulate(new_build(twin.one)), simulate(new_build(other)), twin.later)


def test_twins_are_told_otherwise():
    source = Chance(5)
    for name, relation in RELATIONS.items():
        twin = relation(random_values(Chance(5)), source)
        assert twin.one != twin.other or name == "feeds in another order"
