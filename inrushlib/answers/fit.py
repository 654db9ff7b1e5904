"""The report of a fit: each parameter, what the capture tells of it, and what has to be known of the whole.

``fit_blocks``  the report
``with_note``   the fitted build as a file, with a note of where its values come from
"""

from __future__ import annotations

from inrushlib.answers.blocks import Block, Key, Note, Strong, Table, Value, Verdict, Words, sentence
from inrushlib.build import build_keys, to_toml
from inrushlib.quantities import format_between, format_quantity, format_uncertain
from inrushlib.startup import curve_named
from inrushlib.text import LONGEST, one_line
from inrushlib.trace import Fit, FittedKey

HEADS = ("parameter", "fitted", "standard error", "95 % interval", "start", "remark")


def fit_blocks(fit: Fit) -> tuple[Block, ...]:
    """Return the report of a fit.

    Parameters
    ----------
    fit : Fit
        The fit.
    """
    rows = tuple(_row(key, fitted) for key, fitted in fit.keys.items())
    table = Table(HEADS, rows, "Fitted parameters", (1, 2, 3, 4), wide=True)
    return (_verdict(fit), table, Note(_errors(fit)), Note(_zeros(fit)), Note(_origin(fit)))


def _verdict(fit: Fit) -> Verdict:
    """What the capture determines; where the model does not lie on it, that comes first."""
    told = sum(fitted.error is not None for fitted in fit.keys.values())
    counted: Words = ("the capture determines ", Strong(str(told)), f" of {len(fit.keys)} parameters")
    said = [sentence(text) for text in fit.tied]
    if not fit.alarm:
        return Verdict(counted, tuple(said))
    first, *rest = (finding.sentence for finding in fit.alarm)
    return Verdict(
        ("alarm: ", first),
        (*(sentence(text) for text in rest), "No interval is given, since the model does not lie on the capture.",
         sentence(counted), *said),
        good=False,
    )  # fmt: skip


def _row(key: str, fitted: FittedKey) -> tuple[Words, ...]:
    unit = build_keys()[key].unit
    low, high = fitted.interval or (None, None)
    if fitted.error is None:
        error = "undetermined"
        value, least, most = format_between(fitted.value, low, high, unit)
    else:
        ends = [each for each in (low, high) if each is not None]
        value, error, *others = format_uncertain(fitted.value, fitted.error, unit, *ends)
        least, most = (None if each is None else others.pop(0) for each in (low, high))
    interval: Words = Value(None, unit)
    if least is not None and most is not None:
        interval = f"{least} to {most}"
    elif least is not None:
        interval = f"at least {least}"
    elif most is not None:
        interval = f"at most {most}"
    remark = "cannot be told apart from another by this capture, see above" if fitted.told_together else fitted.note
    return Key(key), value, error, interval, format_quantity(fitted.start, unit), sentence(remark)


def _errors(fit: Fit) -> str:
    """Where the intervals come from, and how well the instrument was taken to be known."""
    if fit.bootstrap:
        return f"Intervals from {fit.bootstrap} fits to residuals drawn anew in blocks."
    known = fit.accuracy
    gains = ", ".join(f"{curve_named(name).words} {100 * gain:+.2g} %" for name, gain in fit.gains.items())
    along = f" Gains, fitted along: {gains}." if gains else ""
    return (
        f"Intervals by profiles, with gains known to {100 * known.gain:.3g} %, zeros to {100 * known.zero:.3g} % of "
        f"the range and the time base to {1e6 * known.time_base:.3g} ppm (standard deviations).{along}"
    )


def _zeros(fit: Fit) -> tuple[Words, ...]:
    """What each channel shows where there is nothing."""
    words: list[Words] = ["Zeros of the channels, fitted along: "]
    for number, (name, zero) in enumerate(fit.zeros.items()):
        curve = curve_named(name)
        words += ["; " if number else "", f"{curve.words} ", Value(zero, curve.unit, 0.0)]
    return (*words, ".")


def _origin(fit: Fit) -> tuple[Words, ...]:
    return (
        f"{fit.runs} model runs. Shift ", Value(fit.shift, "s"),
        f". Capture {one_line(fit.name, LONGEST)}, SHA-256 {fit.checksum}.",
    )  # fmt: skip


def with_note(fit: Fit) -> str:
    """Return the fitted build's text with a note of where its values come from.

    Parameters
    ----------
    fit : Fit
        The fit.
    """
    lines = [f"# Fitted to the capture {one_line(fit.name, LONGEST)}, SHA-256 {fit.checksum}:"]
    for key, fitted in fit.keys.items():
        unit = build_keys()[key].unit
        if fitted.error is None:
            said = f"{format_quantity(fitted.value, unit)} ({fitted.note})"
        else:
            said = " +- ".join(format_uncertain(fitted.value, fitted.error, unit))
        lines.append(f"#   {key} = {said}, from {format_quantity(fitted.start, unit)}")
    return "\n".join(lines) + "\n" + to_toml(fit.build)
