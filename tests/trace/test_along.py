"""Disturbances that are fitted along: until the alarm ends, or none of them."""

from types import SimpleNamespace as Made

import pytest

from inrushlib.trace.fit import fit
from inrushlib.trace.fit.fit import MOST_DISTURBANCES, _along


def watched(monkeypatch, alarms, offered):
    """A problem whose alarm sounds so many times, with so many disturbances on offer; what was fitted, with which."""
    problem, fitted = Made(along=()), []
    sounds, offers = iter([True] * alarms + [False] * 9), iter([*(f"hum {n}" for n in range(offered)), *[None] * 9])

    def finest(problem, foot):
        fitted.append((foot, problem.along))
        return f"{foot}'"

    monkeypatch.setattr(fit, "alarmed", lambda *_: next(sounds))
    monkeypatch.setattr(fit, "disturbed", lambda *_: next(offers))
    monkeypatch.setattr(fit, "finest", finest)
    monkeypatch.setattr(fit, "of_disturbance", lambda each: f"found {each}")
    return problem, fitted


def test_without_an_alarm_nothing_is_fitted_again(monkeypatch):
    problem, fitted = watched(monkeypatch, 0, 3)
    assert _along(problem, "foot") == ("foot", [])
    assert fitted == []


def test_one_after_the_other_until_the_alarm_ends(monkeypatch):
    problem, fitted = watched(monkeypatch, 2, 3)
    assert _along(problem, "foot") == ("foot''", ["found hum 0", "found hum 1"])
    assert fitted == [("foot", ("hum 0",)), ("foot'", ("hum 0", "hum 1"))]


@pytest.mark.parametrize("offered", [1, MOST_DISTURBANCES + 1])
def test_where_the_alarm_stays_the_problem_is_as_it_was(monkeypatch, offered):
    problem, fitted = watched(monkeypatch, 9, offered)
    assert _along(problem, "foot") is None
    assert problem.along == ()
    assert len(fitted) == min(offered, MOST_DISTURBANCES) + 1
    assert fitted[-1] == ("foot", ())


def test_where_none_is_offered_there_is_nothing_to_put_back(monkeypatch):
    problem, fitted = watched(monkeypatch, 9, 0)
    assert _along(problem, "foot") is None
    assert fitted == []
