"""What could still go wrong with a remedy, in sentences from the numbers of its start.

``risks``          the sentences
``dip_verdicts``   how starts end that see a mains dip once they run
"""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.build import Build
from inrushlib.quantities import format_quantity, in_percent
from inrushlib.remedies.plans import stays_lit
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.search.running import running_current
from inrushlib.startup import Startup, Stressed, Verdict, screen_many

THIN_RAIL = 0.2  # [V] above the reset level that a rail should keep
SHORT_FLASH = 0.02  # [s] that hardly anyone sees; common practice, no source
NARROW_WINDOW = 3.0  # latest over earliest delay
BEYOND = 1.05  # times the label that the lead's peak has to be to be mentioned
DIP = 0.1  # [s] of mains away, once everything runs
RUNS_ON = 0.05  # [s] from ready to the dip
NEAR = 20.0  # [K] below the highest junction temperature


def risks(start: Startup, dip: Verdict | None, window: tuple[float, float] | None = None) -> tuple[str, ...]:
    """Return what could still go wrong.

    Parameters
    ----------
    start : Startup
        Of the changed build.
    dip : Verdict or None
        How it ends with a mains dip; None where that was not tried.
    window : tuple of float or None
        Range of first frame delay that boots [s], where one was looked for.
    """
    found = _overstress(start)
    found += [] if start.verdict is Verdict.BOOTS else [f"It does not boot: {start.reason}."]
    if start.verdict.starts:
        found += [*_rail(start), *_window(window)]
    found += [*_flash(start), *_adapter(start), *_junction(start)]
    if dip is not None and not dip.starts:
        found.append(f"A mains dip of {_said(DIP, 's')} once it runs ends in: {dip}.")
    f = start.build.firmware
    if f.refresh_interval == 0 and f.content_delay is None:
        found.append("Only one frame is ever sent: what misses it stays lit.")
    return tuple(found)


def dip_verdicts(starts: Sequence[Startup]) -> dict[int, Verdict]:
    """Return how those of ``starts`` that boot end with a mains dip once they run, by ``id`` of the start.

    Starts whose build has interruptions of its own are left out.
    """
    some = [s for s in starts if s.verdict is Verdict.BOOTS and not s.build.run.interruptions]
    answers = screen_many([_dipped(start) for start in some]) if some else None
    return {} if answers is None else {id(start): answers.verdict(i) for i, start in enumerate(some)}


def _dipped(start: Startup) -> Build:
    off = (start.ready_at or 0.0) + RUNS_ON
    values = {"run.interruptions": [[off, off + DIP]], "run.duration": off + DIP + start.build.run.duration}
    return start.build.with_values(values)


def _said(value: float, unit: str) -> str:
    return format_quantity(value, unit, digits=3)


def _rail(start: Startup) -> list[str]:
    low, level = start.figures.lowest_rail_voltage, start.build.controller.brownout_falling
    if low is None or low - level >= THIN_RAIL:
        return []
    if low <= level:
        return [f"The rail falls to {_said(max(low, 0.0), 'V')}, below the reset level, before it boots."]
    return [f"The rail dips to {_said(low, 'V')}, only {_said(low - level, 'V')} above the reset level."]


def _window(window: tuple[float, float] | None) -> list[str]:
    if window is None or window[1] > NARROW_WINDOW * max(window[0], 1e-9):
        return []
    low, high = (_said(edge, "s") for edge in window)
    return [f"The first frame has to start between {low} and {high} after the program begins."]


def _flash(start: Startup) -> list[str]:
    lit = start.figures.lit_before_data
    if lit < SHORT_FLASH or not any(start.build.pixel.power_on):
        return []
    if not start.verdict.starts:
        return [f"The display is lit for {_said(lit, 's')} of the {_said(start.build.run.duration, 's')} watched."]
    return [f"The display is lit for {_said(lit, 's')} before the first data."]


def _adapter(start: Startup) -> list[str]:
    label, peak = start.build.adapter.rated_current, start.figures.peak_lead_current
    found = []
    if peak > BEYOND * label:
        times = f"{peak / label:.1f}" if peak < 10 * label else f"{peak / label:.0f}"
        found.append(f"The lead peaks at {_said(peak, 'A')}, {times} times the adapter's label.")
    running = running_current(start.build)
    if running is not None and running > CONTINUOUS_SHARE * label:
        found.append(f"The running picture draws {_said(running, 'A')}, {in_percent(running / label)} of the label; "
                     f"{in_percent(CONTINUOUS_SHARE)} is what it should carry without end.")  # fmt: skip
    return found


def _overstress(start: Startup) -> list[str]:
    """What sees more than it stands, the switch aside, which :func:`_junction` has more to say about."""
    return [
        f"{each.words[:1].upper()}{each.words[1:]}: {each.cause.advice}."
        for each in start.overstressed
        if each.part is not Stressed.SWITCH
    ]


def _junction(start: Startup) -> list[str]:
    switch, hottest = start.build.switch, start.figures.highest_junction_temperature
    if switch is None or hottest is None:
        return []
    found, most = [], f"absolute maximum {switch.highest_junction:.0f}"
    if hottest > switch.highest_junction:
        found.append(f"The switch gets too hot: {hottest:.0f} degrees C, {most}.")
    elif hottest > switch.highest_junction - NEAR:
        found.append(f"The switch gets to {hottest:.0f} degrees C, {most}.")
    lit = stays_lit(start)
    if hottest <= switch.highest_junction < lit:
        found.append(f"Should the program stop with the display lit, the switch gets to {lit:.0f} degrees C.")
    return found
