"""With what wire: the thinnest stocked gauges that do."""

from __future__ import annotations

from inrushlib.answers.blocks import Answer, Block, Note, Strong, Table, Value, Verdict, Words, sentence
from inrushlib.quantities import format_quantity
from inrushlib.search import Rerun
from inrushlib.search.wires import CONTINUOUS_FACTOR, Wire, WirePlan


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
    light = f"{float(state.brightness.min()):.0%}"
    said: list[Words] = [
        f"the dimmest pixel gives {light} of the best-fed one's light, on such a supply.",
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
        Note(
            f"Length is one way, drop is supply and return together, copper at 40 C. Rating by the ampacity table "
            f'"{wires[0].table}", at least {CONTINUOUS_FACTOR:g} times the most it carries: '
            "NEC 210.20(A). Local codes decide."
        ),
    )
    return Answer(title, not start.worsens, blocks)


def _wire(wire: Wire) -> tuple[Words, ...]:
    gauge = f"{wire.gauge} AWG" if wire.gauge > 0 else f"{1 - wire.gauge}/0 AWG"
    return (
        wire.name, gauge, Value(wire.carried, "A"), wire.carried_in.value, format_quantity(wire.length, "m"),
        Value(wire.drop, "V"), Value(wire.ampacity, "A"), wire.decided_by.value,
    )  # fmt: skip
