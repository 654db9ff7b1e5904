"""The stress of the switch."""

from __future__ import annotations

from inrushlib.answers.blocks import Answer, Beside, Note, Table, Temperature, Value, Verdict, Words
from inrushlib.answers.findings import counted, findings_block
from inrushlib.answers.start import overstress
from inrushlib.safety import Heating, OffState, SwitchStress
from inrushlib.safety.finding import DEFERS
from inrushlib.severity import Severity


def switch_answer(title: str, stress: SwitchStress) -> Answer:
    """Return the findings on the switch, worst first, and the figures behind them.

    Parameters
    ----------
    title : str
        The build's.
    stress : SwitchStress
        What it goes through.
    """
    heading = stress.start.headline
    danger = any(each.severity is Severity.DANGER for each in stress.findings)
    verdict = Verdict(
        "something is past a limit" if danger else "the switch stays within its limits",
        (counted(stress.findings),),
        not danger,
    )
    return Answer(
        title,
        not danger and not heading.overstressed,
        (
            *overstress(heading),
            verdict,
            findings_block(stress.findings),
            Beside((_heat(stress.start, stress.stays_lit), _off(stress))),
            Note(DEFERS),
        ),
    )


def _heat(*starts: Heating) -> Table:
    rows: tuple[tuple[Words, ...], ...] = (
        ("ends as", *(each.headline.words for each in starts)),
        ("hottest junction", *(Temperature(each.hottest_junction) for each in starts)),
        ("at", *(Value(each.hottest_at, "s") for each in starts)),
        ("heat while closing", *(Value(each.closing_energy, "J") for each in starts)),
        ("heat over the whole run", *(Value(each.energy, "J") for each in starts)),
        ("power at the end", *(Value(each.steady_power, "W") for each in starts)),
        ("junction in the long run", *(Temperature(each.steady_junction) for each in starts)),
    )
    return Table(("", "this start", "display stays lit"), rows, "Heat", (1, 2))


def _off(stress: SwitchStress) -> Table:
    states = (
        ("plugged in, its own driver", stress.plugged),
        ("open-drain transistor as driver", stress.transistor),
        ("bare controller pin as driver", stress.pin),
    )
    heads = ("", "peak current", "panel reaches", "gate drive left", "settled current")
    rows = tuple(_state(words, state) for words, state in states if state is not None)
    return Table(heads, rows, "While it should be off", (1, 2, 3, 4))


def _state(words: str, state: OffState) -> tuple[Words, ...]:
    return (
        words, Value(state.peak_current, "A"), Value(state.highest_panel_voltage, "V"),
        Value(state.settled_drive, "V"), Value(state.settled_current, "A"),
    )  # fmt: skip
