"""Every wire of a build: what is there, what is needed, fuses and connectors, and the shopping list."""

import json
import shlex
from dataclasses import replace

import pytest

from inrushlib.build import Build, load_build, new_build, save_build
from inrushlib.cli import main
from inrushlib.copper import AMPACITY_TABLES, BUNDLED, FREE_AIR, awg_area
from inrushlib.errors import UsageError
from inrushlib.parts import CONNECTORS, PlaceKind
from inrushlib.safety import FuseOutcome
from inrushlib.search import WireList, WireRun, lengths_of, wire_list
from inrushlib.search.wires import DecidedBy, fuse_before

# One tile of 64 pixels, 1.5 A all white; regulating pixels, so that the wire does not change the current much.
TILE = {
    "title": "one tile", "adapter.rated_current": "3 A", "lead.gauge": "16 AWG", "lead.length": "0.5 m",
    "controller.feed": "own", "pixel.channel_current": "7.6125 mA", "pixel.channel_resistance": "60 ohm",
    "wiring.sections": 1, "wiring.pixels_per_section": 64, "wiring.feed_length": "0.5 m", "wiring.feed_gauge": "24 AWG",
}  # fmt: skip


def listed(build: Build, **more) -> WireList:
    feeds, hops = lengths_of(build)
    assert feeds is not None
    assert hops is not None
    return wire_list(build, feeds, hops, **more)


def of_kind(found: WireList, kind: PlaceKind) -> list[WireRun]:
    return [run for run in found.runs if run.place.kind is kind]


def row(**values) -> Build:
    base = {
        "title": "row", "adapter.rated_current": "20 A", "wiring.sections": 4, "wiring.pixels_per_section": 64,
        "wiring.feed_length": "0.3 m", "wiring.hop_length": "5 cm", "wiring.hop_gauge": "30 AWG",
    }  # fmt: skip
    return new_build(base | {key.replace("__", "."): value for key, value in values.items()})


def test_a_tile_by_hand() -> None:
    found = listed(new_build(TILE))
    lead, feed = found.runs
    # 1.5 A over 1 m of copper at 40 C (x 1.0786): 24 AWG 84.2 mohm/m drops 136 mV, 22 AWG 53.0 mohm/m 86 mV: the drop
    # of 0.1 V asks for 22 AWG. 24 AWG as it is, at 20 C: 84.2 mohm x 1.5 A = 126 mV.
    assert feed.wire.gauge == 22
    assert feed.wire.drop == pytest.approx(53.0e-3 * 1.0786 * 1.5, rel=0.03)
    assert feed.drop == pytest.approx(84.2e-3 * 1.5, rel=0.03)
    assert feed.enough is False
    # Its fuse would be 2 A or 2.5 A, which the adapter's 3.6 A do not blow in time: the wire stands 3.6 A instead,
    # for which 22 AWG (5 A bundled) is the thinnest, too; 24 AWG stands 1.85 A.
    assert feed.wire.decided_by is DecidedBy.FUSE
    assert feed.wire.stands == pytest.approx(3.6)
    assert feed.fuse is not None
    assert feed.fuse.outcome is FuseOutcome.NOT_NEEDED
    assert lead.enough is True
    assert lead.area == pytest.approx(1.309e-6, rel=1e-3)  # 16 AWG
    assert found.metres == {22: pytest.approx(1.0)}
    assert found.enough is False


def test_a_larger_adapter_asks_for_a_fuse() -> None:
    found = listed(new_build(TILE), largest_adapter=12.0)
    _, feed = found.runs
    assert feed.fuse is not None
    assert feed.fuse.outcome is FuseOutcome.FITS
    assert feed.fuse.rating in (2.0, 2.5)
    assert feed.fuse.rating <= feed.wire.ampacity
    assert found.plan.largest_adapter == 12.0


@pytest.mark.parametrize("amperes", [1.0, 3.0, 10.0, 40.0])
def test_no_wire_is_thinner_than_what_protects_it(amperes: float) -> None:
    found = listed(row(), largest_adapter=amperes)
    limit = found.plan.largest_adapter
    assert limit is not None
    feeds = [run for run in found.runs if run.fuse is not None]
    for run in feeds:
        assert run.fuse is not None
        assert run.fuse.outcome in (FuseOutcome.FITS, FuseOutcome.NOT_NEEDED)
        assert run.wire.ampacity >= (run.fuse.rating or limit)
        assert run.wire.ampacity >= 1.25 * run.wire.carried
    before = max(run.fuse.rating or limit for run in feeds if run.fuse and run.place.kind is PlaceKind.FEED)
    for run in of_kind(found, PlaceKind.HOP):
        assert run.wire.ampacity >= before


def test_what_is_there_and_thick_enough_is_not_bought() -> None:
    thick = {"wiring.feed_gauge": "10 AWG", "wiring.hop_gauge": "10 AWG", "lead.gauge": "10 AWG"}
    found = listed(row().with_values(thick))
    assert found.metres == {}
    assert found.changes == {}
    assert all(run.enough for run in found.runs)
    thin = listed(row())
    # A feed that is not described, three jumpers of two wires of 5 cm, the lead of two of 1.2 m.
    assert sum(thin.metres.values()) == pytest.approx(2 * 0.3 + 3 * 2 * 0.05 + 2 * 1.2)
    assert {run.enough for run in of_kind(thin, PlaceKind.FEED)} == {None}
    assert {run.ampacity for run in of_kind(thin, PlaceKind.HOP)} == {0.45}


def test_a_connector_that_is_too_weak_is_no() -> None:
    weak = listed(row(adapter__rated_current="4 A", wiring__feed_connector="2.0 mm pitch wire-to-board"))
    (feed,) = of_kind(weak, PlaceKind.FEED)
    assert feed.connector_enough is False
    # It has to stand the 4.8 A that the adapter gives.
    assert feed.wanted_connector == "5.08 mm screw terminal"
    assert not weak.enough


def test_bundled_wires_are_rated_below_those_in_free_air() -> None:
    bundled, free = AMPACITY_TABLES[BUNDLED].amperes, AMPACITY_TABLES[FREE_AIR].amperes
    # ARRL Handbook, as cited in a published wire table: 22 AWG 5 A bundled, 7 A single; 14 AWG 17 A and 32 A.
    assert (bundled[22], free[22], bundled[14], free[14]) == (5, 7, 17, 32)
    for gauge, amperes in bundled.items():
        assert amperes <= 5 / 7 * free[gauge] + 1e-9
        assert amperes >= 17 / 32 * free[gauge] * 0.97


def test_a_fuse_that_would_not_blow_protects_nothing() -> None:
    assert fuse_before(3.0, ()) == 0.0
    assert fuse_before(3.0, (4.0,), most=8.0) == 4.0
    assert fuse_before(3.0, (4.0,), most=7.9) == 7.9
    assert fuse_before(30.0, (4.0,), most=100.0) == 100.0


def test_the_command(tmp_path, capsys) -> None:
    path = tmp_path / "row.toml"
    save_build(row(), path)
    assert main(["wires", str(path), "--adapter", "30 A", "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    expected = listed(load_build(path), largest_adapter=36.0)
    assert found["largest_adapter"] == pytest.approx(36.0)
    assert [run["gauge"] for run in found["runs"]] == [run.wire.gauge for run in expected.runs]
    assert {each["gauge"]: each["metres"] for each in found["metres"]} == pytest.approx(expected.metres)
    assert main(["wires", str(path), "--free-air"]) == 1
    page = capsys.readouterr().out
    assert "To buy" in page
    assert "Local codes decide" in page
    assert '"chassis wiring"' in page


@pytest.mark.parametrize(
    ("values", "words", "says"),
    [
        ({"wiring.feed_length": None}, [], "wiring.feed_length: the build does not say it"),
        (
            {"wiring.feed_length": None, "wiring.hop_length": None},
            [],
            "wiring.feed_length, wiring.hop_length: the build does not say them; accepted: a length in [wiring], or "
            '--feed-length "30 cm" --hop-length "10 cm"',
        ),
        ({"wiring.feed_length": None, "wiring.hop_length": None}, ["--feed-length", "5 cm"], "wiring.hop_length: the"),
        ({}, ["--hop-length", "5 cm, 6 cm"], "--hop-length: 2 lengths; accepted: one for all, or 3"),
        ({}, ["--adapter", "30"], '--adapter: value "30"'),
    ],
)
def test_the_command_refuses_in_one_line(values, words, says, tmp_path, capsys) -> None:
    path = tmp_path / "row.toml"
    save_build(row().with_values(values), path)
    assert main(["wires", str(path), *words]) == 2
    assert says in capsys.readouterr().err


def test_the_command_that_the_panels_page_names_next_is_accepted(tmp_path, capsys) -> None:
    path = tmp_path / "row.toml"
    save_build(row().with_values({"wiring.feed_length": None, "wiring.hop_length": None}), path)
    main(["panel", str(path)])
    words = shlex.split(capsys.readouterr().out.rsplit("Next: which wires that takes: ", 1)[1])
    assert words[:2] == ["inrush", "wires"]
    assert main(words[1:]) in (0, 1)


def test_lengths_have_to_be_as_many_as_the_wires() -> None:
    with pytest.raises(UsageError, match="hop_lengths: 1 of them; accepted: 3"):
        wire_list(row(), [0.3], [0.05])


def test_a_lead_that_no_gauge_keeps_within_its_drop_is_told_and_the_rest_is_listed() -> None:
    build = row(lead__length="4 m")
    found = listed(build, highest_lead_drop=0.1)
    lead = found.runs[0]
    # 8 m of 10 AWG, 3.277 mohm/m x 1.0786 at 40 C, drop 28 mV an ampere.
    assert lead.wire.gauge == 10
    assert lead.wire.drop == pytest.approx(8 * 3.277e-3 * 1.0786 * lead.wire.current, rel=2e-3)
    assert not found.lead_drop_kept
    assert listed(build, highest_lead_drop=1.0).lead_drop_kept


def test_without_more_said_the_usual_drops_are_kept() -> None:
    # Some 2 A over long ways, so that the drop decides: a fuse and the adapter's limit ask for thinner wire.
    build = row(adapter__rated_current="3 A", wiring__pixels_per_section=15, lead__length="3 m",
                wiring__feed_length="1.5 m", wiring__hop_length="30 cm")  # fmt: skip
    plain = listed(build)
    said = listed(build, largest_adapter=build.adapter.limit_current, highest_lead_drop=0.25, highest_feed_drop=0.1,
                  highest_hop_drop=0.05, colour=(1.0, 1.0, 1.0), table=BUNDLED, celsius=40.0)  # fmt: skip
    assert plain.runs == said.runs
    assert plain.plan.largest_adapter == said.plan.largest_adapter == build.adapter.limit_current
    for kind, drop in ((PlaceKind.LEAD, 0.25), (PlaceKind.FEED, 0.1), (PlaceKind.HOP, 0.05)):
        assert max(run.wire.drop for run in of_kind(plain, kind)) <= drop * (1 + 1e-9)
        # Thicker where less may drop, so that it is this drop which decides.
        less = listed(build, **{f"highest_{kind.name.lower()}_drop": 0.5 * drop})
        thicker = [run.wire.gauge for run in of_kind(less, kind)]
        assert min(thicker) < min(run.wire.gauge for run in of_kind(plain, kind))


def test_what_the_wires_change_is_the_build_with_them() -> None:
    build = row(wiring__feeds=[0, 3], lead__length="2 m", wiring__feed_length=["1.5 m", "0.2 m"])
    found = listed(build)
    feeds, hops = of_kind(found, PlaceKind.FEED), of_kind(found, PlaceKind.HOP)
    assert found.changes == {
        "lead.gauge": f"{found.runs[0].wire.gauge} AWG", "lead.resistance": None,
        "wiring.feed_resistance": [run.wire.resistance for run in feeds],
        "wiring.feed_gauge": None if len({run.wire.gauge for run in feeds}) > 1 else f"{feeds[0].wire.gauge} AWG",
        "wiring.hop_resistance": [run.wire.resistance for run in hops],
        "wiring.hop_gauge": f"{hops[0].wire.gauge} AWG",
    }  # fmt: skip
    assert len({run.wire.gauge for run in hops}) == 1
    again = wire_list(build.with_values(found.changes), [1.5, 0.2], [0.05] * 3)
    assert again.runs[0].enough
    assert [run.wire.gauge for run in again.runs] == [run.wire.gauge for run in found.runs]
    assert {run.connector for run in found.runs} == {None}
    assert all(run.connector_enough is None for run in found.runs)


def test_a_wire_or_a_connector_of_just_enough_is_enough() -> None:
    run = listed(new_build(TILE)).runs[1]
    area = awg_area(run.wire.gauge)
    assert replace(run, area=area * (1 - 1e-12)).enough
    assert not replace(run, area=0.99 * area).enough
    assert replace(run, area=None).enough is None
    kind, (amperes, *_) = next((kind, row) for kind, row in CONNECTORS.items() if row[0] > 0)
    for stands, enough in ((amperes * (1 + 1e-12), True), (amperes, True), (1.01 * amperes, False)):
        assert replace(run, connector=kind, wire=replace(run.wire, stands=stands)).connector_enough is enough
