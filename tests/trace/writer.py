"""Writes made captures in the layouts that scopes export, with the answer beside each.

The reader's tests hold no reading code: what a file says is known here before it is written. The structures
are those that instrument manuals show; names and numbers are invented.
"""

import math
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np

from inrushlib.trace import Counting, ReadChoices

EXPONENT = {"s": 0, "ms": -3, "us": -6, "µs": -6, "μs": -6, "ns": -9, "V": 0, "mV": -3, "A": 0, "mA": -3}


@dataclass(frozen=True)
class Written:
    """A file, and what it says in SI."""

    data: bytes
    time: np.ndarray
    channels: dict[str, np.ndarray]
    units: dict[str, str]
    choices: ReadChoices = field(default_factory=ReadChoices)


@dataclass(frozen=True)
class Style:
    """How a table is written."""

    delimiter: str = ","
    decimal: str = "."
    newline: str = "\n"
    encoding: str = "utf-8"
    time_unit: str = "us"
    bus_unit: str = "V"
    lead_unit: str = "mA"
    header: str = "{name} [{unit}]"
    quote: bool = False
    trailing: bool = False
    blank_tail: int = 0
    last_newline: bool = True


def decimals(count: int, seed: int = 1) -> tuple[list[str], list[str], list[str]]:
    """Times [us], volts and milliamperes as texts of a made start-up with 8-bit steps and noise."""
    rng = np.random.default_rng(seed)
    k = np.arange(count)
    bus = 5.0 - 2.6 * np.exp(-k / (0.2 * count)) + rng.normal(0.0, 0.03, count)
    lead = 3000.0 * np.exp(-k / (0.1 * count)) + rng.normal(0.0, 20.0, count)
    bus_steps = np.round(bus / 0.0390625).astype(int)
    lead_steps = np.round(lead / 23.4375).astype(int)
    times = [f"{-100 + 0.5 * i:.1f}" for i in k]
    return times, [f"{0.0390625 * b:.7f}" for b in bus_steps], [f"{23.4375 * x:.4f}" for x in lead_steps]


def si(texts: list[str], unit: str) -> np.ndarray:
    """What texts in a unit say, each rounded once from its decimal digits; a text that is no number is a gap."""

    def value(text: str) -> float:
        try:
            return float(Decimal(text).scaleb(EXPONENT[unit]))
        except ArithmeticError:
            return math.nan

    return np.array([value(text) for text in texts])


def rescaled(texts: list[str], old: str, new: str) -> list[str]:
    """The same quantities as texts in another unit, digit for digit."""
    return [format(Decimal(text).scaleb(EXPONENT[old] - EXPONENT[new]), "f") for text in texts]


def encoded(text: str, encoding: str) -> bytes:
    """Text in an encoding; ``utf-16`` and ``utf-8-sig`` begin with a byte order mark."""
    return text.encode(encoding)


def line(cells: list[str], style: Style) -> str:
    """One line of a table."""
    shown = [f'"{cell}"' if style.quote else cell for cell in cells]
    return style.delimiter.join(shown) + (style.delimiter if style.trailing else "")


def numbers(columns: list[list[str]], style: Style) -> list[str]:
    """The rows of samples."""
    rows = [[cell.replace(".", style.decimal) for cell in row] for row in zip(*columns, strict=True)]
    return [line(row, style) for row in rows]


def joined(lines: list[str], style: Style) -> bytes:
    """A file from its lines."""
    blank = [style.delimiter * 2] * style.blank_tail
    text = style.newline.join([*lines, *blank]) + (style.newline if style.last_newline else "")
    return encoded(text, style.encoding)


def table(style: Style, count: int = 60) -> Written:
    """One header row, three columns."""
    times, bus, lead = decimals(count)
    times, bus = rescaled(times, "us", style.time_unit), rescaled(bus, "V", style.bus_unit)
    lead = rescaled(lead, "mA", style.lead_unit)
    labels = [
        style.header.format(name=name, unit=unit)
        for name, unit in (("time", style.time_unit), ("bus", style.bus_unit), ("lead", style.lead_unit))
    ]
    data = joined([line(labels, style), *numbers([times, bus, lead], style)], style)
    channels = {"bus": si(bus, style.bus_unit), "lead": si(lead, style.lead_unit)}
    return Written(data, si(times, style.time_unit), channels, {"bus": "V", "lead": "A"})


def two_header_rows() -> Written:
    """Names, then units in brackets, then a blank line."""
    times, bus, lead = decimals(50)
    lines = ["Time,Channel A,Channel B", "(us),(V),(mA)", "", *numbers([times, bus, lead], Style())]
    channels = {"Channel A": si(bus, "V"), "Channel B": si(lead, "mA")}
    return Written(joined(lines, Style()), si(times, "us"), channels, {"Channel A": "V", "Channel B": "A"})


def unit_words() -> Written:
    """An axis row with numbered channels, and units as words."""
    times, bus, lead = decimals(50)
    times, lead = rescaled(times, "us", "s"), rescaled(lead, "mA", "A")
    lines = ["x-axis,1,2", "second,Volt,Ampere", *numbers([times, bus, lead], Style())]
    return Written(
        joined(lines, Style()), si(times, "s"), {"1": si(bus, "V"), "2": si(lead, "A")}, {"1": "V", "2": "A"}
    )


def start_and_increment(trailing: bool = True) -> Written:
    """A running number, and start and increment in the header rows."""
    _, bus, lead = decimals(50)
    end = ",," if trailing else ""
    lines = ["X,CH1,CH2,Start,Increment,", "Sequence,Volt,mA,-1.000000e-04,5.000000e-07,"]
    lines += [f"{i},{b},{x}{end}" for i, (b, x) in enumerate(zip(bus, lead, strict=True))]
    time = -1e-4 + 5e-7 * np.arange(50)
    return Written(joined(lines, Style()), time, {"CH1": si(bus, "V"), "CH2": si(lead, "mA")}, {"CH1": "V", "CH2": "A"})


PREAMBLE = [
    "Model,bench scope",
    "Memory Length,60",
    "Trigger Level,1.5V",
    "Source,CH1",
    "Label,bus",
    "Probe Ratio,10X",
    "Vertical Units,V",
    "Vertical Scale,100mV",
    "Vertical Position,-4.0 div",
    "Horizontal Units,s",
    "Horizontal Scale,0.0005",
    "Horizontal Position,0",
    "Sampling Period,0.5us",
    "Waveform Data",
]


def preamble_volts() -> Written:
    """Keys and values, then volts in one column without times."""
    _, bus, _ = decimals(60)
    data = joined([*PREAMBLE, *bus], Style())
    return Written(data, 5e-7 * np.arange(60), {"bus": si(bus, "V")}, {"bus": "V"})


def preamble_counts() -> Written:
    """The same with counts of the converter: 25 a division, 0.1 V a division at the input, 10:1 probe, 4 div down."""
    counts = [round(-125 + 4 * i) for i in range(60)]
    data = joined([*PREAMBLE, *map(str, counts)], Style(newline="\r\n"))
    volts = np.array([(c / 25.0 + 4.0) * 0.1 * 10.0 for c in counts])
    choices = ReadChoices(counts=Counting.SCREEN)
    return Written(data, 5e-7 * np.arange(60), {"bus": volts}, {"bus": "V"}, choices)


def multiplier_counts() -> Written:
    """Counts of two channels with multiplier, reference and zero for each, a rate and a trigger sample."""
    first, second = [10 * i % 251 for i in range(60)], [(7 * i) % 255 for i in range(60)]
    lines = ["Sampling rate: 2 MSa/s", "Trigger sample: 20", "YMULT,0.02,0.04", "YOFF,128,100", "YZERO,0,1.5"]
    lines += ["Vertical units,V,A", "CH1,CH2", *(f"{a},{b}" for a, b in zip(first, second, strict=True))]
    channels = {
        "CH1": (np.array(first) - 128.0) * 0.02,
        "CH2": (np.array(second) - 100.0) * 0.04 + 1.5,
    }
    return Written(joined(lines, Style()), 5e-7 * (np.arange(60) - 20.0), channels, {"CH1": "V", "CH2": "A"})


def volts_per_count() -> Written:
    """Counts of 8 bits without a sign, the zero given in counts, the unit in the key."""
    counts = [(7 * i) % 256 for i in range(60)]
    lines = ["Sample interval,0.5,us", "Volts per count,0.02", "Zero count,128", "CH1", *map(str, counts)]
    volts = (np.array(counts) - 128.0) * 0.02
    return Written(joined(lines, Style()), 5e-7 * np.arange(60), {"CH1": volts}, {"CH1": "V"})


def scale_and_offset() -> Written:
    """Counts with scale and offset for each channel, keys in one word, a decimal comma in the preamble alone."""
    first, second = [10 * i % 251 for i in range(60)], [(7 * i) % 255 for i in range(60)]
    lines = ["SampleInterval_us;0,5", "XOrigin;-0,0001", "Scale;0,02;0,04", "Offset;-1,5;0", "Unit;V;A"]
    lines += ["Vertical units;V;A", "CH1;CH2", *(f"{a};{b}" for a, b in zip(first, second, strict=True))]
    channels = {"CH1": np.array(first) * 0.02 - 1.5, "CH2": np.array(second) * 0.04}
    return Written(joined(lines, Style()), -1e-4 + 5e-7 * np.arange(60), channels, {"CH1": "V", "CH2": "A"})


def sources_for_names() -> Written:
    """Two columns of the same name; the preamble says which input each is."""
    times, bus, lead = decimals(60)
    lines = ["Source,CH1,CH2", "Time,Voltage,Voltage", "(us),(V),(mV)", *numbers([times, bus, lead], Style())]
    channels = {"CH1": si(bus, "V"), "CH2": si(lead, "mV")}
    return Written(joined(lines, Style()), si(times, "us"), channels, {"CH1": "V", "CH2": "V"})


def preamble_beside() -> Written:
    """Keys and values in the first three columns, samples in the fourth and fifth of the same rows."""
    times, bus, _ = decimals(60)
    times = rescaled(times, "us", "s")
    beside = ["Record Length,60,", "Sample Interval,5e-07,s", "Vertical Units,V,", "Probe Atten,1.0,", "Source,CH1,"]
    beside += [",,"] * (60 - len(beside))
    lines = [f"{b},{t},{v}," for b, t, v in zip(beside, times, bus, strict=True)]
    return Written(joined(lines, Style()), si(times, "s"), {"CH1": si(bus, "V")}, {"CH1": "V"})


def named_fields() -> Written:
    """Sixteen lines before the samples; one names the fields of the next, units in fields of their own."""
    _, bus, _ = decimals(60)
    lines = ["Capture,1", "Points,Interval,Interval units,Start", "60,0.5,us,-100", "Channel,CH1", "Vertical units,V"]
    lines += [f"Remark {i},none" for i in range(11)]
    return Written(joined([*lines, *bus], Style()), -1e-4 + 5e-7 * np.arange(60), {"CH1": si(bus, "V")}, {"CH1": "V"})


def peak_pairs() -> Written:
    """Two rows a time, lowest and highest."""
    times, bus, _ = decimals(60)
    bus = [text for i in range(0, 60, 2) for text in sorted(bus[i : i + 2], key=float)]
    doubled = [times[i // 2] for i in range(60)]
    lines = ["time [us],bus [V]", *numbers([doubled, bus], Style())]
    return Written(joined(lines, Style()), si(doubled, "us"), {"bus": si(bus, "V")}, {"bus": "V"})


def segments(chosen: int, *, headed: bool) -> Written:
    """Three records one after the other, the times of each starting over; three header rows, the first with points."""
    times, bus, _ = decimals(60)
    header = ["Segments,3,Points,20", "Segment,Trigger", "Time [us],Voltage [V]"]
    lines = header[:2]
    for part in range(3):
        if part == 0 or headed:
            lines = [*lines, *([f"Segment {part}"] if headed else []), header[2]]
        lines += numbers([times[:20], bus[20 * part : 20 * part + 20]], Style())
    values = si(bus[20 * chosen - 20 : 20 * chosen], "V")
    return Written(
        joined(lines, Style()), si(times[:20], "us"), {"Voltage": values}, {"Voltage": "V"}, ReadChoices(segment=chosen)
    )


def segments_without_times(chosen: int) -> Written:
    """Three records of 20 rows, each under the header again, with an interval in place of times."""
    _, bus, lead = decimals(60)
    lines = ["Sample interval,0.5us", "Start,-100us"]
    for part in range(3):
        rows = slice(20 * part, 20 * part + 20)
        lines += ["bus [V],lead [mA]", *numbers([bus[rows], lead[rows]], Style())]
    rows = slice(20 * chosen - 20, 20 * chosen)
    channels = {"bus": si(bus[rows], "V"), "lead": si(lead[rows], "mA")}
    units, choices = {"bus": "V", "lead": "A"}, ReadChoices(segment=chosen)
    return Written(joined(lines, Style()), -1e-4 + 5e-7 * np.arange(20), channels, units, choices)


def segments_that_start_late() -> Written:
    """Two records under a header each; the second begins at nine tenths of the first's times."""
    times, bus, _ = decimals(60)
    lines = ["time [us],bus [V]", *numbers([times[:40], bus[:40]], Style())]
    lines += ["time [us],bus [V]", *numbers([times[36:56], bus[40:]], Style())]
    return Written(
        joined(lines, Style()), si(times[36:56], "us"), {"bus": si(bus[40:], "V")}, {"bus": "V"}, ReadChoices(segment=2)
    )


def names_in_the_preamble() -> Written:
    """Two columns without a header, named by the preamble."""
    _, bus, lead = decimals(60)
    lines = ["Label,bus,lead", "Vertical Units,V,mA", "Sampling Period,0.5us", *numbers([bus, lead], Style())]
    channels = {"bus": si(bus, "V"), "lead": si(lead, "mA")}
    return Written(joined(lines, Style()), 5e-7 * np.arange(60), channels, {"bus": "V", "lead": "A"})


def stitched() -> Written:
    """A header repeated half way, with columns the other way round and another unit."""
    times, bus, lead = decimals(60)
    lines = ["time [us],bus [V],lead [mA]", *numbers([times[:30], bus[:30], lead[:30]], Style())]
    other = rescaled(bus, "V", "mV")
    lines += ["time [us],lead [mA],bus [mV]", *numbers([times[30:], lead[30:], other[30:]], Style())]
    channels = {"bus": si(bus, "V"), "lead": si(lead, "mA")}
    return Written(joined(lines, Style()), si(times, "us"), channels, {"bus": "V", "lead": "A"})


def one_line(delimiter: str = ",") -> Written:
    """Amplitudes alone, all in one line."""
    _, bus, _ = decimals(200)
    choices = ReadChoices(interval=5e-7, start=-1e-4, names=("bus",), units={"bus": "V"})
    data = delimiter.join(bus).encode()
    return Written(data, -1e-4 + 5e-7 * np.arange(200), {"bus": si(bus, "V")}, {"bus": "V"}, choices)
