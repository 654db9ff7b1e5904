"""A choice by odds beside the nominal one: what is recommended, and the curve that it rests on.

``recommended``   the value to take
``recommending``  the verdict that says so
``odds_table``    the odds of every value that was tried
``percent``, ``between``
                  a share, and an interval of one
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from inrushlib.answers.blocks import Table, Value, Verdict, Words
from inrushlib.odds import WANTED, Choice, Decision, Estimate

NOMINAL = (
    "That is with the values as they stand; how often it boots over their ranges is told by inrush spread, in the "
    "workbook by the page How sure."
)
OTHERWISE = "What else makes it start, and how often: inrush remedies."


def recommended(decision: Decision | None, nominal: float, least: float = 0.0) -> float:
    """Return the value to take: that by odds, where there is one.

    Parameters
    ----------
    decision : Decision or None
        What the odds recommend; None where they were not asked.
    nominal : float
        What the build's values as they stand ask for [unit of the value].
    least : float
        What something else asks for [unit of the value].
    """
    if decision is None or decision.chosen is None:
        return nominal
    return max(decision.chosen.value, least)


def recommending(
    verdict: Verdict,
    decision: Decision | None,
    nominal: float,
    unit: str,
    take: Callable[[float], Words],
    value: float,
    noun: str,
) -> Verdict:
    """Return a verdict that recommends what the odds say, and says what the nominal answer is.

    Parameters
    ----------
    verdict : Verdict
        The nominal one.
    decision : Decision or None
        What the odds recommend; None where they were not asked.
    nominal, value : float
        The nominal value and the recommended one [unit of the value].
    unit : str
        Of the value.
    take : callable
        From a value to the headline that recommends it.
    noun : str
        What the value is.
    """
    if decision is None:
        return replace(verdict, sentences=(*verdict.sentences, NOMINAL))
    if decision.chosen is None:
        return _unsure(verdict, decision, nominal, unit, noun)
    found = decision.at(value) or decision.chosen
    often = f"{_often(found)}, over the ranges of its values."
    first, *rest = verdict.sentences
    headline: Words = verdict.headline
    sentences: tuple[Words, ...] = (first, f"It {often}")
    if value != nominal:
        headline = take(value)
        there = decision.at(nominal)
        how = "" if there is None else f", which {_often(there)}"
        sentences = (often, ("With the values as they stand: ", Value(nominal, unit), f"{how}; ", first))
    # Where the most was asked for, the most may still be little.
    if decision.wanted is None and decision.best.boots.value < WANTED:
        sentences += (f"{_missing(noun)} {OTHERWISE}",)
        return replace(verdict, headline=_not_sure(headline, noun), sentences=(*sentences, *rest), hangs=True)
    return replace(verdict, headline=headline, sentences=(*sentences, *rest))


def odds_table(decision: Decision, unit: str, head: str, value: float, *, standard: bool = True) -> Table:
    """Return the odds of every value that was tried.

    Parameters
    ----------
    decision : Decision
        What the odds recommend.
    unit : str
        Of the values.
    head : str
        What they are.
    value : float
        The recommended one [unit of the value].
    standard : bool
        Whether the values are standard ones, which have the digits that they have.
    """
    told = 0.0 if standard else None
    rows = tuple(
        (Value(each.value, unit, told), percent(each.boots.value), between(each.boots)) for each in decision.choices
    )
    chosen = next((i for i, each in enumerate(decision.choices) if each is decision.at(value)), None)
    caption = f"How often it boots at the first try, over the ranges of its values; from {decision.runs} starts"
    return Table((head, "odds", "interval at 95 %"), rows, caption, (0, 1, 2), chosen)


def _often(found: Choice) -> str:
    return f"boots in {percent(found.boots.value)} of the runs ({between(found.boots)})"


def _unsure(verdict: Verdict, decision: Decision, nominal: float, unit: str, noun: str) -> Verdict:
    """The nominal answer where nothing boots often enough: how often it does, how often the best, what is missing."""
    first, *rest = verdict.sentences
    there, best = decision.at(nominal), decision.best
    wanted = "often enough" if decision.wanted is None else f"in {percent(decision.wanted)}"
    odds: list[Words] = [f"Over the ranges of its values no {noun} boots {wanted} of the runs: the best, "]
    if there is not None and there is not best:
        odds = [f"Over the ranges of its values it {_often(there)}, and no {noun} does {wanted}: the best, "]
    odds += [Value(best.value, unit), f", {_often(best)}."]
    return replace(
        verdict,
        headline=_not_sure(verdict.headline, noun),
        sentences=(("with the values as they stand, ", first), tuple(odds), _missing(noun), *rest),
        hangs=True,
    )


def _not_sure(headline: Words, noun: str) -> Words:
    return (headline, f", but no {noun} is sure")


def _missing(noun: str) -> str:
    return f"What is missing is not another {noun} but knowledge of the build: inrush guide says what to measure first."


def percent(share: float) -> str:
    """Return a share in per cent to as many digits as tell it from none and from all.

    Parameters
    ----------
    share : float
        The share [1].

    Examples
    --------
    >>> percent(0.5), percent(0.0012), percent(0.9978), percent(1.0)
    ('50 %', '0.12 %', '99.78 %', '100 %')
    """
    whole = 100 * share
    if share in (0.0, 1.0) or 1 <= whole <= 99:
        return f"{whole:.0f} %"
    if whole < 1:
        return f"{whole:.2g} %"
    return f"{whole:.2f} %" if whole < 99.995 else "more than 99.99 %"


def between(estimate: Estimate) -> str:
    """Return an interval in per cent.

    Parameters
    ----------
    estimate : Estimate
        Of a share [1].

    Examples
    --------
    >>> between(Estimate(0.5, 0.4, 0.6))
    '40 % to 60 %'
    """
    return f"{percent(estimate.low)} to {percent(estimate.high)}"
