"""What pages say of odds and of a choice by odds, number by number."""

from dataclasses import replace
from types import SimpleNamespace as Made

import pytest

from inrushlib.answers import by_odds
from inrushlib.answers.blocks import Value, Verdict
from inrushlib.odds import Estimate

from .reading import rows_of, told


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.0, "0 %"), (1.0, "100 %"), (0.01, "1 %"), (0.99, "99 %"), (0.5049, "50 %"), (0.0099, "0.99 %"),
        (0.000123, "0.012 %"), (0.9901, "99.01 %"), (0.99994, "99.99 %"), (0.99996, "more than 99.99 %"),
    ],
)  # fmt: skip
def test_shares_have_the_digits_that_tell_them_from_none_and_all(share, text):
    assert by_odds.percent(share) == text


def choice(value, share):
    return Made(value=value, boots=Estimate(share, share - 0.05, share + 0.02))


def decision(chosen):
    choices = (choice(1.0, 0.2), choice(2.0, 0.5), choice(3.0, 0.97))
    found = Made(choices=choices, chosen=choices[2] if chosen else None, best=choices[1], wanted=0.95, runs=512)
    found.at = lambda value: next((each for each in choices if each.value == value), None)
    return found


def test_a_choice_by_odds_beside_the_nominal_one():
    nominal = Verdict(("take ", Value(2.0, "A")), ("the start decides.", "And so on."), True)

    def take(value):
        return ("take ", Value(value, "A"))

    alone = by_odds.recommending(nominal, None, 2.0, "A", take, 2.0, "rating")
    assert alone == replace(nominal, sentences=(*nominal.sentences, by_odds.NOMINAL))
    found = by_odds.recommending(nominal, decision(True), 2.0, "A", take, 3.0, "rating")
    assert told(found.headline) == ["take ", (3.0, "A")]
    assert [told(each) for each in found.sentences] == [
        ["boots in 97 % of the runs (92 % to 99 %), over the ranges of its values."],
        ["With the values as they stand: ", (2.0, "A"),
         ", which boots in 50 % of the runs (45 % to 52 %); the start decides."],
        ["And so on."],
    ]  # fmt: skip
    same = by_odds.recommending(nominal, decision(True), 3.0, "A", take, 3.0, "rating")
    assert same.headline == nominal.headline
    assert same.sentences[0] == "the start decides."
    assert same.sentences[1].startswith("It boots in 97 % of the runs")
    none = by_odds.recommending(nominal, decision(False), 2.0, "A", take, 2.0, "rating")
    assert none.hangs
    assert told(none.headline) == ["take ", (2.0, "A"), ", but no rating is sure"]
    assert told(none.sentences[0]) == ["with the values as they stand, the start decides."]
    assert told(none.sentences[1]) == [
        "Over the ranges of its values no rating boots in 95 % of the runs: the best, ", (2.0, "A"),
        ", boots in 50 % of the runs (45 % to 52 %).",
    ]  # fmt: skip
    other = by_odds.recommending(nominal, decision(False), 1.0, "A", take, 1.0, "rating")
    assert told(other.sentences[1])[0] == (
        "Over the ranges of its values it boots in 20 % of the runs (15 % to 22 %), and no rating does in 95 %: the"
        " best, "
    )
    assert [by_odds.recommended(each, 2.0, least) for each, least in (
        (None, 9.0), (decision(False), 9.0), (decision(True), 0.0), (decision(True), 4.0),
    )] == [2.0, 2.0, 3.0, 4.0]  # fmt: skip
    table = by_odds.odds_table(decision(True), "A", "rating", 3.0)
    assert rows_of(table)[0] == [(1.0, "A"), "20 %", "15 % to 22 %"]
    assert (table.chosen, table.heads[0]) == (2, "rating")
    assert table.caption.endswith("from 512 starts")
    assert by_odds.odds_table(decision(True), "A", "rating", 7.0).chosen is None


def test_the_most_that_is_little_is_told_so_and_where_to_go_on():
    nominal = Verdict(("wait ", Value(2.0, "s")), ("from the start.", "And so on."), True)
    found = decision(True)
    found.wanted, found.best = None, found.choices[2]

    def take(value):
        return ("wait ", Value(value, "s"))

    sure = by_odds.recommending(nominal, found, 2.0, "s", take, 3.0, "delay")
    assert (told(sure.headline), sure.hangs, len(sure.sentences)) == (["wait ", (3.0, "s")], False, 3)
    # The one in the middle is taken; another that cannot be told from it may be sure, so that some delay is.
    found.chosen, found.best = found.choices[1], found.choices[2]
    assert not by_odds.recommending(nominal, found, 2.0, "s", take, 2.0, "delay").hangs
    found.best = found.choices[1]
    for value, place in ((2.0, 2), (1.0, 2)):
        most = by_odds.recommending(nominal, found, 2.0, "s", take, value, "delay")
        assert told(most.headline) == ["wait ", (value, "s"), ", but no delay is sure"]
        assert most.hangs
        assert "inrush guide" in most.sentences[place]
        assert most.sentences[place].endswith(by_odds.OTHERWISE)
        assert most.sentences[-1] == "And so on."
