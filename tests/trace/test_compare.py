"""A capture laid over the model, with differences that are known; and the command."""

import json

import numpy as np
import pytest

from inrushlib.build import load_build, to_toml
from inrushlib.cli import main
from inrushlib.startup import simulate
from inrushlib.trace import read_trace
from inrushlib.trace.compare import compare
from inrushlib.trace.prepare import Measured, measure

from .. import make_captures

BUILD = make_captures.TRACES / "builds/tide_panel_boots.toml"
CAPTURE = make_captures.TRACES / "tide_panel_boots.csv"
CHANNELS = ["--channel", "C1=bus_voltage", "--channel", "C2=lead_current"]


@pytest.fixture(scope="module")
def start():
    return simulate(make_captures.start_build(make_captures.recipe_of(CAPTURE)))


def laid_over(start, change):
    """A capture that is the model itself, changed, 4 ms late."""
    time = np.arange(0.0, 0.55, 50e-6)
    curves = {name: change(name, start.at(time + 4e-3)[name]) for name in ("bus_voltage", "lead_current")}
    return Measured(time, curves, dict.fromkeys(curves, 1e-3), 0)


def test_the_model_over_itself_leaves_nothing(start):
    found = compare(laid_over(start, lambda _, v: v), start)
    assert found.shift == pytest.approx(4e-3, abs=5e-6)
    same = compare(laid_over(start, lambda _, v: v), start, 4e-3)
    for channel in same.channels.values():
        assert channel.rms < 1e-12
        assert channel.measured == channel.modelled


def test_known_differences_are_found_at_this_shift(start):
    def change(name, v):
        changed = 1.02 * v
        if name == "bus_voltage":
            changed[5000] += 1.5
        return changed

    found = compare(laid_over(start, change), start, 4e-3)
    bus, lead = found.channels["bus_voltage"], found.channels["lead_current"]
    assert bus.largest_difference_at == pytest.approx(0.25)
    assert bus.largest_difference > 1.5
    assert lead.peak_measured == pytest.approx(1.02 * lead.peak_modelled)
    assert lead.measured.plateau == pytest.approx(1.02 * lead.modelled.plateau, rel=2e-3)
    assert lead.measured.charge == pytest.approx(1.02 * lead.modelled.charge)
    assert lead.measured.i2t == pytest.approx(1.02**2 * lead.modelled.i2t)
    assert lead.measured.release_at == pytest.approx(lead.modelled.release_at, abs=1e-3)
    modelled = start.at(np.arange(0.0, 0.55, 50e-6) + 4e-3)["lead_current"]
    assert lead.rms == pytest.approx(0.02 * float(np.sqrt(np.mean(modelled**2))), rel=1e-9)


def test_modelled_figures_leave_out_what_the_capture_does_not_show(start):
    measured = laid_over(start, lambda _, v: v)
    gone = measured.curves["lead_current"].copy()
    gone[2000:] = np.nan
    cut = Measured(measured.time, measured.curves | {"lead_current": gone}, measured.noise, 9000)
    found = compare(cut, start, 4e-3)
    lead = found.channels["lead_current"]
    assert found.gaps == 9000
    assert lead.modelled == lead.measured
    # 0.1 s at the limit, after the ramp.
    assert lead.modelled.charge == pytest.approx(6.0 * 0.1, rel=0.03)


def test_a_made_capture_with_the_true_build_is_as_far_off_as_its_noise():
    recipe = make_captures.recipe_of(CAPTURE)
    true = make_captures.true_build(recipe)
    names = {name: settings["shows"] for name, settings in recipe["channel"].items()}
    found = compare(measure(read_trace(CAPTURE), names, true), simulate(true))
    for settings in recipe["channel"].values():
        unit = 1e-3
        step = float(settings["range"].split()[0]) / 256
        noise, offset = (float(settings[key].split()[0]) * unit for key in ("noise", "offset"))
        expected = np.sqrt(noise**2 + offset**2 + step**2 / 12)
        assert found.channels[settings["shows"]].rms == pytest.approx(expected, rel=0.1)


def run(capsys, *arguments):
    status = main(["compare", *map(str, arguments)])
    out, err = capsys.readouterr()
    return status, out, err


def test_command_as_json(capsys):
    status, out, _ = run(capsys, BUILD, CAPTURE, *CHANNELS, "--json")
    answer = json.loads(out)
    assert status == 0
    assert answer["fit"] is None
    assert set(answer["channels"]) == {"C1", "C2"}
    assert answer["channels"]["C2"]["quantity"] == "lead_current"
    assert answer["channels"]["C2"]["peak_modelled"] == pytest.approx(6.0, rel=0.01)
    assert answer["channels"]["C2"]["peak_measured"] == pytest.approx(5.6, abs=0.1)


def test_command_with_fit_saves_a_build_that_says_where_it_is_from(capsys, tmp_path):
    saved = tmp_path / "fitted.toml"
    # All that the capture differs in: with fewer the model would not lie on it.
    keys = list(make_captures.recipe_of(CAPTURE)["changed"])
    status, out, _ = run(capsys, BUILD, CAPTURE, *CHANNELS, "--fit", *keys, "--save", saved, "--json")
    assert status == 0
    fit = json.loads(out)["fit"]
    text = saved.read_text(encoding="utf-8")
    assert read_trace(CAPTURE).checksum in text.splitlines()[0]
    assert CAPTURE.name in text.splitlines()[0]
    again = run(capsys, saved, CAPTURE, *CHANNELS, "--json")
    assert json.loads(again[1])["channels"]["C2"]["rms"] < 0.05
    for key in keys:
        assert fit[key]["start"] != fit[key]["value"]
        assert fit[key]["error"] > 0


def test_command_as_a_page_and_a_picture(capsys, tmp_path):
    picture = tmp_path / "over.png"
    status, out, _ = run(capsys, BUILD, CAPTURE, *CHANNELS, "--fit", "adapter.limit_current", "--plot", picture)
    assert status == 0
    assert "DIFFER BY" in out
    assert "start" in out
    assert picture.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ([*CHANNELS, "--fit", "adapter.limit"], "fit adapter.limit: no such key"),
        ([*CHANNELS, "--fit", "adapter.limit_style"], "not a single number in this build"),
        ([*CHANNELS, "--fit", "wiring.feeds"], "not a single number in this build"),
        ([*CHANNELS, "--fit", "firmware.content_delay", "firmware.content_delay"], "a key is named twice"),
        ([*CHANNELS, "--fit", "panel.bulk"], "its start value is 0; accepted: a start above zero"),
        ([*CHANNELS, "--save", "x.toml"], "--save writes the fitted build; accepted together with --fit only"),
        ([*CHANNELS, "--bootstrap", "5"], "--bootstrap gives errors of fitted keys"),
        ([*CHANNELS, "--fit", "adapter.limit_current", "--bootstrap", "-5"], "bootstrap: -5; accepted: 0 to 100000"),
        (["--channel", "C1"], "--channel C1: accepted: NAME=VALUE"),
        ([*CHANNELS, "--scale", "C1=ten"], "--scale C1=ten: accepted: a number"),
        ([*CHANNELS, "--scale", "C1=1e300"], "V with its factor; accepted: up to 1e+06"),
        ([*CHANNELS, "--shift", "nan"], "--shift nan; accepted: a number of seconds"),
        ([*CHANNELS, "--shift", "inf"], "--shift inf; accepted: a number of seconds"),
        ([*CHANNELS, "--shift", "1e9"], "--shift 1e+09: the capture would lie outside the run; accepted: -0."),
        ([*CHANNELS, "--channel", "c1=lead_current"], "--channel c1: channel C1 is named twice"),
        (["--channel", "C1=lead_current"], "channel C1: in V, but lead_current is in A"),
        (["--scale", "C1=2"], "--scale C1: a factor changes unit and level; accepted with --channel only"),
    ],
)
def test_command_refuses_in_one_message(capsys, arguments, message):
    status, out, err = run(capsys, BUILD, CAPTURE, *arguments)
    assert status != 0
    assert out == ""
    assert message in err
    assert "Traceback" not in err


def test_channels_may_be_named_as_the_header_writes_them(capsys):
    label = read_trace(CAPTURE).channels["C2"].label
    assert label != "C2"
    named = ["--channel", f"{label}=lead_current", "--channel", "c1=bus_voltage", "--scale", f"{label}=1"]
    status, out, _ = run(capsys, BUILD, CAPTURE, *named, "--json")
    assert status == 0
    assert list(json.loads(out)["channels"]) == ["C2", "C1"]


def test_without_channels_they_are_guessed_and_the_answer_says_by_what(capsys):
    status, out, _ = run(capsys, BUILD, CAPTURE, "--json")
    guessed = json.loads(out)
    assert status == 0
    assert guessed["guessed"] == {"C1": "level", "C2": "unit", "C3": "level"}
    assert {name: channel["quantity"] for name, channel in guessed["channels"].items()} == {
        name: settings["shows"] for name, settings in make_captures.recipe_of(CAPTURE)["channel"].items()
    }
    status, out, _ = run(capsys, BUILD, CAPTURE)
    assert "Channel C2 is taken for the lead current: a guess by its unit, as the only current." in out
    assert json.loads(run(capsys, BUILD, CAPTURE, *CHANNELS, "--json")[1])["guessed"] == {}


def test_where_no_guess_is_safe_it_is_asked_for(capsys, tmp_path):
    path = tmp_path / "two.csv"
    path.write_text("t (s),CH1 (V),CH2 (V)\n" + "".join(f"{k * 1e-3},{2 + k % 3 / 10},1.5\n" for k in range(60)))
    status, out, err = run(capsys, BUILD, path)
    assert (status, out) == (2, "")
    assert "no channel is named; the capture has CH1, CH2; say what one shows with --channel NAME=QUANTITY" in err


def test_samples_that_are_all_alike_or_too_large(capsys, tmp_path):
    still, large = tmp_path / "still.csv", tmp_path / "large.csv"
    still.write_text("t (s),CH1 (V)\n" + "".join(f"{k * 1e-3},1.5\n" for k in range(300)))
    large.write_text("t (s),CH1 (V)\n" + "".join(f"{k * 1e-3},{k % 5}e30\n" for k in range(300)))
    fit = ["--channel", "CH1=bus_voltage", "--fit", "adapter.limit_current"]
    assert run(capsys, BUILD, still, *fit[:2])[0] == 0
    status, _, err = run(capsys, BUILD, still, *fit)
    assert (status, "bus_voltage: all samples are alike, which tells nothing" in err) == (2, True)
    status, _, err = run(capsys, BUILD, large, *fit)
    assert (status, "channel CH1: 4e+30 V with its factor" in err) == (2, True)


def test_the_page_says_of_a_limit_far_away_that_the_capture_does_not_tell_it(capsys, tmp_path):
    strong = load_build(BUILD).with_values({"adapter.limit_current": "60 A"})
    build = tmp_path / "strong.toml"
    build.write_text(to_toml(strong), encoding="utf-8")
    times = np.linspace(0.2, strong.run.duration, 1500)
    values = simulate(strong).at(times)["lead_current"] + np.random.default_rng(0).normal(0, 0.01, len(times))
    late = tmp_path / "late.csv"
    late.write_text("t (s),CH1 (A)\n" + "".join(f"{t:.6f},{v:.5f}\n" for t, v in zip(times, values, strict=True)))
    status, out, _ = run(capsys, build, late, "--channel", "CH1=lead_current", "--fit", "adapter.limit_current")
    assert status == 0
    assert "This capture does not tell it; it stays at its start." in out  # within a factor of four nothing decides
    assert "cannot be told apart" not in out


def test_a_plateau_is_compared_over_the_same_stretch(start):
    # Cut off soon after the release, a capture is longest at the limit; the model's own run mostly idles.
    time = np.arange(0.0, 0.55, 50e-6)
    curve = start.at(time)["lead_current"]
    seen = np.where(time < 0.3, 1.02 * curve, np.nan)
    lead = compare(Measured(time, {"lead_current": seen}, {"lead_current": 1e-3}, 0), start, 0.0).channels[
        "lead_current"
    ]
    assert lead.measured.plateau == pytest.approx(1.02 * lead.modelled.plateau, rel=2e-3)
    # Stuck at the limit, where the model is released half way.
    stuck = np.full(len(time), 6.2)
    lead = compare(
        Measured(time, {"lead_current": stuck + 1e-3 * np.sin(time * 1e4)}, {"lead_current": 1e-3}, 0), start, 0.0
    )
    there = lead.channels["lead_current"]
    assert there.measured.plateau == pytest.approx(6.2, abs=0.01)
    assert there.modelled.plateau == pytest.approx(float(np.median(curve)), rel=0.1)
