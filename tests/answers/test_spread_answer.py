"""The odds in words."""

from inrushlib.answers.spread import is_sure, measure_first, spread_answer
from inrushlib.answers.terminal import render
from inrushlib.build import new_build
from inrushlib.odds import Estimate, Influence, Which, spread


def influence(key, value, low, high):
    return Influence(name=key, keys=(key,), settles=Estimate(value, low, high))


def test_what_to_measure_first():
    limit = influence("adapter.limit_current", 0.61, 0.55, 0.67)
    bulk = influence("bus.bulk", 0.0, 0.0, 0.01)
    assert measure_first([limit, bulk]) == (
        "Measure the adapter's limit current first: knowing it would settle 61 % of the doubt; the bus's bulk hardly "
        "matters."
    )
    assert measure_first([limit]).endswith("61 % of the doubt.")
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
