"""The blocks of a sheet, in the order in which they are used at the bench."""

from __future__ import annotations

from typing import Final

from inrushlib.answers import margins
from inrushlib.answers.assumed import hangs_on
from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Block,
    Caution,
    Facts,
    Listing,
    Note,
    Picture,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.guide import log_table
from inrushlib.answers.spread import odds_in_words
from inrushlib.answers.start import headline
from inrushlib.build import Build, build_keys
from inrushlib.panel.arrangement import Arrangement
from inrushlib.parts import key_words
from inrushlib.safety.finding import DEFERS, grouped
from inrushlib.search import AdapterSize
from inrushlib.severity import Severity
from inrushlib.sheet.facts import SheetFacts
from inrushlib.sheet.order import program, timing_table
from inrushlib.sheet.parts_list import parts_table
from inrushlib.sheet.readings import at_power, before_power
from inrushlib.sheet.wiring import feed_labels, feeds_fused, wire_blocks

MOST_ASSUMED: Final = 6
MOST_DANGERS: Final = 3
MOST_MEASURED: Final = 12
READABLE: Final = 5.6  # [in] of a drawing, below which its words are too small on a screen
CAUTIONS: Final = (
    "Fire: 5 V at many amperes melts wire and lights what lies beside it. Fuse every feed whose wire does not "
    "stand all that the adapter gives, keep the bench clear, have a way to cut the mains within reach.",
    "Mains: the adapter's inside, its mains side and building wiring belong to a licensed person; local codes decide.",
    "Never leave a new display on unattended, nor one that stays lit.",
    "Scope: its ground clip is mains earth. Clip it to the return only, one clip, and never to the bus or across a "
    "shunt in the plus line of an earthed supply.",
    "Electrolytics: the wrong way round they burst. Let capacitors discharge before you change anything.",
)
"""What everyone at the bench has to heed; common practice, no source."""


def sheet_answer(facts: SheetFacts) -> Answer:
    """Return the blocks of a sheet.

    Parameters
    ----------
    facts : SheetFacts
        What stands on the sheet.
    """
    blocks: tuple[Block, ...] = (
        _verdict(facts), Beside((_build(facts), _adapter(facts))), margins.closest(facts.start), *_assumed(facts),
        *_pictures(facts), *wire_blocks(facts), parts_table(facts), Beside((timing_table(facts), program(facts))),
        before_power(facts), at_power(facts), *_measured(facts), *_dangers(facts),
        Listing(CAUTIONS, "Cautions"), Caution(DEFERS),
    )  # fmt: skip
    return Answer(facts.build.title, facts.start.headline.good, blocks)


def _verdict(facts: SheetFacts) -> Verdict:
    found = headline(facts.start.headline, facts.assumed)
    if facts.odds is None:
        return found
    return Verdict(found.headline, (*found.sentences, odds_in_words(facts.odds)), found.good, found.hangs)


def _build(facts: SheetFacts) -> Facts:
    b = facts.build
    w = b.wiring
    counts = sorted(set(w.pixels_per_section))
    each = f"{counts[0]}" if len(counts) == 1 else f"{counts[0]} to {counts[-1]}"
    rows, columns = Arrangement.of_build(b).shape
    own = b.controller.feed == "own"
    table: tuple[tuple[str, Words], ...] = (
        ("display", f"{w.sections} × {each} = {sum(w.pixels_per_section)} pixels, {rows} rows of {columns}"),
        ("adapter at hand", (Value(b.adapter.rated_current, "A", 0), ", ", Value(b.adapter.limit_current, "A", 0),
                           f" limit, {b.adapter.limit_style}")),
        ("controller", ("on its own supply, " if own else "on the bus, ", "boots in ",
                        Value(b.controller.boot_time, "s", 0))),
        ("switch", _switch_words(b)),
    )  # fmt: skip
    return Facts(table, "The build")


def _switch_words(build: Build) -> str:
    if build.switch is None:
        return "none"
    return "load switch" if build.switch.kind == "load-switch" else f"P-channel, driven by a {build.switch.gate_driver}"


def _adapter(facts: SheetFacts) -> Facts:
    size, own = facts.size, facts.build.adapter
    rows: list[tuple[str, Words]] = []
    if isinstance(size, AdapterSize):
        rows.append(("smallest standard one", (Value(size.standard_rating, "A", 0), f"; start {size.start.words}")))
    else:
        rows.append(("smallest standard one", sentence(size.reason)))
    keep = facts.rating == own.rated_current
    what = "keep" if keep and facts.start.headline.good else "none to buy: change the build" if keep else "buy"
    rows.insert(0, (what, (Value(own.rated_voltage, "V", 0), ", ", Value(facts.rating, "A", 0))))
    rows.append(("running picture draws", Value(facts.running_current, "A")))
    return Facts(tuple(rows), "The adapter")


def _assumed(facts: SheetFacts) -> tuple[Block, ...]:
    matter = hangs_on(facts.assumed)
    if not matter:
        starts = facts.start.verdict is not None and facts.start.verdict.starts
        turns = "keeps it from booting" if starts else "makes it boot"
        text = f"Of {len(facts.assumed)} values that are assumed none alone {turns} within its range."
        return (Note(text),)
    items = tuple(
        (f"{key_words(each.key)}, may be ", Value(each.low, build_keys()[each.key].unit, 0), " to ",
         Value(each.high, build_keys()[each.key].unit, 0)) for each in matter[:MOST_ASSUMED]
    )  # fmt: skip
    more = f", and {len(matter) - MOST_ASSUMED} more" if len(matter) > MOST_ASSUMED else ""
    joined: list[Words] = []
    for number, item in enumerate(items):
        joined += [*(["; "] if number else []), *item]
    return (Note(("Assumed, and each alone turns the verdict: ", *joined, f"{more}. Measure these first.")),)


def _measured(facts: SheetFacts) -> tuple[Block, ...]:
    """What has been measured, the newest lines where there are many."""
    lines = facts.measured
    if not lines:
        return ()
    left = len(lines) - MOST_MEASURED
    more = (Note(f"and {left} older: inrush guide --log lists them."),) if left > 0 else ()
    return (log_table(lines[-MOST_MEASURED:]), *more)


def _dangers(facts: SheetFacts) -> tuple[Block, ...]:
    """What can burn while every pixel is white, alike ones together."""
    found = grouped([each for each in facts.findings if each.severity is Severity.DANGER])
    if not found:
        return ()
    items = [f"{each.sentence}{f' (the worst of {more + 1} like it)' if more else ''}." for each, more in found]
    left = len(items) - MOST_DANGERS
    more_of_them = [f"and {left} more: inrush panel lists them"] if left > 0 else []
    return (Listing((*items[:MOST_DANGERS], *more_of_them), "Dangers while every pixel is white, as the build is"),)


def _pictures(facts: SheetFacts) -> tuple[Picture, ...]:
    from inrushlib.plots import CIRCUIT_SIZE, draw_circuit, draw_tiles, tiles_size

    build = facts.bought
    labels, fused = feed_labels(facts), feeds_fused(facts)
    width, height = tiles_size(build)
    return (
        Picture(
            "The circuit from the adapter to the display.", lambda axes, _: draw_circuit(build, axes, fused=fused),
            *CIRCUIT_SIZE, "Wiring", least=READABLE,
        ),
        Picture(
            "The sections from the front: rings and arrows are the way of the data, filled squares the feeds.",
            lambda axes, _: draw_tiles(build, axes, labels), width, height,
            "From the front: ring and arrows: data; filled square: feed", least=min(width, READABLE),
        ),
    )  # fmt: skip
