"""The fifth notebook: capture, overlay, fit, the fitted build."""

import html
import re
import shutil
import tomllib
from pathlib import Path

import numpy as np
import pytest
from widgets.overlay import NOT_SHOWN
from widgets.scope_fit import Fitted
from widgets.scope_page import ScopePage

from inrushlib.build import load_build, to_toml
from inrushlib.measurements import log_beside, read_log
from inrushlib.parts import Origin, key_words
from inrushlib.quantities import parse_quantity
from inrushlib.trace import Fit, FittedKey
from inrushlib.trace.fit.status import Combination, Status


@pytest.fixture
def scope(work):
    return ScopePage(threaded=False)


def text_of(view):
    shown = view.output.value.split("<img")[0]
    return html.unescape(re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", shown)))


def recipe(scope):
    path = scope.captures.pick.value.replace(".csv", ".recipe.toml")
    with open(path, "rb") as file:
        return tomllib.load(file)


def test_the_example_is_lined_up_and_laid_over(scope):
    view = scope.questions["Capture over the model"]
    assert view.problem.value == ""
    assert set(view.task.result.comparison.channels) == {"bus_voltage", "lead_current"}
    # The capture's zero is when it was triggered, which its recipe tells; the board it was made from boots later.
    trigger = parse_quantity(recipe(scope)["scope"]["trigger_at"], "s")
    assert scope.overlay.shift == pytest.approx(trigger, abs=0.02)
    assert view.output.value.count("data:image/png") == 1
    assert "ms" in scope.captures.shift.value


def test_an_example_brings_its_own_capture_and_a_build_of_ones_own_none(work, builds):
    stuck = ScopePage(Path(shutil.copy(builds / "tide_board_never_starts.toml", work)), threaded=False)
    assert stuck.captures.pick.value.endswith("tide_board_never_starts.csv")
    (work / "shelf.toml").write_text(
        'title = "Shelf"\n[adapter]\nrated_current = "2 A"\n[wiring]\nsections = 1\npixels_per_section = 300\n'
    )
    shelf = ScopePage(work / "shelf.toml", threaded=False)
    assert shelf.captures.pick.value == ""
    view = shelf.questions["Capture over the model"]
    assert view.problem.value == ""
    assert "No capture is laid over the model" in text_of(view)
    assert view.output.value.count("data:image/png") == 1  # the model alone


def test_the_capture_of_a_changed_example_comes_with_what_its_channels_show(work, builds):
    # Its channels are called CH1 and CH2, which say nothing; the recipe that it was made from does.
    changed = load_build(builds / "tide_board_never_starts.toml").with_values({"adapter.rated_current": "5.3 A"})
    (work / "changed.toml").write_text(to_toml(changed))
    page = ScopePage(work / "changed.toml", threaded=False)
    assert page.overlay.mapping == {"CH1": "bus_voltage", "CH2": "lead_current"}
    assert "Model and capture differ by" in text_of(page.questions["Capture over the model"])


def test_a_capture_that_cannot_be_guessed_stands_with_its_own_curves_until_one_is_named(scope):
    rows = "".join(f"{i}e-3,{2.0 + (i > 20)},{1.0 + (i > 25)}\n" for i in range(60))
    data = f"time [s],CH1 (V),CH2 (V)\n{rows}".encode()
    scope.captures.uploaded({"new": [{"content": memoryview(data), "name": "scope.csv"}]})
    view = scope.questions["Capture over the model"]
    assert view.problem.value == ""
    assert "No channel is laid over the model yet" in text_of(view)
    table = re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", view.output.value))
    assert "CH2 V 1 V 2 V 2 V" in table  # its unit, lowest, without load, highest
    assert view.output.value.count("data:image/png") == 1
    assert "What do CH1 and CH2 show? Choose it beside the name." in scope.captures.note.value
    scope.captures.channels.children[0].children[1].value = "bus_voltage"
    assert "Model and capture differ by" in text_of(view)
    assert "What does CH2 show?" in scope.captures.note.value


@pytest.mark.parametrize("name", ["none.csv", ".", "/", "a\0b", "x" * 5000])
def test_a_name_that_is_no_capture_is_said_to_be_none(scope, name):
    scope.captures.read(name)
    assert scope.overlay.problem
    assert scope.overlay.trace is not None  # the one before stays


def test_a_capture_that_is_taken_away_leaves_the_model_alone(scope):
    scope.captures.clear.click()
    view = scope.questions["Capture over the model"]
    assert view.problem.value == ""
    assert "No capture is laid over the model" in text_of(view)
    scope.questions["Fit"].run.click()
    assert "No capture is loaded" in scope.questions["Fit"].problem.value


def test_another_shift_makes_the_difference_larger(scope):
    view = scope.questions["Capture over the model"]
    before = view.task.result.comparison.channels["bus_voltage"].rms
    scope.captures.shift.value = "200 ms"
    assert view.task.result.comparison.shift == pytest.approx(0.2)
    assert view.task.result.comparison.channels["bus_voltage"].rms > before


def test_a_channel_that_is_not_shown_is_left_out(scope):
    scope.overlay.show("lead_current", NOT_SHOWN)
    assert set(scope.questions["Capture over the model"].task.result.comparison.channels) == {"bus_voltage"}
    scope.overlay.show("bus_voltage", NOT_SHOWN)
    assert "No channel is laid over the model yet" in text_of(scope.questions["Capture over the model"])


def test_a_factor_scales_a_channel(scope):
    view = scope.questions["Capture over the model"]
    before = view.task.result.comparison.channels["lead_current"].peak_measured
    scope.factors.fields["lead_current"].value = "2"
    assert view.task.result.comparison.channels["lead_current"].peak_measured == pytest.approx(2 * before)
    scope.factors.fields["lead_current"].value = "two"
    assert "Factor of lead_current" in view.problem.value
    scope.factors.fields["lead_current"].value = "0"
    assert "a number other than zero" in view.problem.value


def test_a_shunt_in_volts_is_read_with_its_factor(scope):
    rows = "".join(f"{i * 1e-3:.3f},{0.01 * i:.4f}\n" for i in range(100))
    scope.captures.read(f"time [s],CH1 [V]\n{rows}".encode(), "shunt.csv")
    scope.overlay.show("CH1", "lead_current")
    view = scope.questions["Capture over the model"]
    assert "a factor for CH1" in view.problem.value
    scope.factors.fields["CH1"].value = "10"
    assert view.problem.value == ""
    assert view.task.result.comparison.channels["lead_current"].peak_measured == pytest.approx(9.9)


def test_the_fit_finds_the_true_values_and_the_build_is_saved(scope, work):
    scope.asked.value = "Fit"
    view = scope.questions["Fit"]
    assert view.save.disabled
    view.run.click()
    assert view.problem.value == ""
    true = recipe(scope)["changed"]
    for key, fitted in view.task.result.fit.keys.items():
        unit = {"adapter.limit_current": "A", "lead.resistance": "ohm", "controller.boot_time": "s"}[key]
        assert fitted.value == pytest.approx(parse_quantity(true[key], unit), rel=0.01)
        assert key_words(key) in text_of(view)
    view.save.click()
    text = (work / "fitted.toml").read_text()
    assert f"SHA-256 {scope.overlay.trace.checksum}" in text
    saved = load_build(work / "fitted.toml")
    assert saved.adapter.limit_current == pytest.approx(5.6, rel=0.01)
    view.save.click()
    assert "press Save once more" in view.saved.value
    view.take.click()
    assert scope.state.build.adapter.limit_current == pytest.approx(5.6, rel=0.01)
    assert scope.state.build.origin("adapter.limit_current") is Origin.MEASURED
    assert scope.state.save(work / "later.toml")
    assert "adapter.limit_current" in read_log(work / "later.measured.toml").newest()


def test_values_that_are_taken_are_kept_beside_the_build(scope, work):
    fit = scope.questions["Fit"]
    key = "adapter.limit_current"
    fitted = FittedKey(key=key, value=5.6, start=6.0, interval=(5.5, 5.7), status=Status.INTERVAL)
    assert scope.state.save(work / "mine.toml")
    laid = scope.questions["Capture over the model"].task.result
    fit.task.result = Fitted(Fit(keys={key: fitted}, build=scope.state.build, shift=0.0, name="seen.csv"), laid)
    fit.task.build = scope.state.build
    fit.taken()
    assert scope.state.build.adapter.limit_current == 5.6
    assert scope.state.save(work / "mine.toml")
    (row,) = read_log(work / "mine.measured.toml").rows
    assert (row.key, row.value, row.low, row.high, row.source) == (key, 5.6, 5.5, 5.7, "seen.csv")


def told_only_together(pair):
    """In the place of a fit, what tests/trace/test_fit.py finds of both resistances, in little time."""
    both = Combination(keys=pair, factors=(1.0, 1.0), value=0.21, error=1e-3, summed=True)

    def fit(build, measured, keys, **_):
        found = {}
        for key in keys:
            value = 1.02 * build.get(key)
            tied = {"interval": None, "status": Status.ONLY_TOGETHER, "combination": both}
            told = {"interval": (0.99 * value, 1.01 * value), "status": Status.INTERVAL}
            found[key] = FittedKey(key=key, value=value, start=build.get(key), **(tied if key in pair else told))
        changed = build.with_values({key: each.value for key, each in found.items()})
        return Fit(keys=found, build=changed, shift=0.0, correlation=np.eye(len(found)), name="seen.csv")

    return fit


def test_keys_that_the_capture_cannot_tell_are_said_in_words(work, builds, monkeypatch):
    # Bus voltage and lead current show the sum of both resistances only.
    pair = ("adapter.output_resistance", "lead.resistance")
    monkeypatch.setattr("widgets.scope_fit.fit_build", told_only_together(pair))
    # A copy: what is taken is kept beside the file.
    mine = Path(shutil.copy(builds / "tide_board_boots.toml", work))
    scope = ScopePage(mine, builds.parents[1] / "sample_traces" / "tide_board_boots.csv", threaded=False)
    scope.overlay.show("bus", "bus_voltage")
    scope.overlay.show("lead", "lead_current")
    scope.fit.keys.value = (*recipe(scope)["changed"], "lead.resistance")
    view = scope.questions["Fit"]
    view.run.click()
    assert view.problem.value == ""
    (tie,) = view.task.result.fit.tied
    assert all(key in tie for key in pair)
    assert "cannot tell" in text_of(view)
    assert "undetermined" in text_of(view)
    before = scope.state.build.lead.resistance
    view.take.click()
    assert scope.state.build.lead.resistance == before
    assert scope.state.build.controller.boot_time == view.task.result.fit.keys["controller.boot_time"].value
    assert scope.state.save(mine)
    assert "controller.boot_time" in read_log(log_beside(mine)).newest()


def test_a_fit_of_nothing_and_a_cancelled_one(scope, monkeypatch):
    view = scope.questions["Fit"]
    scope.fit.keys.value = ()
    view.run.click()
    assert "No key is chosen" in view.problem.value
    scope.fit.keys.value = ("adapter.limit_current",)
    stages = []

    def stop(change):
        stages.append(change["new"])
        view.task.cancel()

    scope.fit.observe(stop, "stage")
    view.run.click()
    assert stages[0] == "looking for start values"
    assert view.task.message.startswith("Stopped")
    assert view.task.result is None
