import os
import stat

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inrushlib.build import Build, load_build, new_build, parse_build, save_build, to_toml
from inrushlib.errors import BuildError
from inrushlib.parts import Adapter, Lead, Spread, Switch, Tolerance, Wiring

COMMENTED = """# The board at the north pier.
title = "harbour tide board" # its name

[adapter]   # the brick under the desk
rated_current = "4 A"   # label
limit_style = 'hiccup'

# Four panels.
[wiring]
pixels_per_section = 256 # each
sections = 4

[panel]
bulk = "470 µF" # one can
# a second can did not help

# Scatter, a guess.
[tolerance]
"lead.resistance" = { relative = 0.2 } # joints
"""


def test_nothing_changed_is_written_to_the_letter(tmp_path):
    for text in (COMMENTED, COMMENTED.replace("\n", "\r\n"), COMMENTED.rstrip()):
        path = tmp_path / "board.toml"
        save_build(parse_build(text), path)
        assert path.read_bytes() == text.encode()
        assert load_build(path) == parse_build(text)


def test_a_changed_value_changes_its_own_words_only():
    changed = parse_build(COMMENTED).with_values(
        {"adapter.rated_current": "5 A", "panel.bulk": 680e-6, "wiring.sections": 3, "lead.length": None}
    )
    expected = COMMENTED.replace('"4 A"', '"5 A"').replace('"470 µF"', '"680 uF"')
    assert to_toml(changed) == expected.replace("sections = 4", "sections = 3")


def test_the_same_value_in_other_words_leaves_the_words():
    same = parse_build(COMMENTED).with_values(
        {"adapter.rated_current": 4, "panel.bulk": 4.7e-4, "wiring.sections": 4.0, "title": "harbour tide board"}
    )
    assert to_toml(same) == COMMENTED


def test_new_keys_stand_below_the_last_key_of_their_table():
    changed = parse_build(COMMENTED).with_values({"adapter.soft_start": 0.01, "panel.ceramic": "10 uF"})
    text = to_toml(changed)
    assert "limit_style = 'hiccup'\nsoft_start = \"10 ms\"\n\n# Four panels.\n[wiring]" in text
    assert 'bulk = "470 µF" # one can\nceramic = "10 uF"\n# a second can did not help\n\n# Scatter' in text
    assert parse_build(text) == changed


def test_new_tables_and_lists():
    values = {"switch": {}, "run.interruptions": ((0.4, 0.5),), "tolerance.lead.gauge": {"sigma": "0.05 mm2"}}
    changed = parse_build(COMMENTED.replace("\n", "\r\n")).with_values(values)
    text = to_toml(changed)
    assert text.count("\n") == text.count("\r\n")
    assert "[switch]\r\n" in text
    assert "interruptions = [[0.4, 0.5]]" in text
    assert '"lead.gauge" = {sigma = "0.05 mm2"}' in text
    assert parse_build(text) == changed


def test_a_table_taken_out_leaves_the_words_above_the_next():
    text = to_toml(parse_build(COMMENTED).with_values({"panel": None}))
    assert "[panel]" not in text
    assert "second can" not in text
    assert "sections = 4\n\n# Scatter, a guess.\n[tolerance]" in text


@pytest.mark.parametrize(
    "text",
    [
        'title = "t"\nadapter = { rated_current = 3 }\nwiring.sections = 3\nwiring.pixels_per_section = 3 # each\n',
        'wiring = {sections = 3, pixels_per_section = 3}\ntitle = "t"\n[adapter]\nrated_current = 3',
        '"title" = "t"\n["adapter"]\n"rated_current" = 3 # label\n'
        "[wiring]\nsections = 0x3\npixels_per_section = [\n 3, # a\n 3,\n 3,\n]\n",
    ],
    ids=["inline and dotted", "inline first", "quoted and hexadecimal"],
)
def test_rare_layouts_keep_their_values(text):
    build = parse_build(text)
    for values in (
        {"adapter.limit_current": 4, "wiring.lanes": 2, "switch": {}},
        {"adapter.rated_current": 9, "wiring.pixels_per_section": [1, 2, 3]},
        {"wiring": {"sections": 1, "pixels_per_section": 7}, "title": 'a "b" \\ c\nd'},
    ):
        changed = build.with_values(values)
        again = parse_build(to_toml(changed))
        assert again == changed
        assert again.given == changed.given


def test_a_build_without_a_file_gets_a_clean_one(tmp_path):
    build = new_build(
        {
            "wiring.pixels_per_section": (8, 9), "wiring.sections": 2, "panel.bulk": 470e-6, "bus.bulk": 1e-4 / 3,
            "adapter.rated_current": 2, "tolerance.lead.resistance": {"relative": 0.1}, "switch": {}, "title": "new",
        }
    )  # fmt: skip
    save_build(build, tmp_path / "new.toml")
    text = (tmp_path / "new.toml").read_text()
    assert text.startswith('format = 1\ntitle = "new"\n\n[adapter]\nrated_current = "2 A"\n')
    assert '[panel]\nbulk = "470 uF"\n' in text
    assert load_build(tmp_path / "new.toml") == build


def test_a_build_put_together_from_parts_reads_back():
    build = Build(
        title="parts",
        adapter=Adapter(rated_current="2 A"),
        lead=Lead(gauge="21 AWG"),
        switch=Switch(),
        wiring=Wiring(sections=2, pixels_per_section=3, feeds=(1, 0)),
        tolerance=Tolerance(spreads=(Spread(key="lead.gauge", low=3e-7, high=4.1e-7),)),
    )
    assert parse_build(to_toml(build)) == build
    assert "lead.gauge" in build.given
    assert build.with_values({"switch": None}).switch is None


@settings(max_examples=100, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(["adapter.rated_current", "panel.bulk", "lead.length", "run.duration", "bus.bulk_esr"]),
        st.floats(1e-12, 10.0),
    ),
    st.floats(0.01, 100).map(lambda area: f"{area!r} mm2"),
)
def test_every_float_survives(values, gauge):
    build = parse_build(COMMENTED).with_values({**values, "lead.gauge": gauge})
    assert parse_build(to_toml(build)) == build
    fresh = new_build({"title": "t", "wiring.sections": 1, "wiring.pixels_per_section": 1, "adapter.rated_current": 1})
    fresh = fresh.with_values({**values, "lead.gauge": gauge})
    assert parse_build(to_toml(fresh)) == fresh


def test_a_failed_save_leaves_the_old_file_and_no_litter(tmp_path, monkeypatch):
    path = tmp_path / "board.toml"
    path.write_text(COMMENTED)
    changed = parse_build(COMMENTED).with_values({"adapter.rated_current": 9})

    def full(*_):
        raise OSError(28, "No space left on device")

    for step in ("fsync", "replace"):
        with monkeypatch.context() as patch:
            patch.setattr(os, step, full)
            with pytest.raises(BuildError, match="cannot be written: No space left on device"):
                save_build(changed, path)
        assert path.read_text() == COMMENTED
        assert os.listdir(tmp_path) == ["board.toml"]

    with monkeypatch.context() as patch:
        patch.setattr(os, "replace", lambda *_: (_ for _ in ()).throw(KeyboardInterrupt))
        with pytest.raises(KeyboardInterrupt):
            save_build(changed, path)
    assert os.listdir(tmp_path) == ["board.toml"]
    save_build(changed, path)
    assert load_build(path) == changed


@pytest.mark.parametrize("name", ["folder", "none/board.toml", "a\0b", "x" * 5000])
def test_places_that_cannot_be_written(tmp_path, name):
    (tmp_path / "folder").mkdir()
    with pytest.raises(BuildError, match="cannot be written") as refusal:
        save_build(parse_build(COMMENTED), tmp_path / name)
    assert "accepted: " in str(refusal.value)
    assert os.listdir(tmp_path) == ["folder"]


def test_links_and_permissions_stay(tmp_path):
    (tmp_path / "real.toml").write_text(COMMENTED)
    (tmp_path / "real.toml").chmod(0o640)
    (tmp_path / "link.toml").symlink_to("real.toml")
    save_build(parse_build(COMMENTED).with_values({"adapter.rated_current": 9}), tmp_path / "link.toml")
    assert (tmp_path / "link.toml").is_symlink()
    assert load_build(tmp_path / "real.toml").adapter.rated_current == 9
    assert stat.S_IMODE((tmp_path / "real.toml").stat().st_mode) == 0o640
