"""Every command says first what a start overstresses, and its exit status is 1."""

import pytest

from inrushlib.cli import main

BUILD = """
title = "wrong adapter"
[adapter]
rated_voltage = "12 V"
rated_current = "5 A"
[wiring]
sections = 2
pixels_per_section = 64
"""
STUCK = BUILD.replace("wrong adapter", "too small").replace('rated_voltage = "12 V"\n', "").replace("5 A", "0.4 A")
MAP = ("--x", "adapter.rated_current", "4", "6", "--y", "bus.bulk", "1 uF", "10 uF", "--points", "4")


@pytest.fixture
def build(tmp_path):
    path = tmp_path / "build.toml"
    path.write_text(BUILD, encoding="utf-8")
    return path


COMMANDS = [
    ("check",), ("size",), ("brightness",), ("reservoir",), ("map", *MAP), ("window",), ("switch",), ("remedies",),
    ("panel",),
]  # fmt: skip


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
def test_pages(command, build, capsys):
    if command[0] in ("window", "switch"):
        build.write_text(BUILD + "[switch]\n", encoding="utf-8")
    name, *more = command
    assert main([name, str(build), *more]) == 1
    page = capsys.readouterr().out
    head = "\n".join(page.splitlines()[:5])
    # Which part, what it stands; beside the title.
    assert "the pixels see 12" in head.lower()
    assert "5.5 V" in head
    assert "BOOTS:" not in page


def test_json(build, answer):
    status, found = answer("check", str(build))
    assert (status, found["headline"], found["overstressed"][0]["part"]) == (1, "overstressed", "pixels")
    status, found = answer("size", str(build))
    assert (status, found["standard_rating"]) == (1, None)
    assert found["start"]["after"]["overstressed"][0]["limit"] == 5.5
    status, found = answer("brightness", str(build))
    assert (status, found["start"]["headline"]) == (1, "overstressed")
    status, found = answer("remedies", str(build))
    assert status == 1
    assert not any(remedy["helps"] for remedy in found)
    status, found = answer("map", str(build), *MAP)
    assert status == 1
    assert all(all(row) for row in found["overstressed"])


def test_table_of_several(build, tmp_path, capsys):
    good = tmp_path / "good.toml"
    good.write_text(BUILD.replace("12 V", "5.1 V").replace("wrong", "right"), encoding="utf-8")
    assert main(["check", str(good), str(build)]) == 1
    _, right, wrong, *below = capsys.readouterr().out.splitlines()
    assert "boots" in right
    assert "boots" not in wrong
    assert "overstressed" in wrong
    assert any("the pixels see 12" in line for line in below)
    assert main(["check", str(good)]) == 0


def test_brightness_of_what_does_not_start(tmp_path, capsys, answer):
    path = tmp_path / "small.toml"
    path.write_text(STUCK, encoding="utf-8")
    assert main(["brightness", str(path)]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert "DOES NOT START" in lines[2]
    assert "inrush remedies" in lines[2]
    assert answer("brightness", str(path))[1]["start"]["verdict"] == "stuck"


def test_feeds_say_both_starts(tmp_path, capsys, answer):
    path = tmp_path / "row.toml"
    path.write_text(STUCK.replace("0.4 A", "3 A").replace("sections = 2", "sections = 6"), encoding="utf-8")
    main(["panel", str(path), "--feeds"])
    page = capsys.readouterr().out
    assert "stuck (worse: not recommended)" in page[page.index("Where to feed") :]
    assert "LEAVE THE FEEDS AS THEY ARE" in page
    rows = {row["name"]: row["start"] for row in answer("panel", str(path), "--feeds")[1]["feeds"]}
    assert rows["middle"]["before"]["verdict"] == "boots"
    assert rows["middle"]["after"]["verdict"] == "stuck"
