"""The odds in words."""

from inrushlib.answers.spread import is_sure, measure_first, spread_answer
from inrushlib.answers.terminal import render
from inrushlib.build import new_build
from inrushlib.odds import Estimate, Influence, Which, spread


def influence(key, value, low, high, most=None, pooled=False):
    total = None if most is None else Estimate(0.0, 0.0, most)
    return Influence(name=key, keys=(key,), settles=Estimate(value, low, high), total=total, pooled=pooled)


def test_what_to_measure_first():
    limit = influence("adapter.limit_current", 0.61, 0.55, 0.67)
    bulk = influence("bus.bulk", 0.0, 0.0, 0.01, most=0.015, pooled=True)
    assert measure_first([limit, bulk]) == (
        "Measure the adapter's current limit first: knowing it would settle 61 % of the doubt; the bulk capacitor at "
        "the bus hardly matters."
    )
    assert measure_first([limit]).endswith("61 % of the doubt.")
    # Alone it settles nothing, and its part together with others is not known, or is not small: nothing is said of it.
    for most in (None, 0.3):
        assert "hardly" not in measure_first([limit, influence("bus.bulk", 0.0, 0.0, 0.01, most=most)])
    assert measure_first([influence("bus.bulk", 0.05, 0.0, 0.3)]).startswith("No single value settles a share")


def test_page_of_a_sure_build():
    build = new_build(
        {
            "title": "one tile", "adapter.rated_current": 3, "wiring.sections": 1, "wiring.pixels_per_section": 16,
            "run.duration": 0.3, "tolerance.adapter.limit_current": {"relative": 0.1},
        }
    )  # fmt: skip
    found = spread(build, runs=64, which=Which.STATED)
    assert is_sure(found)
    answer = spread_answer(found)
    page = render(answer)
    assert answer.good
    assert "BOOTS IN 100 %: at the first try" in page
    assert "94 % to 100 %" in page  # 64 of 64: Wilson's interval at 95 % begins at 94.3 %
    assert "From 64 starts of the model over the ranges of 1 values." not in page
    assert "over the range of one value" in page


def test_page_with_what_was_to_spare():
    build = new_build(
        {
            "title": "three tiles", "adapter.rated_current": 1.6, "wiring.sections": 2,
            "wiring.pixels_per_section": 64, "run.duration": 0.3,
        }
    )  # fmt: skip
    page = render(spread_answer(spread(build, runs=64, full=True)))
    assert "What each rule had to spare" in page
    assert "the reset ends once the rail has held its upper level" in page
    assert "in how much of the doubt it has a part" in page
    assert "The worst that a bounded search finds" in page
    assert "What was to spare is read off 64 of them" in page
    quick = render(spread_answer(spread(build, runs=64)))
    assert "to spare" not in quick
    assert "bounded search" not in quick
