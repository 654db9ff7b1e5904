"""How thick the wires have to be: for a wanted drop, and for the current they carry.

``wire_for``
    the thinnest stocked gauge for a current over a distance
``wire_plan``
    one for every feed and hop of a panel, solved again with them until nothing changes
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from numpy.typing import ArrayLike

from inrushlib.build import Build
from inrushlib.copper import AMPACITY_TABLES, ampacity, awg_area, wire_resistance
from inrushlib.errors import BuildError, SolverError
from inrushlib.panel import PanelState, solve_panel

CONTINUOUS_FACTOR = 1.25
"""Rating wanted over the running current: 125 % of a continuous load (NEC 210.20(A), 215.3)."""
MOST_ROUNDS = 12


@dataclass(frozen=True)
class Wire:
    """A wire that is thick enough.

    Attributes
    ----------
    name : str
        "feed to section 0", "hop 0-1".
    current : float
        It carries [A].
    length : float
        One way [m].
    gauge : int
        Stocked gauge [AWG].
    resistance : float
        Of the loop, hot [ohm].
    drop : float
        Along the loop [V].
    ampacity : float
        Rating of the gauge [A].
    table : str
        Where the rating comes from.
    decided_by : str
        "drop" or "ampacity": which asked for the thicker wire.
    """

    name: str
    current: float
    length: float
    gauge: int
    resistance: float
    drop: float
    ampacity: float
    table: str
    decided_by: str


@dataclass(frozen=True)
class WirePlan:
    """Wires for every feed and hop, and the panel with them."""

    feeds: tuple[Wire, ...]
    hops: tuple[Wire, ...]
    state: PanelState


def wire_for(
    current: float,
    length: float,
    highest_drop: float,
    *,
    table: str = "chassis wiring",
    celsius: float = 40.0,
    name: str = "wire",
) -> Wire:
    """The thinnest gauge that keeps the drop of a loop within a limit, and the current within its rating.

    ``2 * length * rho(T) / area * current <= highest_drop`` and ``1.25 * current <= ampacity``.

    Parameters
    ----------
    current : float
        Running current [A], 0 or more.
    length : float
        Distance, one way [m], 0 or more.
    highest_drop : float
        Supply and return together [V], above 0.
    table : str
        Ampacity table [-], a key of ``AMPACITY_TABLES``; its gauges are those to choose from.
    celsius : float
        Temperature of the copper [C], -60 to 250.
    name : str
        For messages [-].

    Returns
    -------
    Wire
        The choice; an error where the table's thickest gauge is not enough.

    Notes
    -----
    Solid copper, IACS. Stranded wire has 3-4 % more. Contacts are not in it. Source of the factor 1.25: NEC
    210.20(A), continuous load.

    Examples
    --------
    >>> wire_for(3.0, 1.0, 0.1).gauge, wire_for(3.0, 1.0, 1.0).gauge
    (16, 22)
    """
    if not (current >= 0.0 and length >= 0.0 and highest_drop > 0.0):
        raise BuildError(
            f"{name}: {current:g} A over {length:g} m with a drop of {highest_drop:g} V; accepted: current and"
            " length 0 or more, a drop above 0"
        )
    if table not in AMPACITY_TABLES:
        raise BuildError(f"ampacity table: {table!r}; accepted: one of {', '.join(AMPACITY_TABLES)}")
    gauges = sorted(AMPACITY_TABLES[table].amperes, reverse=True)
    drops = {each: wire_resistance(2.0 * length, awg_area(each), celsius) * current for each in gauges}
    for_drop = [each for each in gauges if drops[each] <= highest_drop]
    for_heat = [each for each in gauges if ampacity(each, table) >= CONTINUOUS_FACTOR * current]
    if not for_drop or not for_heat:
        wanted = f"a drop of {highest_drop:g} V" if not for_drop else f"{CONTINUOUS_FACTOR:g} times its current"
        raise BuildError(
            f"{name}: {current:.3g} A over {length:g} m; accepted: what {gauges[-1]} AWG, the thickest of the"
            f" table {table!r}, carries with {wanted}; add feeds or shorten the way"
        )
    gauge = min(for_drop[0], for_heat[0])
    return Wire(
        name=name,
        current=current,
        length=length,
        gauge=gauge,
        resistance=wire_resistance(2.0 * length, awg_area(gauge), celsius),
        drop=drops[gauge],
        ampacity=ampacity(gauge, table),
        table=table,
        decided_by="drop" if for_drop[0] < for_heat[0] else "ampacity",
    )


def wire_plan(
    build: Build,
    feed_lengths: Sequence[float],
    hop_lengths: Sequence[float],
    *,
    highest_feed_drop: float = 0.1,
    highest_hop_drop: float = 0.05,
    contact_resistance: float = 0.0,
    colour: ArrayLike = (1.0, 1.0, 1.0),
    table: str = "chassis wiring",
    celsius: float = 40.0,
) -> WirePlan:
    """Gauges for every feed and hop of a panel, with the currents that flow once they are in.

    The panel is solved, wires are chosen with :func:`wire_for`, and it is solved again with their
    resistances; a wire only ever gets thicker, until none has to. One may end a gauge thicker than the last
    currents ask for.

    Parameters
    ----------
    build : Build
        The build [SI]; its feed and hop resistances are where the search starts.
    feed_lengths : sequence of float
        Length of each feed, one way [m], 0 or more.
    hop_lengths : sequence of float
        Length of each hop, one way [m], 0 or more.
    highest_feed_drop, highest_hop_drop : float
        Along each loop, contacts not counted [V], above 0.
    contact_resistance : float
        Of the contacts in each loop [ohm], 0 or more.
    colour : array
        Duty of red, green and blue [-], 0 to 1: the brightest picture to be shown.
    table : str
        Ampacity table [-].
    celsius : float
        Temperature of the copper [C], -60 to 250.

    Returns
    -------
    WirePlan
        Wires and the panel with them.
    """
    wiring = build.wiring
    for thing, lengths, wanted in (
        ("feed_lengths", feed_lengths, len(wiring.feeds)),
        ("hop_lengths", hop_lengths, wiring.sections - 1),
    ):
        if len(lengths) != wanted:
            raise BuildError(f"{thing}: {len(lengths)} of them; accepted: {wanted}")
    names = [f"feed to section {section}" for section in wiring.feeds]
    names += [f"hop {section}-{section + 1}" for section in range(wiring.sections - 1)]
    lengths = [*feed_lengths, *hop_lengths]
    limits = [highest_feed_drop] * len(feed_lengths) + [highest_hop_drop] * len(hop_lengths)
    state = solve_panel(build, colour)
    count = len(feed_lengths)
    largest = [0.0] * len(lengths)
    for _ in range(MOST_ROUNDS):
        currents = [abs(float(each)) for each in (*state.feed_currents, *state.hop_currents)]
        largest = [max(pair) for pair in zip(largest, currents, strict=True)]
        wires = [
            wire_for(current, length, limit, table=table, celsius=celsius, name=name)
            for current, length, limit, name in zip(largest, lengths, limits, names, strict=True)
        ]
        build = build.with_values(_resistances(wires, count, contact_resistance))
        state = solve_panel(build, colour)
        settled = [abs(float(each)) for each in (*state.feed_currents, *state.hop_currents)]
        if all(new <= old * (1.0 + 1e-6) for new, old in zip(settled, largest, strict=True)):
            break
    else:
        raise SolverError(f"wire plan: gauges still change after {MOST_ROUNDS} rounds; accepted: none changes")
    # Chosen for the largest currents on the way there; what is told is what flows with all of them in place.
    wires = [
        replace(wire, current=current, drop=wire.resistance * current)
        for wire, current in zip(wires, settled, strict=True)
    ]
    return WirePlan(tuple(wires[:count]), tuple(wires[count:]), state)


def _resistances(wires: Sequence[Wire], feeds: int, contact: float) -> dict[str, list[float]]:
    # A wire of no length still has the resistance of a solder joint, which the model needs above zero.
    loops = [max(wire.resistance + contact, 1e-6) for wire in wires]
    values = {"wiring.feed_resistance": loops[:feeds]}
    if len(loops) > feeds:
        values["wiring.hop_resistance"] = loops[feeds:]
    return values
