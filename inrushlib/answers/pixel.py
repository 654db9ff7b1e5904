"""A pixel's law from a bench table, ready to be put into a build file."""

from __future__ import annotations

from inrushlib.answers.blocks import Answer, Facts, Listing, Value, Words
from inrushlib.build import build_keys
from inrushlib.document import build_lines
from inrushlib.quantities import format_uncertain
from inrushlib.trace import BenchFit, BenchTable, BenchValue

MEASURED = 0.0  # what a bench tells has no resolution of the model's


def pixel_answer(table: BenchTable, fit: BenchFit) -> Answer:
    """Return the values, each with its standard error or why there is none.

    Parameters
    ----------
    table : BenchTable
        The readings.
    fit : BenchFit
        The law fitted to them.
    """
    values = {f"pixel.{key}": value for key, value in fit.values.items()}
    rows: list[tuple[str, Words]] = [(key, _value(value, build_keys()[key].unit)) for key, value in values.items()]
    forward: list[Words] = []
    for number, volts in enumerate(fit.forward_voltages):
        forward += [", " if number else "", Value(volts, "V", MEASURED)]
    rows.append(("pixel.forward_voltages", tuple(forward)))
    rows.append(("readings off the law, rms", Value(fit.rms, "A", MEASURED)))
    lines = Listing(tuple(build_lines(fit.build_values)), "For the build file")
    return Answer(table.name, True, (Facts(tuple(rows), f"From {len(table.current)} readings"), lines))


def _value(value: BenchValue, unit: str) -> Words:
    if value.error is None:
        return (Value(value.value, unit, MEASURED), ", ", value.note)
    return " +- ".join(format_uncertain(value.value, value.error, unit))
