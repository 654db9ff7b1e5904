"""Every numeric key says how far its true value may be off, or why it cannot be."""

import pytest

from inrushlib.build import build_keys, new_build
from inrushlib.parts import TABLES, Origin
from inrushlib.parts.part import ValueKind
from inrushlib.parts.ranges import From, Range, scatters, typical, typical_share

NUMERIC = (ValueKind.NUMBER, ValueKind.COUNT, ValueKind.GAUGE, ValueKind.LIST, ValueKind.COUNT_LIST, ValueKind.PAIRS)
KEYS = [key for key, info in build_keys().items() if info.table and info.kind in NUMERIC]
BUILD = new_build(
    {
        "title": "all parts", "adapter.rated_current": 2.0, "wiring.sections": 3, "wiring.pixels_per_section": 9,
        "switch": {}, "limiter": {},
    }
)  # fmt: skip


def about(key):
    table, _, name = key.partition(".")
    return TABLES[table].typical.get(name), TABLES[table].about[name]


@pytest.mark.parametrize("key", KEYS)
def test_range_or_reason(key):
    known, _ = about(key)
    assert known is not None
    assert bool(known.exact) != (known.scatter is not None)
    assert bool(known.source) == (known.scatter is not None)


@pytest.mark.parametrize("key", KEYS)
def test_default_lies_inside_its_ranges_and_they_inside_the_bounds(key):
    known, spec = about(key)
    value = BUILD.get(key)
    entries = value if isinstance(value, tuple) else (value,)
    for found in (known.scatter, known.unknown):
        if found is None or value is None:
            continue
        for entry in entries:
            low, high = found.around(entry)
            assert low <= entry <= high
            assert spec.low <= low
            assert high <= spec.high
            assert entry == 0 or low < high


@pytest.mark.parametrize("key", KEYS)
def test_an_assumed_value_is_less_sure_than_a_given_one(key):
    known, _ = about(key)
    value = BUILD.get(key)
    entry = value[0] if isinstance(value, tuple) and value else value
    if known.scatter is None or known.unknown is None or not entry:
        return
    given, assumed = known.scatter.around(entry), known.unknown.around(entry)
    assert assumed[1] - assumed[0] > given[1] - given[0]


def test_no_range_of_a_key_that_is_not_there():
    for table, part in TABLES.items():
        assert not {*part.typical} - {*part.about}, table


def test_label_to_limit():
    known, _ = about("adapter.limit_current")
    assert known.unknown.around(BUILD.adapter.limit_current) == pytest.approx((1.05 * 2.0, 1.5 * 2.0))


def test_what_ends_are_counted_from():
    assert Range(1.0, 3.0, From.ZERO).around(5.0) == (1.0, 3.0)
    assert Range(0.5, 2.0, From.VALUE).around(5.0) == (2.5, 10.0)
    assert Range(-1.0, 2.0, From.OFFSET).around(5.0) == (4.0, 7.0)
    assert typical(1.0, 9.0, scatter=0.25).scatter.around(4.0) == (3.0, 5.0)
    assert typical_share(0.5, 2.0, scatter=(0.9, 1.0)).scatter.around(4.0) == (3.6, 4.0)
    assert scatters(0.5).unknown is None


def test_origin():
    assert BUILD.origin("adapter.rated_current") is Origin.GIVEN
    assert BUILD.origin("bus.bulk") is Origin.ASSUMED
    assert BUILD.with_values({"bus.bulk": 1e-3}).origin("bus.bulk") is Origin.GIVEN
    assert len({origin.sentence for origin in Origin}) == 4
