"""What the builder carries into the firmware: names, values, units.

``firmware_constants``  gate delay, first frame delay, brightness caps
``FirmwareConstant``    one of them
"""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.quantities import in_percent
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.search.caps import FULL, BrightnessCaps, NoCap
from inrushlib.search.rerun import rerun
from inrushlib.search.window import DelayWindow, NoWindow, with_delay


@dataclass(frozen=True)
class FirmwareConstant:
    """One value for the firmware.

    Attributes
    ----------
    name : str
        Such as ``"first frame delay"``.
    value : int
        Whole [unit].
    unit : str
        ``"us"``, or ``"of 255"``.
    meaning : str
        What it is counted from, in words.
    """

    name: str
    value: int
    unit: str
    meaning: str


def firmware_constants(
    build: Build, caps: BrightnessCaps, window: DelayWindow | NoWindow | None = None
) -> tuple[FirmwareConstant, ...]:
    """What the builder carries into the firmware; values, no code.

    Parameters
    ----------
    build : Build
        The build [SI].
    caps : BrightnessCaps
        Its caps; those for a lasting load are carried over.
    window : DelayWindow, NoWindow or None
        Its delay window; the recommended delay then takes the place of the build's own, unless the start with it
        is worse.

    Returns
    -------
    tuple of FirmwareConstant
        Gate delay (with a switch), first frame delay, the cap that holds for any picture and that for the
        build's own.
    """
    delay, origin = _first_frame(build, caps, window)
    found = []
    if build.switch is not None:
        meaning = "from the first line of the program to closing the switch"
        found.append(FirmwareConstant("gate delay", round(1e6 * build.firmware.gate_delay), "us", meaning))
    meaning = f"from the first line of the program to the first frame; {origin}"
    found.append(FirmwareConstant("first frame delay", round(1e6 * delay), "us", meaning))
    for name, cap in (("brightness cap, any picture", caps.white), ("brightness cap, this picture", caps.picture)):
        meaning = f"scales every channel; {cap.picture} at {in_percent(CONTINUOUS_SHARE)} of every rating"
        if isinstance(cap.continuous, NoCap):
            meaning += f"; {cap.continuous.reason}"
        found.append(FirmwareConstant(name, cap.continuous.shown_level, f"of {FULL}", meaning))
    return tuple(found)


def _first_frame(build: Build, caps: BrightnessCaps, window: DelayWindow | NoWindow | None) -> tuple[float, str]:
    """Return the first frame delay to carry over [s], and where it comes from."""
    own = "as in the build" if caps.start.good else f"as in the build, which ends as: {caps.start.words}"
    if not isinstance(window, DelayWindow):
        return build.firmware.first_frame_delay, own
    tried = rerun(caps.start, with_delay(build, window.recommended))
    if tried.worsens:
        return (
            build.firmware.first_frame_delay,
            f"{own}; the delay recommended for its window would be worse: {tried.after.words}",
        )
    return window.recommended, f"recommended ({tried.words})"
