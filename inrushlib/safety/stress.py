"""What a switch has to stand, as found: its heat, what it lets through while off, and all of it together."""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.safety.finding import Finding
from inrushlib.startup import Headline, Verdict


@dataclass(frozen=True, kw_only=True)
class Heating:
    """The switch's heat in one start; SI, temperatures in degrees Celsius.

    Attributes
    ----------
    verdict : Verdict
        How the start ends, whatever it does to its parts.
    headline : Headline
        The same, and what it overstresses.
    hottest_junction, hottest_at : float
        Through the Foster ladder, over the whole run [C], and when [s].
    energy : float
        Turned into heat in the switch over the whole run [J].
    closing_energy : float
        From when it is first told to close until all pixels show data, or to the end of the run [J]; 0 where it
        never is.
    steady_power : float
        Mean over the last tenth of the run [W].
    steady_junction : float
        Where that power takes the junction in the long run: ambient + power * sum of thermal_resistances [C].
    duration : float
        Of the run [s].
    """

    verdict: Verdict
    headline: Headline
    hottest_junction: float
    hottest_at: float
    energy: float
    closing_energy: float
    steady_power: float
    steady_junction: float
    duration: float


@dataclass(frozen=True, kw_only=True)
class OffState:
    """A power-on during which the program never closes the switch; SI.

    Attributes
    ----------
    driver : str
        ``"transistor"``, ``"pin"`` or, for a load switch, ``"load switch"``.
    start : str
        ``"mains"`` or ``"plug"``.
    peak_current, peak_at : float
        Largest current that it lets into the panel [A], and when [s].
    highest_panel_voltage : float
        That the panel reaches [V].
    settled_drive : float or None
        Gate-source voltage left at the end, positive towards on [V]; None for a load switch.
    settled_current : float
        Let into the panel at the end [A].
    hottest_junction : float
        [C].
    """

    driver: str
    start: str
    peak_current: float
    peak_at: float
    highest_panel_voltage: float
    settled_drive: float | None
    settled_current: float
    hottest_junction: float


@dataclass(frozen=True, kw_only=True)
class SwitchStress:
    """What the switch of a build has to stand; SI, None where it does not apply.

    Attributes
    ----------
    start : Heating
        The build's own start, long enough for its running picture.
    stays_lit : Heating
        The same where pixels never take data and keep their power-on colour, until the junction has settled.
    lowest_bus_voltage, lowest_bus_at : float or None
        While the switch is told to be on, in the build's own start [V], [s]; None where it never is.
    drive_at_lowest : float or None
        Settled gate drive at that bus voltage, v_b * pullup / (pullup + gate_resistance) [V]; None for a load switch.
    on_resistance_at_lowest : float or None
        On-resistance with that drive, of the square law [ohm]; None where the drive is not above the threshold.
    plug_in_drive : float or None
        What an infinitely fast plug divides onto the gate, v * C_gd / (C_gs + C_gd) [V].
    plugged : OffState
        Plugging in with the build's own driver, the adapter being on.
    transistor, pin : OffState or None
        The build's own start with an open-drain transistor, and with the controller's bare pin, as driver.
    findings : tuple of Finding
        In words, worst first.
    """

    start: Heating
    stays_lit: Heating
    lowest_bus_voltage: float | None
    lowest_bus_at: float | None
    drive_at_lowest: float | None
    on_resistance_at_lowest: float | None
    plug_in_drive: float | None
    plugged: OffState
    transistor: OffState | None
    pin: OffState | None
    findings: tuple[Finding, ...]
