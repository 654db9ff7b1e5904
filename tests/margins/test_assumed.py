"""Which assumed values a verdict hangs on, and what says so."""

import json

import pytest

from inrushlib.answers.assumed import reservation
from inrushlib.build import new_build, save_build
from inrushlib.cli import main
from inrushlib.margins import assumed_values, nearest_edges
from inrushlib.parts import Origin
from inrushlib.startup import Verdict, simulate

#: Six tiles on a 3 A adapter: the bus settles at 2.89 V, and the reset is released at 2.88 V.
THIN = {"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64}


@pytest.fixture(scope="module")
def thin():
    build = new_build(THIN)
    return build, assumed_values(build)


def test_ten_millivolts_hang_on_what_flips_them(thin):
    build, found = thin
    assert simulate(build).verdict is Verdict.BOOTS
    matter = {each.key for each in found if each.matters}
    assert {
        "adapter.limit_current", "controller.dropout_voltage", "pixel.forward_voltages", "wiring.hop_resistance",
    } <= matter  # fmt: skip


def test_each_flip_is_seen_by_the_full_run(thin):
    build, found = thin
    for each in found:
        ends = (
            [simulate(build.with_values({each.key: _entry(each, end)})).verdict for end in (each.low, each.high)]
            if each.key in ("adapter.limit_current", "controller.dropout_voltage", "bus.ceramic")
            else []
        )
        for verdict in ends:
            assert verdict is Verdict.BOOTS or verdict is each.turns_to


def _entry(each, end):
    return [end] * len(each.value) if isinstance(each.value, tuple) else end


@pytest.mark.parametrize("rated", [2, 3])
def test_the_headline_and_the_edges_say_the_same(rated):
    """An assumed value counts where some edge within its range decides, and only there."""
    build = new_build(THIN | {"adapter.rated_current": rated})
    verdict = simulate(build).verdict
    edges = nearest_edges(build, verdict=verdict)
    found = {each.key: each for each in assumed_values(build, edges)}
    deciding = {edge.key for edge in edges if edge.decides_at is not None}
    assert {key for key, each in found.items() if each.matters} == deciding & set(found)
    for edge in edges:
        if edge.key in found and edge.decides_at is not None:
            assert found[edge.key].low <= edge.decides_at <= found[edge.key].high or edge.uneven
    assert found["lead.gauge"].matters == ("lead.gauge" in deciding)


def test_a_build_that_fails_hangs_on_what_would_start_it():
    """One way of failing for another does not count; the value that starts it does, though it is farther away."""
    build = new_build(THIN | {"adapter.rated_current": 2.5})
    for each in assumed_values(build):
        if each.matters:
            assert each.turns_to in (Verdict.BOOTS, Verdict.BOOTS_AFTER_RESETS)


def test_a_given_value_is_not_assumed():
    build = new_build(THIN | {"adapter.limit_current": 3.6})
    assert build.origin("adapter.limit_current") is Origin.GIVEN
    assert "adapter.limit_current" not in {each.key for each in assumed_values(build)}


def test_ordered_by_what_they_could_flip(thin):
    flips = [each.flips for each in thin[1]]
    assert flips == sorted(flips, reverse=True)
    assert flips[0] > 0
    assert flips[-1] == 0


def test_page_and_json_of_check(thin, tmp_path, capsys):
    build, found = thin
    path = tmp_path / "build.toml"
    save_build(build, path)
    assert main(["check", str(path)]) == 0
    page = capsys.readouterr().out
    count = sum(each.matters for each in found)
    assert f"BOOTS{reservation(count).upper()}: " in page
    assert "controller.dropout_voltage" in page
    assert main(["check", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["verdict"] == "boots"
    assert [entry["key"] for entry in told["assumed"]] == [each.key for each in found]
    assert set(told["assumed"][0]) == {"key", "value", "low", "high", "matters"}
    assert told["assumed"][0]["matters"] is True


def test_a_verdict_that_hangs_on_nothing_is_plain():
    build = new_build(THIN | {"adapter.rated_current": 0.5})
    assert not any(each.matters for each in assumed_values(build))
    assert reservation(0) == ""
