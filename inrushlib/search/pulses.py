"""What a dimmed picture draws beside its mean: pulses of the full current.

``picture_pulses``  mean, root mean square and peak of the lead's current while a picture runs
``Pulses``          them, and a sentence for a page

A pixel dims by switching its channels on and off. Right after a latch all pixels switch in step; their clocks differ,
and within some ten milliseconds they drift apart. Both ends are told as a band, for how much of the time they are in
step is not known.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from math import sqrt

from inrushlib.build import Build
from inrushlib.errors import SolverError
from inrushlib.panel import solve_panel
from inrushlib.quantities import format_quantity
from inrushlib.search.running import on_ample_adapter, running_picture

Colour = tuple[float, float, float]


@dataclass(frozen=True)
class Pulses:
    """Current of a running picture.

    Attributes
    ----------
    mean : float
        What a meter shows, and what is drawn at every moment once the pixels have drifted apart [A].
    rms : float
        Root mean square with all pixels in step, which heats copper and fuses [A].
    peak : float
        Highest, with all pixels in step [A].
    """

    mean: float
    rms: float
    peak: float

    @property
    def words(self) -> str:
        """Both ends of the band, in one sentence without its stop."""
        mean, rms, peak = (format_quantity(value, "A", digits=3) for value in (self.mean, self.rms, self.peak))
        return (
            f"the picture's {mean} is a mean, as a meter shows it: its current comes in pulses, between {mean} steady "
            f"(pixels apart) and, for some ten milliseconds after a latch, {rms} rms with peaks of {peak} (all in step)"
        )


def picture_pulses(build: Build, colour: Colour | None = None) -> Pulses | None:
    """Return mean, rms and peak of the lead's current while a picture runs.

    Parameters
    ----------
    build : Build
        Any build.
    colour : tuple of float or None
        Duties of red, green and blue [1]; None for the build's running picture.

    Returns
    -------
    Pulses or None
        None where the steady panel does not settle.

    Notes
    -----
    In step, all channels go on together and each goes off after its duty, so the square of the current is the sum of
    those of each stretch by its length: for one duty d and nothing beside the pixels, rms = I(1) sqrt(d), peak I(1).
    Of an average over all pixels the duty is taken as that of every one: with some brighter than others rms is higher.
    The adapter is taken as ample; one that limits below the peak lets its voltage fall instead. Source: definition of
    the root mean square.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "t", "adapter.rated_current": 4, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 64})
    >>> found = picture_pulses(build, (0.25, 0.25, 0.25))
    >>> found.mean < found.rms < found.peak
    True
    """
    duties = running_picture(build).colour if colour is None else colour
    try:
        mean = _current(build, duties)
        # From the moment at which all that is lit is on, to where only what stays on longest is.
        steps = sorted({0.0, *duties, 1.0})
        currents = [_current(build, _lit(duties, after)) for after in steps[:-1]]
    except SolverError:
        return None
    lengths = [end - start for start, end in itertools.pairwise(steps)]
    squares = sum(length * current**2 for length, current in zip(lengths, currents, strict=True))
    return Pulses(mean, max(mean, sqrt(squares)), max(mean, *currents))


def _lit(duties: Colour, after: float) -> Colour:
    """Return which channels are on once a share of the period has gone."""
    red, green, blue = (1.0 if duty > after else 0.0 for duty in duties)
    return red, green, blue


def _current(build: Build, colour: Colour) -> float:
    return float(solve_panel(on_ample_adapter(build, colour), colour).adapter_current)
