"""Every number on a sheet stands in the JSON of a command, as it is or as one of its digits' roundings."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from inrushlib.answers.blocks import (
    Beside,
    Beyond,
    Code,
    Facts,
    Lines,
    Listing,
    Note,
    Picture,
    Strong,
    Table,
    Temperature,
    Value,
    Verdict,
)  # fmt: skip
from inrushlib.build import load_build
from inrushlib.cli import main
from inrushlib.plots.scheme import Scheme
from inrushlib.quantities import format_gauge
from inrushlib.sheet import RUNS, collect, sheet_answer, to_dict
from inrushlib.sheet.content import CAUTIONS

BUILDS = Path(__file__).parents[2] / "workbook" / "builds"
PREFIXES = (1e9, 1e6, 1e3, 1.0, 1e-3)  # of n, u, m, none, k
PLAIN = re.compile(r"(?<![\w.])\d+(?:\.\d+)?")


def spoken(found):
    """All numbers of an answer in JSON, and those in its texts."""
    if isinstance(found, bool) or found is None:
        return
    if isinstance(found, int | float):
        yield float(found)
    elif isinstance(found, str):
        yield from (float(text) for text in PLAIN.findall(found))
    elif isinstance(found, dict):
        for key, item in found.items():
            yield from spoken(key)
            yield from spoken(item)
    else:
        for item in found:
            yield from spoken(item)


def pieces(words):
    """Values and plain texts in words."""
    match words:
        case str() | Value() | Temperature():
            yield words
        case Strong() | Beyond():
            yield from pieces(words.words)
        case Lines():
            yield from pieces(words.items)
        case _:
            for each in words:
                yield from pieces(each)


def shown(blocks):
    """Values and plain texts of blocks, drawings and cautions apart."""
    for block in blocks:
        match block:
            case Verdict():
                yield from pieces((block.headline, *block.sentences))
            case Facts():
                yield from pieces(tuple(value for _, value in block.rows))
            case Table():
                yield from pieces(tuple(cell for row in block.rows for cell in row))
            case Listing():
                yield from pieces(() if block.items == CAUTIONS else block.items)
            case Code():
                yield from pieces(block.lines)
            case Note():
                yield from pieces(block.words)
            case Beside():
                yield from shown(block.blocks)
            case Picture():
                axes = drawing(block)
                yield from (text.get_text() for text in axes.texts)


def drawing(block):
    from matplotlib.figure import Figure

    axes = Figure(figsize=(block.width, block.height)).add_axes((0.0, 0.0, 1.0, 1.0))
    block.draw(axes, Scheme.LIGHT)
    return axes


def answers(path, facts, capsys):
    """All numbers that the commands tell of a build, by JSON; without those that no sheet shows."""
    # What `inrush sheet --no-odds --json` prints, without computing it all once more.
    numbers = set(spoken(json.loads(json.dumps(to_dict(replace(facts, odds=None))))))
    wires = ["wires", str(path), "--adapter", f"{facts.rating} A", "--feed-length", "0.5 m", "--hop-length", "0.1 m"]
    build = load_build(path)
    if build.wiring.feed_length is not None:
        wires = wires[:4]
    commands = [
        ["check", str(path)], ["spread", str(path), "--runs", f"{RUNS}", "--quick"], ["size", str(path), "--no-odds"],
        wires,
        ["panel", str(path), "--colour", "1,1,1"],
    ]  # fmt: skip
    if build.switch is not None:
        commands += [["window", str(path), "--no-odds"], ["switch", str(path)]]
    for command in commands:
        capsys.readouterr()
        assert main([*command, "--json"]) in (0, 1), command
        numbers |= set(spoken(json.loads(capsys.readouterr().out)))
    return numbers


def told(text, numbers, build):
    """Whether a number in a text is one of theirs in any SI prefix, in per cent, or as a gauge, to its own digits."""
    number = float(text)
    places = len(text.partition(".")[2])
    scales = (*PREFIXES, 100.0)
    own = any(round(known * scale, places) == number for known in numbers for scale in scales)
    digits = any(
        known and float(f"{known * scale:.{n}g}") == number for known in numbers for scale in scales for n in (3, 4)
    )
    gauges = {float(format_gauge(build.lead.gauge).split()[0])}
    sections = build.wiring.sections
    return own or digits or number in gauges or (places == 0 and number <= max(sections, len(build.wiring.feeds)))


@pytest.mark.parametrize("name", ["tide_board_with_switch", "tram_stop", "stairway_strip"])
def test_every_number_is_one_of_a_command(name, capsys):
    path = BUILDS / f"{name}.toml"
    facts = collect(load_build(path))
    numbers = answers(path, facts, capsys)
    values = 0
    for piece in shown(sheet_answer(facts).blocks):
        if isinstance(piece, Value):
            values += 1
            assert piece.value is None or {piece.value, -piece.value} & numbers, (
                piece
            )  # a shortfall is told without sign
        elif isinstance(piece, str):
            for text in PLAIN.findall(piece):
                assert told(text, numbers, facts.build), (text, piece)
    assert values > 35


def test_the_walk_finds_a_number_that_no_command_tells():
    build = load_build(BUILDS / "tram_stop.toml")
    assert told("3.6", {3.6}, build)
    assert told("519", {0.51912}, build)
    assert not told("520", {0.51912}, build)
    assert list(spoken({"a": [1, "2.5 V", None, True]})) == [1.0, 2.5]
