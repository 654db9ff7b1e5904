"""``inrush from ...``: from what a builder can see or measure to lines of the build file."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.cli.output import say, to_json
from inrushlib.cli.typed import parse_colour, quantity_of
from inrushlib.document import build_lines
from inrushlib.errors import UsageError
from inrushlib.parts import FIGURES, Observed, WireRun, from_lit_pixels, from_loads, from_track, from_wire
from inrushlib.quantities import format_quantity, parse_gauge

NAME = "from"
PLANE = "plane"


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        NAME,
        description="Print lines that are ready for the build file. Exit 0, or 2 when an argument is not right.",
    )
    kinds = p.add_subparsers(dest="kind", required=True, metavar="WHAT")
    _add_pixels(kinds)
    _add_wire(kinds)
    _add_track(kinds)
    _add_adapter(kinds)


def _add_pixels(kinds: Any) -> None:
    p = kinds.add_parser(
        "pixels", help='"one tile draws 1.5 A all white" gives the channel current',
        description="Channel current of pixels from what they draw together in one colour, on a supply that holds.",
    )  # fmt: skip
    p.add_argument("current", metavar="CURRENT", help='what they draw together, such as "1.5 A"')
    p.add_argument("pixels", type=int, metavar="PIXELS", help="how many are lit")
    p.add_argument("--colour", default="1,1,1", metavar="R,G,B", help="duty of red, green, blue; default white")
    p.add_argument("--dark", metavar="CURRENT", help="what they draw together when dark; default 0.6 mA each")
    _finish(p, pixels)


def _add_wire(kinds: Any) -> None:
    p = kinds.add_parser(
        "wire", help='"a jumper of 30 AWG, 5 cm" gives the loop that jumpers, feeds or the lead have',
        description="Keys of a wire from gauge and length, supply and return alike.",
    )  # fmt: skip
    kinds_of_wire = [each.value for each in WireRun]
    p.add_argument("wire", choices=kinds_of_wire, help="a jumper between sections, a feed wire, the adapter's lead")
    p.add_argument("length", metavar="LENGTH", help='one way, such as "5 cm"')
    p.add_argument("gauge", metavar="GAUGE", help='such as "30 AWG" or "0.5 mm2"')
    p.add_argument("--pairs", type=int, default=1, metavar="N", help="pairs of conductors side by side; default 1")
    p.add_argument("--contacts", default="0 ohm", metavar="OHM", help='plugs and joints, such as "10 mohm"; default 0')
    _finish(p, wire)


def _add_track(kinds: Any) -> None:
    p = kinds.add_parser(
        "track", help='"2 oz copper, 3 mm wide, 60 mm" gives the rail between pixels',
        description="Rail resistance a pixel pitch from a board's tracks, and the current that heats them by 10 K.",
    )  # fmt: skip
    p.add_argument("ounces", type=float, metavar="OUNCES", help="copper in ounces a square foot; 1 is 35 um")
    p.add_argument("width", metavar="WIDTH", help='such as "3 mm"')
    p.add_argument("length", metavar="LENGTH", help='such as "60 mm"')
    p.add_argument("pixels", type=int, metavar="PIXELS", help="pixel pitches along that length")
    p.add_argument("--return", dest="back", metavar="WIDTH", help=f'of the return, or "{PLANE}"; default as wide')
    _finish(p, track)


def _add_adapter(kinds: Any) -> None:
    p = kinds.add_parser(
        "adapter", help='"5.08 V at 0.1 A, 4.98 V at 2 A" gives output resistance, and the limit where it sags',
        description="Voltage at the plug at two loads or more. What sags by more than 6 % counts as in its limit.",
    )  # fmt: skip
    p.add_argument(
        "readings", nargs="+", metavar="VOLTAGE@CURRENT", help='one a load, such as "5.08 V @ 0.1 A" "4.98 V @ 2 A"'
    )
    _finish(p, adapter)


def _finish(p: argparse.ArgumentParser, found: Any) -> None:
    p.add_argument("--json", action="store_true", help="SI numbers by key")
    p.set_defaults(run=run, found=found)


def run(options: argparse.Namespace) -> int:
    """Print the lines for the ``options`` of the command line."""
    found: Observed = options.found(options)
    say(to_json(found) if options.json else page(found))
    return 0


def pixels(options: argparse.Namespace) -> Observed:
    """Return what the current of lit pixels tells.

    Parameters
    ----------
    options : Namespace
        Of the command line [as typed].
    """
    dark = None if options.dark is None else quantity_of("--dark", options.dark, "A") / max(options.pixels, 1)
    current = quantity_of("current", options.current, "A")
    return from_lit_pixels(current, options.pixels, colour=parse_colour(options.colour), quiescent=dark)


def wire(options: argparse.Namespace) -> Observed:
    """Return what gauge and length tell.

    Parameters
    ----------
    options : Namespace
        Of the command line [as typed].

    Raises
    ------
    UsageError
        Where gauge, length or contacts cannot be read.
    """
    length, contacts = quantity_of("length", options.length, "m"), quantity_of("--contacts", options.contacts, "ohm")
    try:
        area = parse_gauge(options.gauge)
    except ValueError as error:
        raise UsageError(f"gauge: {error}") from None
    return from_wire(WireRun(options.wire), length, area, pairs=options.pairs, contacts=contacts)


def track(options: argparse.Namespace) -> Observed:
    """Return what a track's copper tells.

    Parameters
    ----------
    options : Namespace
        Of the command line [as typed].
    """
    back = None
    if options.back is not None:
        back = float("inf") if options.back == PLANE else quantity_of("--return", options.back, "m")
    width, length = quantity_of("width", options.width, "m"), quantity_of("length", options.length, "m")
    return from_track(options.ounces, width, length, options.pixels, return_width=back)


def adapter(options: argparse.Namespace) -> Observed:
    """Return what the voltage at several loads tells.

    Parameters
    ----------
    options : Namespace
        Of the command line [as typed].

    Raises
    ------
    UsageError
        Where a reading is not a voltage and a current.
    """
    readings = []
    for text in options.readings:
        volts, at, amperes = text.partition("@")
        if not at:
            raise UsageError(f'reading "{text}"; accepted: voltage and current, such as "5.08 V @ 0.1 A"')
        name = f'reading "{text}"'
        readings.append((quantity_of(name, amperes.strip(), "A"), quantity_of(name, volts, "V")))
    return from_loads(readings)


def page(found: Observed) -> str:
    """Return the lines for the build file, and what goes with them as comments of such a file.

    Parameters
    ----------
    found : Observed
        What was found from what can be seen.
    """
    said = [
        f"# {words}: {format_quantity(found.figures[name], unit)}"
        for name, (words, unit) in FIGURES.items()
        if name in found.figures
    ]
    return "\n".join([*build_lines(found.values), *said, *(f"# {note}" for note in found.notes)])
