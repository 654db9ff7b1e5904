"""More layouts that instruments and spreadsheets write, each with what it says, or what it is refused with.

``READ``      layouts that are read, some with a choice that the file leaves open
``REFUSED``   layouts that could be read in two ways or not at all, the refusal, and the choices that it offers
"""

from dataclasses import dataclass

import numpy as np

from inrushlib.trace import Counting, ReadChoices

from .writer import Style, Written, decimals, joined, numbers, rescaled, si

TIMES, BUS, LEAD = decimals(60)
SECONDS = rescaled(TIMES, "us", "s")
BOTH = {"CH1": si(BUS, "V"), "CH2": si(LEAD, "mA")}
UNITS = {"CH1": "V", "CH2": "A"}
BUS_ALONE, IN_VOLTS = {"CH1": BOTH["CH1"]}, {"CH1": "V"}
EVENLY = 5e-7 * np.arange(60)


@dataclass(frozen=True)
class Refused:
    """A file, what it is refused with, and what each choice makes of it."""

    data: bytes
    says: str
    ways: tuple[tuple[ReadChoices, Written], ...]


def units_after_in() -> Written:
    """Every cell of the header says its unit after "in"; the time is nothing but its unit."""
    lines = ["in us,CH1 in V,CH2 in mA", *numbers([TIMES, BUS, LEAD], Style())]
    return Written(joined(lines, Style()), si(TIMES, "us"), BOTH, UNITS)


def blank_over_second() -> Written:
    """Names with nothing above the time, units as words below."""
    amperes = rescaled(LEAD, "mA", "A")
    lines = [",CH1,CH2", "Second,Volt,Ampere", *numbers([SECONDS, BUS, amperes], Style())]
    return Written(joined(lines, Style()), si(SECONDS, "s"), {"CH1": BOTH["CH1"], "CH2": si(amperes, "A")}, UNITS)


def origin_and_increment() -> Written:
    """Origin and increment of the time as short keys."""
    lines = ["XOrg,-1e-04", "XInc,5e-07", "CH1 [V]", *BUS]
    return Written(joined(lines, Style()), -1e-4 + EVENLY, BUS_ALONE, IN_VOLTS)


def rate_and_sample_number() -> Written:
    """A rate as one word, and the number of the first sample counted from the trigger."""
    lines = ["Samplerate,2000000", "Start,-200", "CH1 [V]", *BUS]
    return Written(joined(lines, Style()), -1e-4 + EVENLY, BUS_ALONE, IN_VOLTS)


def beside_samples(kind: str) -> bytes:
    """A column of texts, clock times or logic levels beside the samples."""
    cells = {
        "state": ["run" if i % 7 else "hold, or so" for i in range(60)],
        "clock": [f"12:00:{i // 10:02d}.{i % 10}" for i in range(60)],
        "D7-D0": [f"0x{i:02X}" for i in range(60)],
        "D0": ["HL"[i % 2] for i in range(60)],
    }[kind]
    rows = [f'{time},"{cell}",{bus}' for time, cell, bus in zip(TIMES, cells, BUS, strict=True)]
    return joined([f"time [us],{kind},CH1 [V]", *rows], Style())


def with_ignored(kind: str, *ignore: str) -> Written:
    """The same, read without that column."""
    choices = ReadChoices(ignore=ignore)
    return Written(beside_samples(kind), si(TIMES, "us"), BUS_ALONE, IN_VOLTS, choices)


def two_ignored() -> Written:
    """A clock and a numeric column that are left out."""
    rows = [f"12:00:{i};{t};{b};{i % 2}" for i, (t, b) in enumerate(zip(TIMES, BUS, strict=True))]
    data = joined(["clock;time [us];CH1 [V];D0", *rows], Style())
    return Written(data, si(TIMES, "us"), BUS_ALONE, IN_VOLTS, ReadChoices(ignore=("clock", "D0")))


def rounded_times(*, by_twos: bool) -> bytes:
    """Times with as many digits as a spreadsheet left of them."""
    places = 3 if by_twos else 4
    times = [f"{5e-4 * (i // 2 * 2 if by_twos else i / 4):.{places}f}" for i in range(60)]
    return joined(["time [s],CH1 [V]", *numbers([times, BUS], Style())], Style())


def spaced_evenly(step: float, *, by_twos: bool) -> Written:
    """The same with the interval told."""
    data, choices = rounded_times(by_twos=by_twos), ReadChoices(interval=step)
    return Written(data, step * np.arange(60), BUS_ALONE, IN_VOLTS, choices)


COUNTS = [round(-80 + 3 * i) for i in range(60)]
FROM_GROUND = np.array(COUNTS) / 25.0 * 1.0
FROM_MIDDLE = np.array(COUNTS) * (1.0 * 10.0 / 25.0) + 2.0 * 1.0 * 10.0


def counts_of_the_screen(*measured: str) -> bytes:
    """Counts of 8 bits with a scale for each division, a position and a probe's ratio."""
    lines = ["Sampling Period,0.5us", "Vertical Scale,1V", "Vertical Position,-2.0 div", "Probe,10X", *measured]
    return joined([*lines, "CH1", *map(str, COUNTS)], Style())


def counts_read(values: np.ndarray, counting: Counting | None, *measured: str) -> Written:
    """The same, and what they are."""
    data, choices = counts_of_the_screen(*measured), ReadChoices(counts=counting)
    return Written(data, EVENLY, {"CH1": values}, IN_VOLTS, choices)


def start_without_unit() -> bytes:
    """A start that could be a sample's number or in the interval's unit."""
    return joined(["Sampling Period,0.5us", "Start,-200", "CH1 [V]", *BUS], Style())


READ = {
    "units after in": units_after_in(),
    "nothing above the time": blank_over_second(),
    "origin and increment": origin_and_increment(),
    "rate and sample number": rate_and_sample_number(),
    "column of texts left out": with_ignored("state", "state"),
    "column of texts left out by its number": with_ignored("state", "2"),
    "clock left out": with_ignored("clock", "clock"),
    "logic as hexadecimal left out": with_ignored("D7-D0", "D7-D0"),
    "logic levels left out": with_ignored("D0", "D0"),
    "two columns left out": two_ignored(),
    "times rounded to pairs": spaced_evenly(5e-4, by_twos=True),
    "times rounded": spaced_evenly(1.25e-4, by_twos=False),
    "counts, the highest confirms the ground": counts_read(FROM_GROUND, None, "Maximum,3.9V"),
    "counts, the mean confirms the screen": counts_read(FROM_MIDDLE, None, "Mean,23.4V"),
}
REFUSED = {
    **{
        f"column of {kind}": Refused(
            beside_samples(kind),
            f"line 2: column 2 holds texts such as '{cell}'; leave it out with --ignore {kind}",
            ((ReadChoices(ignore=(kind,)), with_ignored(kind, kind)),),
        )
        for kind, cell in {"state": "hold, or so", "clock": "12:00:00.0", "D7-D0": "0x00", "D0": "H"}.items()
    },
    "counts of the screen": Refused(
        counts_of_the_screen(),
        "line 2: the counts of CH1 could be from the ground level, -3.2 to 3.88 V, or from the middle of the screen "
        "with probe and position, -12 to 58.8 V; choose --counts ground or --counts screen",
        (
            (ReadChoices(counts=Counting.GROUND), counts_read(FROM_GROUND, None)),
            (ReadChoices(counts=Counting.SCREEN), counts_read(FROM_MIDDLE, None)),
        ),
    ),
    "counts of the screen, both contradicted": Refused(
        counts_of_the_screen("Maximum,7V"),
        "choose --counts ground or --counts screen",
        ((ReadChoices(counts=Counting.GROUND), counts_read(FROM_GROUND, None)),),
    ),
    "start without a unit": Refused(
        start_without_unit(),
        "line 2: the start -200 could be the number of a sample, or in the unit of the interval: "
        "choose --start -0.0001 or --start -0.0002",
        ((ReadChoices(start=-1e-4), Written(b"", -1e-4 + EVENLY, BUS_ALONE, IN_VOLTS)),),
    ),
    "interval that the times contradict": Refused(
        rounded_times(by_twos=False),
        "60 rows cover 0.0074 s by their times, but 0.059 s with --interval 0.001; "
        "leave the times out with --time-column 0, or give 0.0001254 s",
        ((ReadChoices(interval=1.25e-4), spaced_evenly(1.25e-4, by_twos=False)),),
    ),
}
