"""What was read for ``inrush from``, as measured values: with the interval that the instruments leave.

``of_lit_pixels``  what pixels draw together
``of_loads``       a supply's voltage at two loads
``of_wire``        a wire by its length and gauge

Each takes the build before and after what follows went into it, and returns rows for its log. A track on a board is not
among them: its copper is told by the order for the board, not measured.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from math import sqrt
from typing import Final

from inrushlib.build import Build
from inrushlib.copper import wire_resistance
from inrushlib.guide import formulas
from inrushlib.guide.deck import deviation
from inrushlib.guide.rows import one_value, rows_of
from inrushlib.guide.uncertainty import Instrument, Known, ammeter_for, propagate
from inrushlib.measurements import MeasurementLog
from inrushlib.odds import key_ranges
from inrushlib.parts import WireRun, from_loads

OF_PIXEL: Final = 0.01
"""Share by which the pixels of a tile draw otherwise than those beside them [1]; common practice, no source."""
OF_COPPER: Final = 0.13
"""Share by which a wire's resistance may be off from that of its gauge in ideal copper [1]: IEC 60228, class 5."""


def of_lit_pixels(before: Build, after: Build, current: float, pixels: int, day: date) -> MeasurementLog:
    """Channel current of pixels that draw a current together, all white.

    Parameters
    ----------
    before, after : Build
        The build without and with the value.
    current : float
        What they draw [A].
    pixels : int
        How many are lit [1].
    day : date
        When it was read.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 64})
    >>> after = build.with_values({"pixel.channel_current": "7.613 mA"})
    >>> (row,) = of_lit_pixels(build, after, 1.5, 64, date(2026, 3, 1)).rows
    >>> row.value, round(row.low, 5), round(row.high, 5)
    (0.007613, 0.00731, 0.00791)
    """
    chip = "pixel.quiescent_current"
    own = next((each for each in key_ranges(before) if each.key == chip), None)
    # Half the width of an even distribution of the same standard deviation.
    known = Known(chip, before.pixel.quiescent_current, 0.0 if own is None else sqrt(3) * deviation(own))
    worked = propagate(
        lambda readings, chips: ((readings[0] / pixels - chips[0]) / 3,), (current,), (ammeter_for(current),), (known,),
        OF_PIXEL,
    )  # fmt: skip
    key = "pixel.channel_current"
    return rows_of(before, (key,), (after.get(key),), worked, "lit pixels", day)


def of_loads(
    before: Build, after: Build, light: tuple[float, float], heavy: tuple[float, float], day: date
) -> MeasurementLog:
    """Output resistance and voltage, or the limit, of a supply from its voltage at two loads.

    Parameters
    ----------
    before, after : Build
        The build without and with what :func:`inrushlib.parts.from_loads` found.
    light, heavy : tuple of float
        Current [A] and voltage at the plug [V] of each.
    day : date
        When it was read.

    Notes
    -----
    Where a supply folds back or trips, its limit begins at more than it gives once it is in it: no upper end is told.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> after = build.with_values({"adapter.rated_voltage": 5.105, "adapter.output_resistance": 0.05})
    >>> log = of_loads(build, after, (0.1, 5.1), (2.1, 5.0), date(2026, 3, 1))
    >>> [(row.key, round(row.low, 3), round(row.high, 3)) for row in log.rows]
    [('adapter.rated_voltage', 5.076, 5.134), ('adapter.output_resistance', 0.048, 0.052)]
    """
    source, key = "two loads", "adapter.limit_current"
    most = from_loads([light, heavy]).values.get(key)
    if most is not None:
        worked = propagate(lambda readings, _: readings, (most,), (ammeter_for(most),), (), 0.0)
        log = rows_of(before, (key,), (after.get(key),), worked, source, day)
        open_above = after.adapter.limit_style != "constant-current"
        return MeasurementLog(tuple(replace(row, high=None) for row in log.rows)) if open_above else log
    on = (Instrument.VOLTMETER, ammeter_for(light[0]), Instrument.VOLTMETER, ammeter_for(heavy[0]))
    readings = (light[1], light[0], heavy[1], heavy[0])
    worked = propagate(lambda line, _: formulas.load_line(*line), readings, on, (), 0.0)
    keys = ("adapter.rated_voltage", "adapter.output_resistance")
    return rows_of(before, keys, [after.get(key) for key in keys], worked, source, day)


def of_wire(before: Build, after: Build, run: WireRun, length: float, area: float, day: date) -> MeasurementLog:
    """Resistance of a wire that was measured with a tape, its gauge read off its jacket.

    Parameters
    ----------
    before, after : Build
        The build without and with what :func:`inrushlib.parts.from_wire` found.
    run : WireRun
        What it is.
    length : float
        One way [m].
    area : float
        Copper of each conductor [m2].
    day : date
        When it was measured.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> after = build.with_values({"lead.length": 2.0, "lead.gauge": "0.5 mm2"})
    >>> (row,) = of_wire(build, after, WireRun.LEAD, 2.0, 0.5e-6, date(2026, 3, 1)).rows
    >>> row.key, round(row.low, 3), round(row.value, 3), round(row.high, 3)
    ('lead.resistance', 0.118, 0.138, 0.158)
    """
    key = run.keys[2]
    value = one_value(after.get(key))
    if value is None:
        return MeasurementLog()  # there is no such wire
    copper = wire_resistance(2.0 * length, area)
    worked = propagate(
        lambda readings, _: (value + copper * (readings[0] / length - 1.0),), (length,), (Instrument.TAPE,), (),
        OF_COPPER,
    )  # fmt: skip
    return rows_of(before, (key,), (value,), worked, f"{run.value}, length and gauge", day)
