"""Folds of the parts: from what a builder can see or measure to values of the build, as ``inrush from`` does."""

import json

import pytest
from widgets.boot_page import BootPage
from widgets.observed import OBSERVATIONS

from inrushlib.cli import main

CASES = {
    "From what one tile draws, all white": (["1.5 A", "64"], ["pixels", "1.5 A", "64"]),
    "From length, gauge and plugs": (
        ["2 m", "20 AWG", "10 mohm"], ["wire", "lead", "2 m", "20 AWG", "--contacts", "10 mohm"],
    ),
    "Jumpers from length and gauge": (["5 cm", "30 AWG", ""], ["wire", "hop", "5 cm", "30 AWG"]),
    "Feeds from length and gauge": (["0.3", "20 AWG", ""], ["wire", "feed", "0.3 m", "20 AWG"]),
    "Rail from a board's copper": (["2", "3 mm", "60 mm", "8"], ["track", "2", "3 mm", "60 mm", "8"]),
    "From its voltage at two loads": (["5.08 V", "0.1 A", "4.98", "2"], ["adapter", "5.08 V @ 0.1 A", "4.98 V @ 2 A"]),
}  # fmt: skip


@pytest.fixture
def page(work):
    return BootPage(threaded=False)


def fold(page, words):
    """A fold, opened at its part."""
    part = next(part for part, all_of in OBSERVATIONS.items() if words in [one.words for one in all_of])
    page.frame.controls.open(part)
    found = next(each for each in page.frame.controls.groups[part].observed if each.about.words == words)
    found.fold.value = True
    return found


def test_each_fold_has_a_case_here():
    assert set(CASES) == {one.words for all_of in OBSERVATIONS.values() for one in all_of}


@pytest.mark.parametrize("words", CASES)
def test_a_fold_gives_what_the_command_prints(page, capsys, words):
    texts, arguments = CASES[words]
    assert main(["from", *arguments, "--json"]) == 0
    expected = json.loads(capsys.readouterr().out)["values"]
    here = fold(page, words)
    assert here.take.disabled
    for field, text in zip(here.fields, texts, strict=True):
        field.value = text
    here.take.click()
    assert page.state.problem == ""
    for key, value in expected.items():
        found = page.state.build.get(key)
        found = found[0] if isinstance(found, tuple) else found
        assert found == pytest.approx(value, rel=1e-3), key  # four digits are written


def test_a_resistance_that_would_win_is_taken_back(page):
    page.state.change({"wiring.hop_resistance": "100 mohm"})
    here = fold(page, "Jumpers from length and gauge")
    here.fields[0].value, here.fields[1].value = "5 cm", "30 AWG"
    here.take.click()
    assert page.state.build.wiring.hop_resistance[0] == pytest.approx(33.9e-3, rel=2e-3)  # ASTM B258: 338.6 ohm/km


def test_readings_that_cannot_be_say_why_at_their_place(page):
    here = fold(page, "From what one tile draws, all white")
    here.fields[0].value, here.fields[1].value = "1.5 V", "64"
    assert "all white" in here.note.value
    assert 'role="alert"' in here.note.value
    assert here.take.disabled
    here.fields[0].value, here.fields[1].value = "1 mA", "64"
    assert "accepted: more than" in here.note.value
    here.fields[0].value = "1.5 A"
    assert "7.613 mA" in here.note.value
    assert 'role="status"' in here.note.value
    here.fields[0].value = ""
    assert here.note.value == ""
    assert here.take.disabled
