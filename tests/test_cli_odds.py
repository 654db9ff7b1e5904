"""``size``, ``window`` and ``reservoir``: the nominal answer and the one by odds; the latter is recommended."""

import json
import re
from datetime import date

import pytest

from inrushlib.build import new_build, save_build
from inrushlib.cli import main
from inrushlib.measurements import How, Measurement, add_to_log, log_beside
from inrushlib.odds import decide, is_assumed, key_ranges, ratings_to_try

ASSUMED = {
    "title": "two tiles", "wiring.sections": 2, "wiring.pixels_per_section": 64, "adapter.rated_current": 1,
    "run.duration": 0.3, "firmware.content": [0.0, 0.0, 0.0],
}  # fmt: skip


def measured(values):
    """The same with every value given, so that only part scatter is left."""
    build = new_build(values)
    keys = [each.key for each in key_ranges(build) if is_assumed(build, each.key) and each.key != "lead.gauge"]
    return values | {key: _entries(build.get(key)) for key in keys}


def _entries(value):
    return list(value) if isinstance(value, tuple) else value


KNOWN = measured(ASSUMED)
SWITCH = measured(ASSUMED | {"adapter.rated_current": 3, "switch": {}})


@pytest.fixture
def path(tmp_path):
    def saved(values):
        save_build(new_build(values), tmp_path / "build.toml")
        return str(tmp_path / "build.toml")

    return saved


def test_size_recommends_the_rating_by_odds(path, capsys):
    build = path(KNOWN)
    main(["size", build, "--json", "--odds", "0.9"])
    found = json.loads(capsys.readouterr().out)
    nominal, chosen = found["standard_rating"], found["odds"]["chosen"]
    assert found["odds"]["wanted"] == 0.9
    assert found["take"] == max(chosen["value"], nominal) > nominal
    assert chosen["boots"]["value"] >= 0.9
    assert chosen["value"] == decide(ratings_to_try(new_build(KNOWN)), 0.9).chosen.value
    main(["size", build, "--odds", "0.9"])
    page = capsys.readouterr().out
    assert f"TAKE {found['take']:.3g}" in page
    assert "of the runs" in page
    assert "With the values as they stand: " in page
    assert "How often it boots at the first try, over the ranges of its values" in page


def test_without_odds_all_is_as_it_was(path, capsys):
    build = path(KNOWN)
    main(["size", build, "--json", "--no-odds"])
    found = json.loads(capsys.readouterr().out)
    assert found["odds"] is None
    assert found["take"] == found["standard_rating"]
    main(["size", build, "--no-odds"])
    page = capsys.readouterr().out
    assert "of the runs" not in page
    assert "the next standard rating up." in page


def test_what_no_value_reaches_is_said(path, capsys):
    main(["size", path(ASSUMED), "--odds", "0.999"])
    page = capsys.readouterr().out
    # One answer: which rating for what, how often that boots, how often the best does, and what is missing.
    assert ", BUT NO RATING IS SURE: with the values as they stand, the next standard rating up." in page
    assert re.search(r"Over the ranges of its values (it boots in .*, and )?no rating (boots|does) in 99.90 %", page)
    assert ": the best, " in page
    assert "not another rating but knowledge of the build: inrush guide says what to measure first." in page
    assert re.search(r"What decides: the start, which asks for \S+ m?A; the running picture asks for \S+ m?A\.", page)
    assert "No value boots" not in page


def test_window_recommends_the_delay_by_odds(path, capsys):
    build = path(SWITCH)
    assert main(["window", build, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["odds"]["wanted"] is None
    assert found["take"] == found["odds"]["chosen"]["value"]
    best = max(each["boots"]["value"] for each in found["odds"]["choices"])
    assert found["odds"]["chosen"]["boots"]["value"] >= best - 0.1
    assert found["recommended"] in [each["value"] for each in found["odds"]["choices"]]
    main(["window", build, "--json", "--no-odds"])
    assert json.loads(capsys.readouterr().out)["take"] == found["recommended"]


def test_reservoir_by_odds(path, capsys):
    from .odds.holding import VALUES

    values = VALUES | {"tolerance.controller.reservoir": {"relative": 0.2}}
    build = path(values)
    main(["reservoir", build, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert {"smallest", "next_value", "least_of_next", "odds", "take"} <= set(found)
    assert found["take"] == (found["odds"]["chosen"] or {"value": found["next_value"]})["value"]


@pytest.mark.parametrize("share", ["0", "1", "1.5", "-0.2", "nan"])
@pytest.mark.parametrize("command", ["size", "reservoir"])
def test_a_share_that_cannot_be_is_refused_before_the_search(path, capsys, command, share, monkeypatch):
    import importlib

    module = importlib.import_module(f"inrushlib.cli.{command}")
    monkeypatch.setattr(module, "load_with_log", lambda *_: pytest.fail("it was read"))
    assert main([command, path(KNOWN), f"--odds={share}"]) == 2
    assert "accepted: above 0, below 1" in capsys.readouterr().err


def test_odds_and_no_odds_exclude_each_other(path, capsys):
    with pytest.raises(SystemExit):
        main(["size", path(KNOWN), "--odds", "0.9", "--no-odds"])
    assert "not allowed with" in capsys.readouterr().err


def test_a_log_beside_the_build_narrows_the_ranges(path, capsys):
    """What was assumed of two tiles is measured: a smaller adapter does, or one does where none did."""
    assumed = [each.key for each in key_ranges(new_build(ASSUMED)) if is_assumed(new_build(ASSUMED), each.key)]
    values = {key: new_build(ASSUMED).get(key) for key in assumed}
    lists = {key: _entries(value) for key, value in values.items() if isinstance(value, tuple)}
    build = path(ASSUMED | lists)
    main(["size", build, "--json", "--odds", "0.9"])
    before = json.loads(capsys.readouterr().out)["odds"]["chosen"]
    rows = [
        Measurement(key=key, value=value, low=value * 0.999, high=value * 1.001, how=How.BENCH, source="meter",
                    day=date(2026, 3, 1))
        for key, value in values.items() if isinstance(value, float) and value > 0
    ]  # fmt: skip
    add_to_log(log_beside(build), rows)
    main(["size", build, "--json", "--odds", "0.9"])
    after = json.loads(capsys.readouterr().out)["odds"]["chosen"]
    assert after["boots"]["value"] >= 0.9
    assert before is None or (before["value"], -before["boots"]["value"]) > (after["value"], -after["boots"]["value"])
