"""``inrush compare``: a capture laid over the model, and keys of the build fitted to it."""

from __future__ import annotations

import argparse
import json
import math
from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from inrushlib.answers.compare import Laid, compare_answer
from inrushlib.answers.fit import with_note
from inrushlib.answers.terminal import render
from inrushlib.build import load_build
from inrushlib.cli.arguments import add_input, add_output, add_picture
from inrushlib.cli.output import save_picture, say, tell_unused, write_each
from inrushlib.cli.reading import add_reading, told_of_file
from inrushlib.errors import UsageError
from inrushlib.files import write_safely
from inrushlib.measurements import add_to_log, log_beside
from inrushlib.startup import simulate
from inrushlib.trace import (
    Accuracy,
    Comparison,
    Fit,
    Guess,
    Measured,
    Stage,
    Trace,
    channel_named,
    compare,
    fit_build,
    guess_shown,
    learned,
    measure,
    read_trace,
)

OVERSTRESSED = 1
KNOWN = "known"
SHARES = {"%": 1e-2, "ppm": 1e-6}
Given = TypeVar("Given")
CHANNEL_HEIGHT = 4.2  # [in] of a channel and its residual


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "compare",
        description="Read a capture, line it up with the model, compare, and with --fit find the values that fit best.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    add_input(p, "trace", metavar="TRACE.csv", help="a capture as text")
    p.add_argument("--channel", action="append", default=[], metavar="NAME=QUANTITY",
                   help="which channel shows which curve of `inrush check --curves`; may be repeated; without it what "
                   "channels show is guessed by name, unit and level, where that is safe")  # fmt: skip
    p.add_argument("--scale", action="append", default=[], metavar="NAME=FACTOR",
                   help="factor of a channel: probe, shunt in A/V, -1 to turn it round")  # fmt: skip
    p.add_argument("--shift", type=float, metavar="SECONDS", help="time to add to the capture's; default: lined up")
    p.add_argument("--fit", nargs="+", action="extend", default=[], metavar="TABLE.KEY",
                   help="keys of the build to fit, all together; may be repeated")  # fmt: skip
    p.add_argument("--bootstrap", type=int, default=0, metavar="N",
                   help="take the errors from N fits to residuals drawn anew in blocks")  # fmt: skip
    p.add_argument("--probe-accuracy", metavar="SHARE",
                   help="standard deviation of gains: 3 %% unless said; known where calibrated")  # fmt: skip
    p.add_argument("--time-accuracy", metavar="SHARE",
                   help="of the time base: 100 ppm unless said; known where calibrated")  # fmt: skip
    add_output(p, "--save", metavar="FITTED.toml", help="write the fitted build")
    p.add_argument("--record", action="store_true",
                   help="keep what the capture tells in NAME.measured.toml beside NAME.toml")  # fmt: skip
    add_picture(p, "--plot", metavar="OUT.png", help="write a picture: capture, model, residual")
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    add_reading(p)
    p.set_defaults(run=run)


def pairs(texts: list[str], option: str) -> dict[str, str]:
    """Return NAME=VALUE arguments as a dict.

    Parameters
    ----------
    texts : list of str
        As typed.
    option : str
        The option that they belong to, for the message.

    Raises
    ------
    UsageError
        Where one has no name or no value.
    """
    wrong = [text for text in texts if "=" not in text or not all(text.rpartition("=")[::2])]
    if wrong:
        raise UsageError([f"{option} {text}: accepted: NAME=VALUE" for text in wrong])
    return {name: value for name, _, value in (text.rpartition("=") for text in texts)}


def factors(texts: list[str]) -> dict[str, float]:
    """Return NAME=FACTOR arguments as numbers.

    Parameters
    ----------
    texts : list of str
        As typed.

    Raises
    ------
    UsageError
        Where one is no NAME=VALUE, or its value no number.
    """
    found, problems = {}, []
    for name, text in pairs(texts, "--scale").items():
        try:
            found[name] = float(text)
        except ValueError:
            problems.append(f"--scale {name}={text}: accepted: a number")
    if problems:
        raise UsageError(problems)
    return found


def accuracy(probe: str | None, time: str | None) -> Accuracy:
    """Return the instrument's accuracy from what is said of it.

    Parameters
    ----------
    probe, time : str or None
        Of gains and of the time base, such as "1 %", "20 ppm" or "known"; None for what is usual.
    """
    usual = Accuracy()
    return replace(
        usual,
        gain=usual.gain if probe is None else _share(probe, "--probe-accuracy"),
        time_base=usual.time_base if time is None else _share(time, "--time-accuracy"),
    )


def _share(text: str, option: str) -> float:
    if text.strip() == KNOWN:
        return 0.0
    number, unit = text.strip(), 1.0
    for ending, worth in SHARES.items():
        if number.endswith(ending):
            number, unit = number.removesuffix(ending), worth
    try:
        share = float(number) * unit
    except ValueError:
        share = math.nan
    if not 0 <= share < 1:
        raise UsageError(f'{option} {text}: accepted: a share such as "1 %", "20 ppm" or 0.01, or {KNOWN}')
    return share


def by_channel(trace: Trace, given: dict[str, Given], option: str) -> dict[str, Given]:
    """Return what is given for channels by the capture's own names of them.

    Parameters
    ----------
    trace : Trace
        The capture.
    given : dict of str to Given
        What is given, by channel as it was typed.
    option : str
        The option that it was given with, for the message.

    Raises
    ------
    UsageError
        Where two names mean the same channel.
    """
    found: dict[str, Given] = {}
    for text, value in given.items():
        name = channel_named(trace, text)
        if name in found:
            raise UsageError(f"{option} {text}: channel {name} is named twice; accepted: each channel once", trace.name)
        found[name] = value
    return found


def check_shift(measured: Measured, shift: float | None, duration: float) -> None:
    """Raise where a shift takes the whole capture out of the run.

    Parameters
    ----------
    measured : Measured
        The capture.
    shift : float or None
        Time to add to the capture's [s]; None where it is lined up.
    duration : float
        How long the run lasts [s].

    Raises
    ------
    UsageError
        With the range of shifts that is accepted.
    """
    lowest, highest = -float(measured.time[-1]), duration - float(measured.time[0])
    if shift is not None and not lowest < shift < highest:
        raise UsageError(
            f"--shift {shift:g}: the capture would lie outside the run; accepted: {lowest:.4g} to {highest:.4g} s",
            measured.name,
        )


def run(options: argparse.Namespace) -> int:
    """Compare, and fit where asked, by the ``options`` of the command line.

    Raises
    ------
    UsageError
        For options that do not go together or name no channel.
    """
    build = load_build(options.build)
    if options.save is not None and not options.fit:
        raise UsageError("--save writes the fitted build; accepted together with --fit only")
    if options.record and not options.fit:
        raise UsageError("--record keeps fitted values; accepted together with --fit only")
    if options.bootstrap and not options.fit:
        raise UsageError("--bootstrap gives errors of fitted keys; accepted together with --fit only")
    told = accuracy(options.probe_accuracy, options.time_accuracy)
    if options.shift is not None and not math.isfinite(options.shift):
        raise UsageError(f"--shift {options.shift}; accepted: a number of seconds")
    trace = read_trace(options.trace, choices=told_of_file(options))
    names = by_channel(trace, pairs(options.channel, "--channel"), "--channel")
    scales = by_channel(trace, factors(options.scale), "--scale")
    if scales and not names:
        raise UsageError(f"--scale {next(iter(scales))}: a factor changes unit and level; accepted with --channel only")
    guesses = {} if names else guess_shown(trace, build)
    names |= {name: guess.curve.name for name, guess in guesses.items()}
    measured = measure(trace, names, build, scales)
    check_shift(measured, options.shift, build.run.duration)
    fit = None
    if options.fit:
        fit = fit_build(
            build, measured, options.fit, accuracy=told, bootstrap=options.bootstrap, progress=_tell
        )  # fmt: skip
    start = simulate(build if fit is None else fit.build)
    shift = options.shift if fit is None else fit.shift
    comparison = compare(measured, start, shift)
    if options.json:
        flat = to_dict(comparison, fit, names, guesses) | {"start": start.headline.to_dict()}
        say(json.dumps(flat, indent=1, allow_nan=False))
    else:
        channels = {curve: name for name, curve in names.items()}
        guessed = (guess.words for guess in guesses.values() if guess.is_guessed)
        found = (*guessed, *trace.inferred, *(hint.for_command for hint in trace.hints))
        laid = Laid(measured=measured, start=start, comparison=comparison, channels=channels, inferred=found)
        say(render(compare_answer(laid, fit)))
    outputs: list[Callable[[], None]] = []
    if fit is not None and options.save is not None:
        outputs.append(partial(write_safely, with_note(fit), options.save))
    if fit is not None and options.record:
        outputs.append(partial(record, fit, log_beside(options.build)))
    if options.plot is not None:
        from inrushlib.plots import draw_comparison

        height = CHANNEL_HEIGHT * len(measured.curves)
        draw = partial(draw_comparison, measured, start, comparison)
        outputs.append(partial(save_picture, options.plot, 9.0, height, draw))
    tell_unused([build], as_json=options.json)
    write_each(*outputs)
    return OVERSTRESSED if start.overstressed else 0


def record(fit: Fit, path: Path) -> None:
    """Add what a fit found to the log beside the build, and say so.

    Parameters
    ----------
    fit : Fit
        The fit.
    path : Path
        The log.
    """
    rows, together = learned(fit, date.today())
    if not rows:
        say("nothing is recorded: the capture determines none of the keys", to_stderr=True)
        return
    add_to_log(path, rows, together)
    say(f"recorded in {path}: {', '.join(row.key for row in rows)}", to_stderr=True)


def _tell(stage: Stage) -> None:
    say(f"{stage.share:4.0%}  {stage.words} ...", to_stderr=True)


def to_dict(
    comparison: Comparison, fit: Fit | None, names: dict[str, str], guesses: Mapping[str, Guess]
) -> dict[str, Any]:
    """Return the answer ready for JSON; channels by their name in the capture.

    Parameters
    ----------
    comparison : Comparison
        The capture against the model.
    fit : Fit or None
        Fitted keys; None where none were asked for.
    names : dict of str to str
        Curve of each channel, by its name in the capture.
    guesses : mapping of str to Guess
        Those of them that were guessed, and by what.
    """
    flat = comparison.to_dict()
    by_quantity = flat["channels"]
    flat["channels"] = {name: {"quantity": q} | by_quantity[q] for name, q in names.items()}
    flat["guessed"] = {name: guess.basis.name.lower() for name, guess in guesses.items() if guess.is_guessed}
    flat["fit"] = None
    if fit is not None:
        flat["fit"] = {key: fitted.to_dict() for key, fitted in fit.keys.items()}
        flat["alarm"] = [finding.to_dict() for finding in fit.alarm] or None
        flat["fit_report"] = {
            "correlation": fit.correlation.tolist(),
            "cannot_tell_apart": list(fit.tied),
            "remedied": [finding.to_dict() for finding in fit.remedied],
            "gains": fit.gains,
            "zeros": fit.zeros,
            "accuracy": asdict(fit.accuracy),
            "memory": fit.memory,
            "excess": fit.excess,
            "bootstrap": fit.bootstrap,
            "runs": fit.runs,
        }
    return flat
