"""Folds of the parts: from what a builder can see or measure to values of the build, as ``inrush from`` does."""

import json
import re

import pytest
from widgets.boot_page import BootPage
from widgets.files import differences_html
from widgets.observed import OBSERVATIONS

from inrushlib.build import load_build, to_toml
from inrushlib.cli import main
from inrushlib.measurements import read_log
from inrushlib.odds import differs, key_ranges
from inrushlib.parts import Origin

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


MEASURED = {
    "From what one tile draws, all white": {"pixel.channel_current"},
    "From length, gauge and plugs": {"lead.resistance"},
    "Jumpers from length and gauge": {"wiring.hop_resistance"},
    "Feeds from length and gauge": {"wiring.feed_resistance"},
    "Rail from a board's copper": set(),  # told by the order for the board
    "From its voltage at two loads": {"adapter.rated_voltage", "adapter.output_resistance"},
}


@pytest.mark.parametrize("words", MEASURED)
def test_what_was_read_counts_as_measured_until_it_is_taken_back(page, work, words):
    state, here = page.state, fold(page, words)
    for field, text in zip(here.fields, CASES[words][0], strict=True):
        field.value = text
    before = state.build
    here.take.click()
    log = state.build.measured.newest()
    assert set(log) == MEASURED[words]
    ranges = {each.key: each for each in key_ranges(state.build)}
    for key, row in log.items():
        assert row.low < row.value < row.high
        assert state.build.origin(key) is Origin.MEASURED
        assert ranges[key].posterior is not None
        assert not differs(state.build, row)
    again = BootPage(threaded=False).state  # as after a reload
    assert again.build.measured.newest().keys() == MEASURED[words]
    assert again.build == state.build
    state.undo()
    assert state.build == before
    assert state.build.measured.rows == ()
    state.redo()
    assert set(state.build.measured.newest()) == MEASURED[words]


def test_a_value_that_is_moved_by_hand_is_no_longer_the_measured_one(page):
    here = fold(page, "From what one tile draws, all white")
    here.fields[0].value, here.fields[1].value = "1.5 A", "64"
    here.take.click()
    page.state.change({"pixel.channel_current": "9 mA"})
    assert page.state.build.origin("pixel.channel_current") is Origin.GIVEN
    page.state.undo()
    assert page.state.build.origin("pixel.channel_current") is Origin.MEASURED


def test_a_value_that_is_measured_as_it_stood_is_marked_all_the_same(page):
    page.state.change({"pixel.channel_current": "7.613 mA"})
    here = fold(page, "From what one tile draws, all white")
    here.fields[0].value, here.fields[1].value = "1.5 A", "64"
    here.take.click()
    assert "measured" in page.frame.controls.groups["Pixels"].keys["pixel.channel_current"].origin.value
    assert "1 measured" in re.sub("<[^>]+>", "", page.frame.reading.box.value)
    page.state.undo()
    assert "measured" not in page.frame.reading.box.value


def test_saved_it_stands_in_the_log_beside_the_build_once(page, work):
    here = fold(page, "From its voltage at two loads")
    for field, text in zip(here.fields, ["5.08 V", "0.1 A", "2.5 V", "2.4 A"], strict=True):
        field.value = text
    here.take.click()
    assert "adapter&#x27;s current limit" in differences_html_after_saving(page.state, work)
    page.state.save(work / "mine.toml")
    page.state.save(work / "mine.toml")
    (row,) = read_log(work / "mine.measured.toml").rows
    assert (row.key, row.value, row.source) == ("adapter.limit_current", 2.4, "two loads")
    assert not page.state.changed


def differences_html_after_saving(state, work):
    """What the fields of Save say of a build whose file does not have the measurement yet."""
    (work / "other.toml").write_text(to_toml(state.build))
    state.path, state.saved = work / "other.toml", load_build(work / "other.toml")
    assert state.changed
    return differences_html(state)


def test_a_supply_that_folds_back_has_at_least_the_limit_that_was_read(page):
    page.state.change({"adapter.limit_style": "foldback"})
    here = fold(page, "From its voltage at two loads")
    for field, text in zip(here.fields, ["5.08 V", "0.1 A", "2.5 V", "2.4 A"], strict=True):
        field.value = text
    here.take.click()
    (row,) = page.state.build.measured.rows
    assert (row.value, row.high) == (2.4, None)


def test_what_is_counted_for_the_chip_is_what_the_build_has(page):
    page.state.change({"pixel.quiescent_current": "1 mA"})
    here = fold(page, "From what one tile draws, all white")
    here.fields[0].value, here.fields[1].value = "1.5 A", "64"
    here.take.click()
    assert page.state.build.pixel.channel_current == pytest.approx((1.5 / 64 - 1e-3) / 3, rel=1e-3)
    assert page.state.build.pixel.quiescent_current == 1e-3


def test_a_resistance_that_would_win_is_taken_back(page):
    page.state.change({"wiring.hop_resistance": "100 mohm"})
    here = fold(page, "Jumpers from length and gauge")
    here.fields[0].value, here.fields[1].value = "5 cm", "30 AWG"
    here.take.click()
    assert page.state.build.wiring.hop_resistance[0] == pytest.approx(33.9e-3, rel=2e-3)  # ASTM B258: 338.6 ohm/km


def test_readings_that_cannot_be_say_why_at_their_place(page):
    here = fold(page, "From what one tile draws, all white")
    here.fields[0].value, here.fields[1].value = "1.5 V", "64"
    assert "All white" in here.note.value
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
