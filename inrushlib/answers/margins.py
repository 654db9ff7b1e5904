"""How close a start was to turning out otherwise, and what alone would turn it.

``closest``   the rules that came closest, in a line each
``closest_line``  one of them
``shown``     the slacks that a page and its picture show
``edges``     the nearest edges, in a line each
"""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import Key, Listing, Value, Words
from inrushlib.margins import Edge
from inrushlib.parts import build_keys
from inrushlib.parts.part import ValueKind
from inrushlib.quantities import format_gauge
from inrushlib.startup import Rule, Slack, Startup, Verdict, highest_rail_voltage, needed_bus_voltage

MOST_RULES = 3
MOST_EDGES = 5
WHOLE = 0.999  # of a threshold: the rule never came into play
AMPLE = 0.05  # [V] below the regulator's own level, from which the bus no longer decides
FINEST = 1e-5  # [V] or [s] of a slack that a run can tell

# What is said of each rule: where it kept, and where it took effect. {v}, {t}, {where}: slack, instant, place.
_KEPT = {
    Rule.RELEASE: "reset released with {v} to spare at {t}",
    Rule.BROWN_OUT: "the rail stays {v} above brown-out, lowest at {t}",
    Rule.LISTEN: "{where} heard its data with {v} to spare at {t}",
    Rule.FORGET: "{where} keeps its data with {v} to spare, lowest at {t}",
    Rule.TRIP: "the adapter's trip had {v} left at {t}",
    Rule.ALLOWANCE: "the short-term allowance had {v} left at {t}",
    Rule.FRAME_IN_TIME: "the first frame ended {v} before the rail would have run out, at {t}",
}
_FIRED = {
    Rule.RELEASE: "reset not released: the rail is {v} short at {t}",
    Rule.BROWN_OUT: "brown-out: the rail would fall {v} below its level by {t}",
    Rule.LISTEN: "{where} was {v} too low to hear its data at {t}",
    Rule.FORGET: "{where} loses its data: {v} too low at {t}",
    Rule.TRIP: "the adapter trips: it would be at its limit {v} too long, until {t}",
    Rule.ALLOWANCE: "the short-term allowance ends {v} too early, for a load until {t}",
    Rule.FRAME_IN_TIME: "the first frame would end {v} after the rail has run out, at {t}",
}
TURNS = {
    Verdict.BOOTS: "boots",
    Verdict.BOOTS_AFTER_RESETS: "boots only after resets",
    Verdict.ADAPTER_TRIPS: "the adapter trips",
    Verdict.KEEPS_RESETTING: "keeps resetting",
    Verdict.DISPLAY_STAYS_LIT: "stays lit",
    Verdict.STUCK: "sticks",
}


def shown(start: Startup) -> tuple[Slack, ...]:
    """Return the few slacks that a page and its picture show, closest first.

    Of a start that boots those that kept: what took effect on its way did no harm. Of another one what took effect
    comes first.

    Parameters
    ----------
    start : Startup
        The start.
    """
    found = [each for each in start.slack if abs(each.share) < WHOLE or not each.kept]
    if start.verdict is Verdict.BOOTS:
        found = [each for each in found if each.kept]
    return tuple(found[:MOST_RULES])


def closest(start: Startup) -> Listing:
    """Return the rules that came closest to turning out otherwise, in a line each.

    Parameters
    ----------
    start : Startup
        The start.
    """
    return Listing(tuple(closest_line(start, each) for each in shown(start)), "Closest")


def closest_line(start: Startup, slack: Slack) -> Words:
    """Return how close one rule came, in a line.

    Parameters
    ----------
    start : Startup
        The start.
    slack : Slack
        One of its slacks.
    """
    pattern = (_KEPT if slack.kept else _FIRED)[slack.rule]
    filled: dict[str, Words] = {
        "v": Value(abs(slack.value), slack.unit, FINEST), "t": Value(slack.at, "s"), "where": slack.where.name,
    }  # fmt: skip
    return (*_fill(pattern, filled), *_bus(start, slack))


def _fill(pattern: str, filled: dict[str, Words]) -> tuple[Words, ...]:
    """Put words and values into a pattern's places."""
    pieces: list[Words] = []
    for piece in pattern.replace("}", "{").split("{"):
        if piece:
            pieces.append(filled.get(piece, piece))
    return tuple(pieces)


def _bus(start: Startup, slack: Slack) -> tuple[Words, ...]:
    """What a builder can measure: the bus against what it needs, where the bus is what decides."""
    needed = needed_bus_voltage(start.build)
    level = slack.value + start.build.controller.brownout_rising
    if slack.bus_voltage is None or not needed or level > highest_rail_voltage(start.build) - AMPLE:
        return ()
    bus, need = (f"{volts:.3g} V" for volts in (slack.bus_voltage, needed))
    return (f" (bus at {bus}, {need} needed)",)


def edges(found: Sequence[Edge], now: Verdict | None) -> Listing:
    """Return the nearest edges, in a line each.

    Parameters
    ----------
    found : sequence of Edge
        Nearest first.
    now : Verdict or None
        How it ends as it is; None for a run that was stopped.
    """
    caption = "The verdict changes with any one of these" if found else ""
    if found and not (now is not None and now.starts) and not any(edge.verdict.starts for edge in found):
        caption += ", but none of them makes it boot"
    return Listing(tuple(_edge(edge) for edge in found[:MOST_EDGES]), caption)


def _edge(edge: Edge) -> Words:
    way = "above" if edge.above else "below"
    info = build_keys()[edge.key]
    value: Words = Value(edge.value, info.unit, 0.0)
    if info.kind is ValueKind.GAUGE:
        value = format_gauge(edge.value)
    all_of_it = ""
    if edge.uneven:
        all_of_it, way = ", all in proportion,", f"{way} (at its largest)"
    return (f"{TURNS[edge.verdict]} if ", Key(edge.key), f"{all_of_it} is {way} ", value, f" ({_how_far(edge)})")


def _how_far(edge: Edge) -> str:
    how = "now 0"
    if edge.relative is not None:
        share = 100 * edge.relative
        how = f"{share:+.2g} %" if abs(share) < 99 else f"{share:+.0f} %"
    if edge.in_tolerances is None:
        return how
    if edge.stated:
        return f"{how}, {edge.in_tolerances:.2g} of its tolerance"
    return f"{how}, {100 * edge.in_tolerances:.0f} % of the way to the end of its range"
