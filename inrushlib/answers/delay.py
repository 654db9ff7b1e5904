"""The window for the first frame, and how long to wait."""

from __future__ import annotations

from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Block,
    Facts,
    Mark,
    Note,
    Ruler,
    Strong,
    Table,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.by_odds import odds_table, recommended, recommending
from inrushlib.answers.start import overstress
from inrushlib.build import Build
from inrushlib.odds import Decision
from inrushlib.quantities import format_result
from inrushlib.search.islands import Island
from inrushlib.search.rerun import Rerun
from inrushlib.search.window import DelayWindow, NoWindow, is_open

HOW = (
    "Counted from the first line of the program. The recommended delay is the middle of the stretch over which the "
    "least of what is to spare stays within 5 % of its most, but no later than three times the earliest, or 20 ms "
    "after it: a later one spares no more and the display stays lit longer."
)


def delay_answer(
    build: Build, window: DelayWindow | NoWindow, start: Rerun | None, decision: Decision | None = None
) -> Answer:
    """Return how long to wait between closing the switch and the first frame.

    Parameters
    ----------
    build : Build
        With a switch.
    window : DelayWindow or NoWindow
        What the search found.
    start : Rerun or None
        The start as it is and with the recommended delay; None without a window.
    decision : Decision or None
        What the odds recommend; None where they were not asked.
    """
    if isinstance(window, NoWindow) or start is None:
        reason = window.reason if isinstance(window, NoWindow) else ""
        return Answer(build.title, False, (Verdict("no window", (sentence(reason),), False),))
    nominal = window.recommended
    verdict = recommending(
        _verdict(build, window, start), decision, nominal, "s", _wait, recommended(decision, nominal), "delay"
    )  # fmt: skip
    blocks: list[Block] = [*overstress(start.after), verdict, _ruler(build, window)]
    blocks.append(Beside((_window(build, window), Facts(_spare(window), "To spare, at that delay"))))
    if decision is not None:
        blocks.append(odds_table(decision, "s", "delay", recommended(decision, nominal), standard=False))
    if len(window.islands) > 1:
        rows = tuple((Value(each.low, "s"), _until(each)) for each in window.islands)
        blocks.append(Table(("from", "to"), rows, "It boots only within these delays; the widest was taken", (0, 1)))
    blocks += [Note(HOW), Note(f"From {window.runs} starts of the model.")]
    return Answer(build.title, not start.after.overstressed, tuple(blocks))


def _verdict(build: Build, window: DelayWindow, start: Rerun) -> Verdict:
    own = build.firmware.first_frame_delay
    inside = any(each.low <= own and (is_open(each) or own <= each.high) for each in window.islands)
    low, high = window.flat
    why: Words = ("Between ", Value(low, "s"), " and ", Value(high, "s"), " the margin is widest.")
    if high is None:
        why = ("From ", Value(low, "s"), " on all leave as much to spare; a later one lights it for longer.")
    words: list[Words] = [
        "that is from the start of the program to the first frame.",
        why,
        ("The build's own ", Value(own, "s"), " boots, too." if inside else " does not boot."),
        sentence(f"start {start.words}"),
    ]
    if window.ready_at > build.run.duration:
        words.append(
            (
                "The build's run of ", Value(build.run.duration, "s"), " ends before that can be seen: with this delay "
                "the display is ready at ", Value(window.ready_at, "s"), ".",
            )
        )  # fmt: skip
    return Verdict(_wait(window.recommended), tuple(words), True)


def _wait(delay: float) -> Words:
    return ("wait ", Strong(Value(delay, "s")))


def _ruler(build: Build, window: DelayWindow) -> Ruler:
    upto = "on" if window.latest is None else f"to {format_result(window.latest, 's')}"
    about = f"Delays that boot, from {format_result(window.earliest, 's')} {upto}; "
    about += f"recommended {format_result(window.recommended, 's')}"
    marks = (
        Mark("recommended", window.recommended, above=True),
        Mark("this build", build.firmware.first_frame_delay, above=False),
    )
    stretches = tuple((each.low, None if is_open(each) else each.high) for each in window.islands)
    return Ruler(about, "s", stretches, marks)


def _window(build: Build, window: DelayWindow) -> Facts:
    rows: list[tuple[str, Words]] = [
        ("earliest that boots", _early(window)),
        ("latest that boots", _late(window)),
        ("first frame is not lost from", Value(window.first_frame_takes_from, "s")),
        ("gate is pulled low at", Value(build.firmware.gate_delay, "s", 0)),
        ("recommended", Value(window.recommended, "s")),
        ("from the earliest to that delay", Value(window.margin_early, "s")),
    ]
    if window.margin_late is not None:
        hot = window.too_hot_from is not None and window.too_hot_from > window.earliest
        rows.append((f"from that delay to {'too hot' if hot else 'the latest'}", Value(window.margin_late, "s")))
    rows.append(("lit before data, at that delay", Value(window.flash, "s")))
    rows.append(("switch too hot", _too_hot(window)))
    return Facts(tuple(rows), "The window")


def _early(window: DelayWindow) -> Words:
    outside = "from the start of the program on" if window.too_early is None else f"earlier: {window.too_early.words}"
    return (Value(window.earliest, "s"), f" ({outside})")


def _late(window: DelayWindow) -> Words:
    if window.latest is None:
        hot = "" if window.too_hot_from is None else ", but the switch gets too hot"
        return f"no upper edge: however late the first frame, it boots{hot}"
    later = "" if window.too_late is None else f" (later: {window.too_late.words})"
    return (Value(window.latest, "s"), later)


def _too_hot(window: DelayWindow) -> Words:
    if window.too_hot_from is None:
        return "at no delay"
    if window.too_hot_from <= window.first_frame_takes_from:
        return "at every delay"
    return ("from ", Value(window.too_hot_from, "s"), " on")


def _spare(window: DelayWindow) -> tuple[tuple[str, Words], ...]:
    spare = window.spare
    rows: list[tuple[str, Words]] = [
        ("rail above its reset level", Value(spare.rail, "V")),
        ("pixels above the supply for data, while the frame comes", Value(spare.listening, "V")),
    ]
    if spare.heat is not None:
        rows.append(("switch below its absolute maximum", f"{spare.heat:.0f} K"))
    return tuple(rows)


def _until(island: Island) -> Words:
    return "no end" if is_open(island) else Value(island.high, "s")
