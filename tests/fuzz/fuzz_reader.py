"""Mutated captures through the reader: each must give a trace or a ``TraceError``, in under a second of computing.

Run as a command, ``python -m tests.fuzz.fuzz_reader --files 200000 --seed 1``; the suite runs fewer. A file that
breaks the rule is printed as a Python literal, so that it can become a test.
"""

import argparse
import random
import sys
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from inrushlib.errors import TraceError
from inrushlib.trace import Counting, ReadChoices, read_trace

LONGEST_SECONDS = 1.0
#: Past this a file hangs, even if it computes nothing; between the two a busy machine is to blame.
HANGS_AFTER = 30.0
ROWS = "".join(f"{i},{5 - i * 0.01:.2f},{i % 13 * 25}\n" for i in range(60))
COLUMN = "".join(f"{i * 4 - 125}\n" for i in range(60))
TEXTS = [
    "time [us],bus_voltage (V),lead_current (mA)\n" + ROWS,
    "Time,Channel A,Channel B\n(ms),(V),(mA)\n\n" + ROWS,
    "x-axis,1,2\nsecond,Volt,Ampere\n" + ROWS.replace(",", "e-6,", 1),
    ("time [us];bus [V];lead [A]\n" + ROWS.replace(",", ";").replace(".", ",")),
    ("time [us]\tbus [V]\tlead [A]\n" + ROWS.replace(",", "\t")).replace("\n", "\r\n"),
    '"time [us]","bus [V]","lead [A]"\n' + "".join('"{}","{}","{}"\n'.format(*r.split(",")) for r in ROWS.split()),
    "X,CH1,CH2,Start,Increment,\nSequence,Volt,Volt,-1.0e-03,2.0e-06,\n" + ROWS.replace("\n", ",,\n"),
    "Model,bench scope\nProbe,10X\nVertical Units,V\nVertical Scale,100mV\nVertical Position,-4.0 div\n"
    "Sampling Period,0.5us\nWaveform Data\n" + COLUMN,
    "Sampling rate: 2 MSa/s\nTrigger sample: 20\nYMULT,0.02,0.04\nYOFF,128,100\nYZERO,0,1.5\nCH1,CH2\n"
    + "".join(f"{i * 4},{i * 3 - 90}\n" for i in range(60)),
    "".join(f"Record Length,60,,{i}e-6,{i % 7}.5\n" if i < 3 else f",,,{i}e-6,{i % 7}.5\n" for i in range(60)),
    "Points,Interval,Interval units\n60,0.5,us\nChannel,CH1\n" + COLUMN,
    "time [us],bus [V],lead [A]\n" + ROWS + "time [us],lead [mA],bus [V]\n" + ROWS,
    "Segments,2,Points,60\nTime [us],bus [V],lead [A]\n" + ROWS + ROWS,
    "Sampling Period,1us\n" + COLUMN.replace("\n", ","),
    "time [us],bus [V],lead [A]\n"
    + ROWS.replace(",4.80", ",****").replace(",4.70", ",9.9E+37").replace(",275", ",inf"),
    "# time (s) bus (V) lead (A)\n" + "".join("{}.5 {} {}\n".format(*r.split(",")) for r in ROWS.split()),
]
PIECES = [
    b",", b";", b"\t", b"|", b" ", b'"', b"\n", b"\r", b"\r\n", b"\0", b".", b"-", b"+", b"e", b"E", b"#", b"(", b")",
    b"[", b"]", b":", b"=", b"/", b"1e400", b"9.9E+37", b"inf", b"nan", b"---", b"****", b"99999999999999999999",
    b"\xc2\xb5", b"\xb5", b"\xe2\x88\x9e", b"\xff\xfe", b"\xef\xbb\xbf", b"\x0b", b"\x1c", b"\xe2\x80\xa8",
    b"time", b"time [ms]", b"MS", b"mV", b"Start", b"Increment", b"Sampling Period,1us\n", b"Vertical Scale,1e308",
    b"Probe,0X", b"True", b"0x10", b"1_000",
]  # fmt: skip


@dataclass
class Tally:
    """What came of the files."""

    outcomes: Counter[str] = field(default_factory=Counter)
    slowest: float = 0.0
    longest_wait: float = 0.0
    broken: list[str] = field(default_factory=list)


def seeds() -> list[bytes]:
    """Captures in many layouts and encodings, and the made ones that come with the workbook."""
    folder = Path(__file__).resolve().parents[2] / "sample_traces"
    files = [path.read_bytes()[:6000] for path in sorted(folder.glob("*.csv"))]
    encoded = [text.encode() for text in TEXTS]
    return [*encoded, *files, *(TEXTS[i].encode("utf-16") for i in (0, 7)), TEXTS[0].encode("utf-8-sig")]


def change(data: bytes, others: list[bytes], draw: random.Random) -> bytes:
    """One mutation."""
    at, end = sorted((draw.randrange(len(data) + 1), draw.randrange(len(data) + 1)))
    end = min(end, at + draw.choice((1, 4, 40, 4000)))
    lines = data.split(b"\n")
    ways: list[Callable[[], bytes]] = [
        lambda: data[:at] + bytes([draw.randrange(256)]) + data[at + 1 :],
        lambda: data[:at] + draw.choice(PIECES) + data[at:],
        lambda: data[:at] + draw.choice(PIECES) + data[end:],
        lambda: data[:at] + data[end:],
        lambda: data[:end] + data[at:],
        lambda: data[:at],
        lambda: data[:at] + draw.choice(PIECES) * draw.choice((2, 30, 3000)) + data[at:],
        lambda: data[:at] + data[at:end] * draw.choice((2, 20)) + data[end:],
        lambda: b"\n".join(draw.sample(lines, len(lines))),
        lambda: b"\n".join(line for line in lines if draw.random() > 0.1),
        lambda: data.replace(draw.choice(PIECES), draw.choice(PIECES)),
        lambda: data[:at] + draw.choice(others)[at:],
        lambda: data.decode("latin-1").encode(draw.choice(("utf-16", "utf-16-be", "utf-8", "utf-32"))),
    ]
    return draw.choice(ways)()[:60_000]


def some_choices(draw: random.Random) -> ReadChoices:
    """Mostly none; at times a few."""
    if draw.random() < 0.8:
        return ReadChoices()
    return ReadChoices(
        delimiter=draw.choice((None, None, ",", ";", " ", "")),
        decimal=draw.choice((None, None, ".", ",")),
        first_line=draw.choice((None, None, 1, 3)),
        header_rows=draw.choice((None, None, 0, 1, 2)),
        interval=draw.choice((None, 1e-6)),
        ignore=draw.choice(((), (), ("1",), ("bus [V]", "2"), ("state",))),
        counts=draw.choice((None, *Counting)),
        time_unit=draw.choice((None, "ms")),
        segment=draw.choice((None, None, 2)),
    )


def try_file(data: bytes, choices: ReadChoices, tally: Tally) -> None:
    """Read one file and note what comes of it."""
    begun, computed = time.perf_counter(), time.process_time()
    try:
        trace = read_trace(data, choices=choices)
        outcome = "trace"
        if not trace.channels or any(len(c.values) != len(trace.time) for c in trace.channels.values()):
            tally.broken.append(f"a trace that does not hold together: {data!r}, {choices}")
    except TraceError:
        outcome = "TraceError"
    except Exception as error:
        outcome = type(error).__name__
        tally.broken.append(f"{outcome} ({error}): {data!r}, {choices}")
    waited, seconds = time.perf_counter() - begun, time.process_time() - computed
    tally.outcomes[outcome] += 1
    tally.slowest, tally.longest_wait = max(tally.slowest, seconds), max(tally.longest_wait, waited)
    if seconds > LONGEST_SECONDS or waited > HANGS_AFTER:
        tally.broken.append(f"{seconds:.2f} s, {waited:.2f} s by the clock: {data!r}, {choices}")


def fuzz(files: int, seed: int) -> Tally:
    """Read so many mutated files."""
    draw, tally, originals = random.Random(seed), Tally(), seeds()
    read_trace(originals[0])
    for _ in range(files):
        data = draw.choice(originals)
        for _ in range(draw.choice((1, 1, 2, 3, 6))):
            data = change(data, originals, draw) or b"\n"
        try_file(data, some_choices(draw), tally)
    return tally


def main() -> int:
    """Run as a command; 1 when a file broke the rule."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=200_000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    tally = fuzz(options.files, options.seed)
    counted = ", ".join(f"{number} {outcome}" for outcome, number in tally.outcomes.most_common())
    print(f"{options.files} files, seed {options.seed}: {counted}")
    print(f"slowest {tally.slowest * 1e3:.0f} ms of computing, {tally.longest_wait * 1e3:.0f} ms by the clock")
    for line in tally.broken[:10]:
        print(line[:2000])
    return 1 if tally.broken else 0


if __name__ == "__main__":
    sys.exit(main())
