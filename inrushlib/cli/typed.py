"""Values as they are typed on the command line.

``quantity_of``   a number with its unit
``parse_colour``, ``duties_of``
                  three duties, to and fro
"""

from __future__ import annotations

from inrushlib.errors import UsageError
from inrushlib.quantities import parse_quantity


def quantity_of(name: str, text: str, unit: str) -> float:
    """Return a typed value [``unit``].

    Parameters
    ----------
    name : str
        What it is a value of, for the message.
    text : str
        As typed, such as ``"5 cm"``.
    unit : str
        The SI unit that is wanted.

    Raises
    ------
    UsageError
        Where it cannot be read in that unit.

    Examples
    --------
    >>> quantity_of("length", "5 cm", "m")
    0.05
    """
    try:
        return parse_quantity(text, unit)
    except ValueError as error:
        raise UsageError(f"{name}: {error}") from None


def parse_colour(text: str) -> tuple[float, float, float]:
    """Return three duties [1].

    Parameters
    ----------
    text : str
        Red, green and blue, 0 to 1, with commas between.

    Raises
    ------
    UsageError
        Where they are not three numbers, 0 to 1.

    Examples
    --------
    >>> parse_colour("1, 0.5, 0")
    (1.0, 0.5, 0.0)
    """
    try:
        red, green, blue = (float(part) for part in text.split(","))
    except ValueError:
        raise UsageError(f"--colour {text}; accepted: three duties 0 to 1, such as 1,1,1") from None
    if not all(0.0 <= duty <= 1.0 for duty in (red, green, blue)):
        raise UsageError(f"--colour {text}; accepted: three duties 0 to 1, such as 1,1,1")
    return red, green, blue


def duties_of(colour: tuple[float, float, float]) -> str:
    """Return the duties as they are typed.

    Parameters
    ----------
    colour : tuple of float
        Duties of red, green and blue [1].
    """
    return ", ".join(f"{duty:g}" for duty in colour)
