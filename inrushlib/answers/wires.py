"""With what wire: the thinnest stocked gauges that do.

``wires_answer``      a plan of feeds and jumpers
``wire_list_answer``  every wire of a build, what is there and what is needed, and what to buy
"""

from __future__ import annotations

from collections.abc import Mapping

from inrushlib.answers.blocks import (
    Answer,
    Beyond,
    Block,
    Caution,
    Note,
    Strong,
    Table,
    Temperature,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.panel import dimmest
from inrushlib.answers.pulses import pulses_note
from inrushlib.copper import AMPACITY_TABLES
from inrushlib.parts import PlaceKind
from inrushlib.quantities import format_gauge, format_quantity
from inrushlib.safety import FuseOutcome
from inrushlib.search import Rerun, WireList, WireRun, metres_of
from inrushlib.search.wires import CONTINUOUS_FACTOR, Wire, WirePlan

COPPER_AT = 40.0  # [C], what the search takes where nothing else is told
STANDS_ALL = "none: it stands what the adapter gives"


def wires_answer(title: str, plan: WirePlan, start: Rerun) -> Answer:
    """Return the wires, and what the panel gets through them.

    Parameters
    ----------
    title : str
        The build's.
    plan : WirePlan
        The wires.
    start : Rerun
        The start as it is and with them.
    """
    state = plan.state
    head: Words = ("the worst pixel then gets ", Strong(Value(state.lowest_voltage, "V")))
    said: list[Words] = [
        f"{dimmest(state)}, on such a supply.",
        plan.from_what,
        sentence(f"start {start.words}"),
    ]
    if start.worsens:
        said.append("Thicker wire lets the pixels draw more at power-on: find an adapter for it first.")
    wires = (*plan.feeds, *plan.hops)
    heads = ("wire", "gauge", "carries up to", "in", "length", "drop of the loop", "rating", "decided by")
    blocks: tuple[Block, ...] = (
        Verdict(head, tuple(said), not start.worsens),
        Table(heads, tuple(_wire(each) for each in wires), "The thinnest stocked gauges that do", (1, 2, 4, 5, 6)),
        _to_buy(metres_of(wires)),
        Note((
            "Length is one way, drop is supply and return together, copper at ", Temperature(COPPER_AT),
            f'. Rating by the ampacity table "{wires[0].table}", at least {CONTINUOUS_FACTOR:g} times the most it '
            "carries: NEC 210.20(A). Local codes decide.",
        )),
        *_loose_feed(plan),
    )  # fmt: skip
    return Answer(title, not start.worsens, blocks)


def _loose_feed(plan: WirePlan) -> tuple[Caution, ...]:
    """What a feed that comes loose does to jumpers that are only as thick as they have to be."""
    if len(plan.feeds) < 2 or not plan.hops:
        return ()
    carried, weakest = max(each.carried for each in plan.feeds), min(each.ampacity for each in plan.hops)
    if carried <= weakest:
        return ()
    return (Caution((
        "This is with every feed in place: should one come loose, its current, up to ", Value(carried, "A"),
        ", goes through jumpers of which the weakest is rated ", Value(weakest, "A"),
        ". Take the thickest gauge for all jumpers, and make the feeds fast.",
    )),)  # fmt: skip


def _wire(wire: Wire) -> tuple[Words, ...]:
    return (
        wire.name, _awg(wire.gauge), Value(wire.carried, "A"), wire.carried_in.value, format_quantity(wire.length, "m"),
        Value(wire.drop, "V"), Value(wire.ampacity, "A", 0), wire.decided_by.value,
    )  # fmt: skip


def _awg(gauge: int) -> str:
    return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"


def wire_list_answer(title: str, found: WireList, start: Rerun) -> Answer:
    """Return every wire with what is there and what is needed, and the shopping list.

    Parameters
    ----------
    title : str
        The build's.
    found : WireList
        The wires.
    start : Rerun
        The start as it is and with them.
    """
    plan = found.plan
    thin = [run for run in found.runs if run.enough is False]
    unsaid = [run for run in found.runs if run.enough is None]
    weak = [run for run in found.runs if run.connector_enough is False]
    head = "every wire that is there does"
    if thin or weak:
        counts = (_counted(len(thin), "wire", "too thin"), _counted(len(weak), "connector", "too weak"))
        head = " and ".join(part for part in counts if part)
    elif unsaid:
        need = "it needs" if len(unsaid) == 1 else "they need"
        head = f"{_counted(len(unsaid), 'wire', 'not described')}: what {need} is below"
    said: list[Words] = [plan.from_what, sentence(f"start {start.words}")]
    if not found.lead_drop_kept:
        said.append("The lead drops more than wanted even in the thickest gauge: shorten it, or lay two pairs.")
    if start.worsens:
        said.append("Thicker wire lets the pixels draw more at power-on: find an adapter for it first.")
    heads = (
        "wire",
        "length",
        "now",
        "needed",
        "carries up to",
        "rating now",
        "rating",
        "drop now",
        "drop",
        "decided by",
    )
    numbers = (1, 4, 5, 6, 7, 8)
    feeds = [run.fuse for run in found.runs if run.place.kind is PlaceKind.FEED]
    fused = any(fuse is not None and fuse.rating is not None for fuse in feeds)
    table = found.runs[0].wire.table
    blocks: list[Block] = [
        Verdict(head, tuple(said), found.enough and not start.worsens),
        Table(heads, tuple(_run(run) for run in found.runs), "Wires, supply and return alike", numbers),
        Table(
            ("wire", "connector now", "needed", "fuse at its head"), tuple(_ends(run, fused) for run in found.runs),
            "Connectors and fuses",
        ),
    ]  # fmt: skip
    if found.metres:
        blocks.append(_to_buy(found.metres))
    blocks += [
        _brightest_note(table),
        *pulses_note(found.pulses),
        Caution(
            "These are cautions from a calculation, not an approval. Local codes decide, and mains and building wiring"
            " belong to a licensed person."
        ),
    ]
    return Answer(title, found.enough and not start.worsens, tuple(blocks))


def _to_buy(metres: Mapping[int, float]) -> Table:
    rows = tuple((_awg(gauge), f"{length:.2f} m") for gauge, length in metres.items())
    return Table(("gauge", "metres"), rows, "To buy, supply and return together, without waste", (1,))


def _counted(count: int, thing: str, what: str) -> str:
    return "" if not count else f"{count} {thing}{'' if count == 1 else 's'} {what}"


def _run(run: WireRun) -> tuple[Words, ...]:
    wire = run.wire
    now: Words = "not said" if run.area is None else format_gauge(run.area)
    rated: Words = "-" if run.ampacity is None else Value(run.ampacity, "A", 0)
    return (
        run.place.name, format_quantity(wire.length, "m"), Beyond(now) if run.enough is False else now,
        _awg(wire.gauge), Value(wire.carried, "A"), rated, Value(wire.ampacity, "A", 0), Value(run.drop, "V"),
        Value(wire.drop, "V"), wire.decided_by.value,
    )  # fmt: skip


def _ends(run: WireRun, fused: bool) -> tuple[Words, ...]:
    now: Words = run.connector or "not said"
    wanted = run.wanted_connector or "none of the classes does: bolt or solder it"
    return (
        run.place.name, Beyond(now) if run.connector_enough is False else now,
        "as it is" if run.connector_enough else wanted, _fuse(run, fused),
    )  # fmt: skip


def _fuse(run: WireRun, fused: bool) -> Words:
    if run.fuse is None:
        return "that of the feeds" if fused else STANDS_ALL
    match run.fuse.outcome:
        case FuseOutcome.FITS:
            return Value(run.fuse.rating, "A", 0)
        case FuseOutcome.NOT_NEEDED:
            return STANDS_ALL
    outcome: str = run.fuse.outcome.value
    return outcome


def _brightest_note(table: str) -> Note:
    return Note((
        "Length is one way, drop is supply and return together in the brightest picture, copper at ",
        Temperature(COPPER_AT),
        f'. Rating by the table "{table}" ({AMPACITY_TABLES[table].holds_for}), at least 1.25 times the most it '
        "carries (NEC 210.20(A)), and no less than the fuse before it, which runs at 75 % (a fuse maker, EDN, 1996), "
        "or than what the adapter gives where there is none or none would blow. A jumper counts as behind the largest "
        "fuse of the feeds. A connector stands as much as its wire has to.",
    ))  # fmt: skip
