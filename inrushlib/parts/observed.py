"""From what a builder can see or measure to the keys of a build file.

``from_lit_pixels``
    "one tile draws 1.5 A all white" to the current of a channel
``from_wire``
    "a jumper of 30 AWG, 5 cm" to the keys of jumpers, feed wires or the lead
``from_track``
    "2 oz copper, 3 mm wide, 60 mm" to the rail between pixels
``from_loads``
    "the charger's voltage at two loads" to its output resistance and its limit
``Observed``
    the keys that were found, and what goes with them
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum

from inrushlib.copper import OUNCE, track_current, wire_resistance
from inrushlib.errors import UsageError
from inrushlib.parts.pixel import Pixel
from inrushlib.quantities import format_quantity

SAGGED = 0.06
"""Share of the highest voltage by which a supply that still regulates may have fallen: 3 % of load regulation and as
much again for lead and plugs (common practice, no source)."""
FIGURES = {"loop_resistance": ("loop, supply and return", "ohm"), "current_of_a_pixel": ("each pixel", "A")}
"""Words and unit of what follows beside the keys, by its name."""
TRACK_RISE = 10.0  # [K] at which a track's current is told


class WireRun(Enum):
    """What a wire of a build is."""

    HOP = "hop"
    FEED = "feed"
    LEAD = "lead"

    @property
    def keys(self) -> tuple[str, str, str]:
        """Keys of its length, its gauge and its resistance."""
        if self is WireRun.LEAD:
            return "lead.length", "lead.gauge", "lead.resistance"
        return f"wiring.{self.value}_length", f"wiring.{self.value}_gauge", f"wiring.{self.value}_resistance"


@dataclass(frozen=True, kw_only=True)
class Observed:
    """Keys of a build that follow from what was seen.

    Attributes
    ----------
    values : dict of str to float
        By dotted key [unit of the key, SI], ready for ``Build.with_values`` or a build file.
    figures : dict of str to float
        What else follows, by name [unit as its name says, SI].
    notes : tuple of str
        What was taken for granted, in sentences.
    """

    values: dict[str, float]
    figures: dict[str, float] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


def from_lit_pixels(
    current: float, pixels: int, *, colour: tuple[float, float, float] = (1.0, 1.0, 1.0), quiescent: float | None = None
) -> Observed:
    """Channel current of pixels that draw a current together.

    ``channel_current = (current / pixels - quiescent_current) / (red + green + blue)``

    Parameters
    ----------
    current : float
        What all of them draw in one colour [A], above 0.
    pixels : int
        How many there are [1], 1 or more.
    colour : tuple of float
        Duty of red, green and blue [1], 0 to 1, not all 0.
    quiescent : float or None
        What a dark pixel draws [A], 0 or more; None for the default.

    Returns
    -------
    Observed
        ``pixel.channel_current``; ``pixel.quiescent_current`` where it was given.

    Raises
    ------
    UsageError
        For counts and currents that cannot be.

    Notes
    -----
    Holds while the supply at the pixels is high enough for every channel to regulate: measure at the nearest tile, with
    its supply above some 4.5 V. Source: Kirchhoff's law of currents.

    Examples
    --------
    >>> round(from_lit_pixels(1.5, 64).values["pixel.channel_current"] * 1e3, 2)
    7.61
    """
    dark = Pixel().quiescent_current if quiescent is None else quiescent
    if pixels < 1 or not current > 0.0 or dark < 0.0:
        raise UsageError(
            f"{_said(current, 'A')} of {pixels} pixels with {_said(dark, 'A')} each when dark; accepted: a current"
            " above 0, 1 pixel or more, a dark current of 0 or more"
        )
    if not sum(colour) > 0.0 or not all(0.0 <= duty <= 1.0 for duty in colour):
        shown = ",".join(f"{duty:g}" for duty in colour)
        raise UsageError(f"colour {shown}; accepted: three duties 0 to 1 that are not all 0")
    channel = (current / pixels - dark) / sum(colour)
    if channel <= 0.0:
        raise UsageError(
            f"{_said(current, 'A')} of {pixels} pixels; accepted: more than the {_said(pixels * dark, 'A')} that they"
            " draw when dark"
        )
    values = {"pixel.channel_current": channel}
    if quiescent is not None:
        values["pixel.quiescent_current"] = quiescent
    note = f"{_said(dark, 'A')} a pixel counted for the chip, every channel regulating: with some 4.5 V or more there."
    return Observed(values=values, figures={"current_of_a_pixel": current / pixels}, notes=(note,))


def from_wire(run: WireRun, length: float, area: float, *, pairs: int = 1, contacts: float = 0.0) -> Observed:
    """Keys of a wire, supply and return alike.

    ``R = 2 * rho * length / (pairs * area) + contacts``

    Parameters
    ----------
    run : WireRun
        What it is: a jumper between sections, a feed wire, the lead.
    length : float
        One way [m], above 0.
    area : float
        Copper of each conductor [m2], above 0.
    pairs : int
        Pairs of conductors side by side [1], 1 or more.
    contacts : float
        Of plugs and joints, supply and return together [ohm], 0 or more.

    Returns
    -------
    Observed
        Length and gauge where they say it all, else the resistance; ``figures`` has the loop's resistance.

    Raises
    ------
    UsageError
        For a length, a gauge or counts that cannot be.

    Notes
    -----
    Solid copper at 20 C; stranded wire has 3 % to 4 % more. Source: NBS Handbook 100 (1966), ASTM B258.

    Examples
    --------
    >>> from inrushlib.copper import awg_area
    >>> round(from_wire(WireRun.HOP, 0.05, awg_area(30)).figures["loop_resistance"] * 1e3, 1)
    33.9
    """
    if pairs < 1 or contacts < 0.0 or not length > 0.0:
        raise UsageError(
            f"{length:g} m, {pairs} pairs, contacts of {_said(contacts, 'ohm')}; accepted: a length above 0, 1 pair or"
            " more, contacts of 0 or more"
        )
    loop = wire_resistance(2.0 * length, area) / pairs + contacts
    length_key, gauge_key, resistance_key = run.keys
    plain = pairs == 1 and contacts == 0.0
    values = {length_key: length, gauge_key: area} if plain else {resistance_key: loop}
    return Observed(
        values=values, figures={"loop_resistance": loop},
        notes=("Solid copper at 20 C, supply and return; stranded wire has 3 % to 4 % more.",),
    )  # fmt: skip


def from_track(
    ounces: float, width: float, length: float, pixels: int, *, return_width: float | None = None
) -> Observed:
    """Rail between pixels on a board: a track out and one back.

    ``R = rho * length / thickness * (1 / width + 1 / return_width) / pixels``

    Parameters
    ----------
    ounces : float
        Copper [ounce a square foot], above 0 up to 3.
    width : float
        Of the supply track [m], above 0 up to 10.16 mm.
    length : float
        Of the track [m], above 0.
    pixels : int
        Pixel pitches along it [1], 1 or more.
    return_width : float or None
        Of the return [m], above 0; infinite for a plane; None: as wide as the supply track.

    Returns
    -------
    Observed
        ``wiring.rail_resistance``; ``figures`` has the loop and the current that heats the track by 10 K.

    Raises
    ------
    UsageError
        For copper, widths, a length or a count that cannot be.

    Notes
    -----
    Sources: NBS Handbook 100 (rho = 0.017241 ohm mm2/m at 20 C); IPC-2221 section 6.2 for the current, outer layer;
    one ounce is 1.378 mil, 35 um.

    Examples
    --------
    >>> found = from_track(2.0, 3e-3, 60e-3, 6)
    >>> round(found.figures["loop_resistance"] * 1e3, 2), round(found.values["wiring.rail_resistance"] * 1e3, 2)
    (9.85, 1.64)
    """
    back = width if return_width is None else return_width
    if not (length > 0.0 and back > 0.0) or pixels < 1:
        raise UsageError(
            f"a track of {length:g} m for {pixels} pixels, return {back:g} m wide; accepted: a length and a width above"
            " 0, 1 pixel or more"
        )
    carries = track_current(width, TRACK_RISE, "outer", ounces * OUNCE)  # refuses what is no track
    thickness = ounces * OUNCE
    out = wire_resistance(length, width * thickness)
    loop = out + (0.0 if back == float("inf") else wire_resistance(length, back * thickness))
    return Observed(
        values={"wiring.rail_resistance": loop / pixels},
        figures={"loop_resistance": loop, "track_current": carries},
        notes=(
            f"The track carries {_said(carries, 'A')} for {TRACK_RISE:g} K of rise on an outer layer (IPC-2221, 6.2).",
        ),
    )


def from_loads(readings: Sequence[tuple[float, float]]) -> Observed:
    """Output resistance and limit of a supply from its voltage at two loads or more.

    Readings within 6 % of the highest voltage are taken to regulate; a straight line through them (least squares) is
    ``V = rated_voltage - output_resistance * I``. One that sags further is in the limit, and its current is the limit.

    Parameters
    ----------
    readings : sequence of (float, float)
        Current [A], 0 or more, and voltage at its plug [V], above 0, of each; two or more currents.

    Returns
    -------
    Observed
        ``adapter.rated_voltage`` and ``adapter.output_resistance`` where two readings regulate;
        ``adapter.limit_current`` where one is in the limit.

    Raises
    ------
    UsageError
        For fewer than two loads, or a voltage that rises with the load.

    Notes
    -----
    A supply that folds back or trips gives less in its limit than where the limit begins: the limit is then at least
    what is told. The lead counts as part of the output where the voltage was taken behind it. Source: Ohm's law.

    Examples
    --------
    >>> found = from_loads([(0.1, 5.095), (2.0, 5.0), (2.4, 3.1)]).values
    >>> round(found["adapter.output_resistance"], 3), round(found["adapter.rated_voltage"], 2)
    (0.05, 5.1)
    >>> found["adapter.limit_current"]
    2.4
    """
    if len({current for current, _ in readings}) < 2 or not all(i >= 0.0 and v > 0.0 for i, v in readings):
        raise UsageError(
            f"{len(readings)} readings; accepted: two different loads or more, each a current of 0 or more and a"
            " voltage above 0"
        )
    highest = max(volts for _, volts in readings)
    regulated = [(i, v) for i, v in readings if v >= (1.0 - SAGGED) * highest]
    sagged = [i for i, v in readings if v < (1.0 - SAGGED) * highest]
    values: dict[str, float] = {}
    notes: list[str] = []
    if len({i for i, _ in regulated}) >= 2:
        slope, open_voltage = _line(regulated)
        if slope <= 0.0:
            raise UsageError(
                "the voltage does not fall with the load; accepted: readings at loads far enough apart for the meter"
            )
        values |= {"adapter.rated_voltage": open_voltage, "adapter.output_resistance": slope}
    else:
        notes.append(
            "Only one load at which it regulates: it does not determine the output resistance, take a lighter load too."
        )
    if sagged:
        values["adapter.limit_current"] = max(sagged)
        notes.append("The limit is at least this where it folds back: see limit_style.")
    else:
        most = max(i for i, _ in readings)
        notes.append(f"It regulates up to {_said(most, 'A')}: the limit lies higher and stays undetermined.")
    return Observed(values=values, notes=tuple(notes))


def _line(readings: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Fall with the current [ohm], and voltage without load [V], of the line through readings."""
    count = len(readings)
    mean_i = sum(i for i, _ in readings) / count
    mean_v = sum(v for _, v in readings) / count
    spread = sum((i - mean_i) ** 2 for i, _ in readings)
    slope = -sum((i - mean_i) * (v - mean_v) for i, v in readings) / spread
    return slope, mean_v + slope * mean_i


def _said(value: float, unit: str) -> str:
    return format_quantity(value, unit, digits=3)
