"""Which reservoir: the smallest capacitor behind a diode, by the model and by hand."""

from __future__ import annotations

from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Block,
    Caution,
    Facts,
    Note,
    Strong,
    Table,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.by_odds import odds_table, recommended, recommending
from inrushlib.answers.start import REMEDIES, overstress
from inrushlib.answers.stretches import stretches
from inrushlib.odds import Decision
from inrushlib.search import HandFormula, NoReservoir, ReservoirSize, StandardValue, WhyNoFormula

LEAVES_OUT = (
    "The formula leaves out the rail's own capacitor, what the diode still passes and how the reservoir charges: near "
    "where the dip is long, far off where the bus only sags."
)
ELECTROLYTIC = (
    "An electrolytic that is connected the wrong way round, or sees more than its rated voltage, can burst (common "
    "practice, no source)."
)


def reservoir_answer(title: str, size: ReservoirSize | NoReservoir, decision: Decision | None = None) -> Answer:
    """Return the value to take, what the start is like with it, and the hand formula beside it.

    Parameters
    ----------
    title : str
        The build's.
    size : ReservoirSize or NoReservoir
        What the search found.
    decision : Decision or None
        What the odds recommend; None where they were not asked.
    """
    if isinstance(size, NoReservoir):
        return Answer(title, False, (_none(size),))
    standard = size.standard
    blocks: list[Block] = [*overstress(standard.start.after)] if isinstance(standard, StandardValue) else []
    blocks += [
        _none(standard) if isinstance(standard, NoReservoir) else _by_odds(_taken(size, standard), standard, decision),
        Beside((_by_model(size), _by_hand(size.by_hand))),
        *([Note(LEAVES_OUT)] if isinstance(size.by_hand, HandFormula) else []),
        *_odds(standard, decision),
        *stretches(size.islands, "F", "capacitance"),
        Note(f"From {size.runs} starts of the model."),
        Caution(ELECTROLYTIC),
    ]
    return Answer(title, isinstance(standard, StandardValue) and standard.good, tuple(blocks))


def _none(found: NoReservoir) -> Verdict:
    return Verdict("no reservoir", (sentence(found.reason), sentence(REMEDIES)), False)


def _taken(size: ReservoirSize, standard: StandardValue) -> Verdict:
    value, start = Value(standard.value, "F"), f"Start {standard.start.words}."
    if not size.needed:
        head = "a diode alone does it" if standard.good else "a diode alone would do it"
        least: Words = (Value(size.smallest, "F"), " is the least that was tried.")
        smallest: Words = (Strong(value), " is the smallest E6 value that allows for its tolerance.")
        return Verdict(head, (least, smallest, start), standard.good)
    take = "take " if standard.good else "it would take "
    holds: Words = ("the next E6 value up that holds with 20 % less too (", Value(standard.least, "F"), ").")
    return Verdict((take, Strong(value), " behind a diode"), (holds, start), standard.good)


def _by_odds(verdict: Verdict, standard: StandardValue, decision: Decision | None) -> Verdict:
    nominal = standard.value
    return recommending(verdict, decision, nominal, "F", _take, recommended(decision, nominal), "reservoir")


def _take(value: float) -> Words:
    return ("take ", Strong(Value(value, "F")), " behind a diode")


def _odds(standard: StandardValue | NoReservoir, decision: Decision | None) -> tuple[Table, ...]:
    if decision is None or isinstance(standard, NoReservoir):
        return ()
    return (odds_table(decision, "F", "reservoir", recommended(decision, standard.value)),)


def _by_model(size: ReservoirSize) -> Facts:
    rows: list[tuple[str, Words]] = [("smallest that boots at the first try", Value(size.smallest, "F"))]
    standard = size.standard
    if isinstance(standard, StandardValue):
        rows += [
            ("next E6 value, its tolerance of 20 % counted", Value(standard.value, "F", 0)),
            ("with it: lowest rail voltage after reset", Value(standard.lowest_rail_voltage, "V")),
            ("with it: highest reservoir voltage", Value(standard.highest_reservoir_voltage, "V")),
            ("with it: largest current through the diode", Value(standard.peak_feed_current, "A")),
        ]
    return Facts(tuple(rows), "By the model")


def _by_hand(hand: HandFormula | WhyNoFormula) -> Block:
    caption = "By hand: C = I t / dV"
    if isinstance(hand, WhyNoFormula):
        return Note(f"By hand there is nothing to reckon: {hand.meaning}.")
    rows: tuple[tuple[str, Words], ...] = (
        ("I, what the controller draws in the dip", Value(hand.current, "A")),
        ("t, from its beginning to the lowest voltage", Value(hand.time, "s")),
        ("dV, what the reservoir may lose", Value(hand.voltage_drop, "V")),
        ("C", Value(hand.capacitance, "F")),
    )
    return Facts(rows, caption)
