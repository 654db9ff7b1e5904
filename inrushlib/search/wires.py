"""How thick the wires have to be: for a wanted drop, and for the current they carry.

``wire_for``
    the thinnest stocked gauge for a current over a distance
``wire_plan``
    one for every feed and hop of a panel, solved again with them until nothing changes
``CarriedIn``, ``DecidedBy``
    which picture a wire's largest current is from, and which of drop, heat and fuse asked for the thicker wire
``fuse_before``
    what a wire has to stand because of the fuse before it
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike

from inrushlib.build import Build
from inrushlib.copper import AMPACITY_TABLES, ampacity, awg_area, wire_resistance
from inrushlib.errors import SolverError, UsageError
from inrushlib.panel import PanelState, solve_panel
from inrushlib.quantities import format_quantity
from inrushlib.safety.finding import CONTINUOUS_SHARE
from inrushlib.safety.fuse import HIGHEST_LOAD_SHARE, OPENS

CONTINUOUS_FACTOR = 1 / CONTINUOUS_SHARE
"""Rating wanted over the running current: 125 % of a continuous load (NEC 210.20(A), 215.3)."""
MOST_ROUNDS = 12
STIFF = 1e-3  # [ohm] of an adapter whose voltage hardly falls


class CarriedIn(Enum):
    """The picture in which a wire carries most."""

    PICTURE = "this picture"
    POWER_ON = "the power-on colour"


class DecidedBy(Enum):
    """What asked for the thicker wire."""

    DROP = "the drop"
    AMPACITY = "the wire's rating"
    FUSE = "the fuse or limit before it"


@dataclass(frozen=True, kw_only=True)
class Wire:
    """A wire that is thick enough.

    Attributes
    ----------
    name : str
        "feed to section 0", "jumper 0-1".
    current : float
        It carries in the picture that is shown [A].
    carried, carried_in : float, CarriedIn
        The most it has to carry [A], and in which picture.
    length : float
        One way [m].
    gauge : int
        Stocked gauge [AWG].
    resistance : float
        Of the loop, hot [ohm].
    drop : float
        Along the loop in the picture that is shown [V].
    ampacity : float
        Rating of the gauge [A].
    table : str
        Where the rating comes from.
    decided_by : DecidedBy
        Which of drop, heat and fuse asked for the thicker wire.
    stands : float
        Rating that wire and connectors need: 1.25 times what it carries, or the fuse before it [A].
    """

    name: str
    current: float
    carried: float
    carried_in: CarriedIn
    length: float
    gauge: int
    resistance: float
    drop: float
    ampacity: float
    table: str
    decided_by: DecidedBy
    stands: float


@dataclass(frozen=True, kw_only=True)
class WirePlan:
    """Wires for every feed and hop, and the panel with them.

    Attributes
    ----------
    feeds, hops : tuple of Wire
        The wires.
    state, power_on : PanelState
        The panel with them on the largest adapter under consideration, in the picture that is shown and in its
        power-on colour.
    largest_adapter : float or None
        Limit of that adapter [A]; None for one that does not limit.
    own_limit : float
        Limit of the build's own adapter [A].
    """

    feeds: tuple[Wire, ...]
    hops: tuple[Wire, ...]
    state: PanelState
    power_on: PanelState
    largest_adapter: float | None
    own_limit: float

    @property
    def most_current(self) -> float:
        """The most that the largest adapter gives [A]."""
        return max(self.state.adapter_current, self.power_on.adapter_current)

    @property
    def limited(self) -> bool:
        """Whether the largest adapter is in its limit: with a larger one the wires would have to carry more."""
        return self.state.limiting or self.power_on.limiting

    @property
    def from_what(self) -> str:
        """Which current the wires were sized for, and from what, in sentences."""
        shown, lit = (_said(each.adapter_current) for each in (self.state, self.power_on))
        takes = f"{shown} in this picture, {lit} in the power-on colour"
        if self.largest_adapter is None:
            text = f"Sized for what the panel draws from a supply that does not limit: {takes}."
            if self.most_current > self.own_limit:
                own = _said(self.own_limit)
                text += f" The build's adapter gives {own} at most; the wires also stand a larger one in its place."
            return text
        text = f"Sized for an adapter that gives up to {_said(self.largest_adapter)}: {takes}."
        if self.limited:
            text += " It is in its limit: on a larger one these wires would have to carry more, and may burn."
        return text


def _said(amperes: float) -> str:
    return format_quantity(amperes, "A", digits=3)


def wire_for(
    current: float,
    length: float,
    highest_drop: float,
    *,
    power_on: float = 0.0,
    table: str = "chassis wiring",
    celsius: float = 40.0,
    name: str = "wire",
    protected_by: float = 0.0,
) -> Wire:
    """The thinnest gauge that keeps the drop of a loop within a limit, and the current within its rating.

    ``2 * length * rho(T) / area * current <= highest_drop`` and ``1.25 * max(current, power_on) <= ampacity``.

    Parameters
    ----------
    current : float
        Running current [A], 0 or more.
    length : float
        Distance, one way [m], 0 or more.
    highest_drop : float
        Supply and return together [V], above 0.
    power_on : float
        What it carries while the display stays in its power-on colour [A], 0 or more: the drop does not matter then,
        the heat does.
    table : str
        Ampacity table, a key of ``AMPACITY_TABLES``; its gauges are those to choose from.
    celsius : float
        Temperature of the copper [C], -60 to 250.
    name : str
        For messages.
    protected_by : float
        Rating of the fuse before it, or what the supply gives where there is none [A], 0 or more: it stands that.

    Returns
    -------
    Wire
        The choice; an error where the table's thickest gauge is not enough.

    Raises
    ------
    UsageError
        Where the table is not there, or no stocked gauge does.

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
        raise UsageError(
            f"{name}: {current:g} A over {length:g} m with a drop of {highest_drop:g} V; accepted: current and"
            " length 0 or more, a drop above 0"
        )
    if table not in AMPACITY_TABLES:
        raise UsageError(f"ampacity table: {table!r}; accepted: one of {', '.join(AMPACITY_TABLES)}")
    gauges = sorted(AMPACITY_TABLES[table].amperes, reverse=True)
    drops = {each: wire_resistance(2.0 * length, awg_area(each), celsius) * current for each in gauges}
    for_drop = [each for each in gauges if drops[each] <= highest_drop]
    carried = max(current, power_on)
    stands = max(CONTINUOUS_FACTOR * carried, protected_by)
    for_heat = [each for each in gauges if ampacity(each, table) >= stands]
    if not for_drop or not for_heat:
        wanted = f"a drop of {highest_drop:g} V" if not for_drop else f"a rating of {stands:.3g} A"
        raise UsageError(
            f"{name}: {carried if for_drop else current:.3g} A over {length:g} m; accepted: what {gauges[-1]} AWG, the"
            f" thickest of the table {table!r}, carries with {wanted}; lay two of them, add feeds or shorten the way"
        )
    gauge = min(for_drop[0], for_heat[0])
    return Wire(
        name=name,
        current=current,
        carried=carried,
        carried_in=CarriedIn.PICTURE if carried == current else CarriedIn.POWER_ON,
        length=length,
        gauge=gauge,
        resistance=wire_resistance(2.0 * length, awg_area(gauge), celsius),
        drop=drops[gauge],
        ampacity=ampacity(gauge, table),
        table=table,
        decided_by=_decided_by(for_drop[0] < for_heat[0], protected_by > CONTINUOUS_FACTOR * carried),
        stands=stands,
    )


def _decided_by(drop: bool, fuse: bool) -> DecidedBy:
    if drop:
        return DecidedBy.DROP
    return DecidedBy.FUSE if fuse else DecidedBy.AMPACITY


def fuse_before(carried: float, fuses: Sequence[float], most: float | None = None) -> float:
    """What a wire has to stand because of what protects it: the fuse that carries its current, or the supply's limit.

    The smallest ``fuse >= carried / 0.75``; ``most`` where that does not reach twice the fuse, which then does not
    blow in useful time.

    Parameters
    ----------
    carried : float
        Lasting current [A], 0 or more.
    fuses : sequence of float
        Ratings of fuses [A]; empty for a wire without one.
    most : float or None
        The most that can flow for long [A]; None for no bound.

    Returns
    -------
    float
        Rating [A]; 0 where there are no fuses to choose from, ``most`` where none carries the current.

    Notes
    -----
    Sources: 75 % of a fuse's rating, a fuse maker in EDN (26 September 1996); opening at twice its rating, UL 248-14.

    Examples
    --------
    >>> fuse_before(3.0, (4.0, 5.0)), fuse_before(3.9, (5.0, 7.5)), fuse_before(3.9, (5.0, 7.5), most=12.0)
    (4.0, 7.5, 12.0)
    """
    if not fuses:
        return 0.0
    carrying = [each for each in sorted(fuses) if each >= carried / HIGHEST_LOAD_SHARE * (1.0 - 1e-9)]
    if most is not None and (not carrying or most < OPENS * carrying[0]):
        return most
    return carrying[0] if carrying else 0.0


def wire_plan(
    build: Build,
    feed_lengths: Sequence[float],
    hop_lengths: Sequence[float],
    *,
    highest_feed_drop: float = 0.1,
    highest_hop_drop: float = 0.05,
    contact_resistance: float = 0.0,
    colour: ArrayLike = (1.0, 1.0, 1.0),
    largest_adapter: float | None = None,
    table: str = "chassis wiring",
    celsius: float = 40.0,
    fuses: Sequence[float] = (),
) -> WirePlan:
    """Gauges for every feed and hop of a panel, with the currents that flow once they are in.

    The panel is solved, wires are chosen with :func:`wire_for`, and it is solved again with their
    resistances; a wire only ever gets thicker, until none has to. One may end a gauge thicker than the last
    currents ask for.

    The build's adapter may be in its limit, and a larger one in its place would push more through the same wires:
    so they are sized on a stiff adapter of the build's voltage, one that does not limit or one of a given limit.
    What the build's load switch does not let through counts as not drawn.

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
        Duty of red, green and blue [1], 0 to 1: the brightest picture to be shown. The drop is kept in it, the
        rating in the power-on colour as well.
    largest_adapter : float or None
        Limit of the largest adapter that may ever be used [A], above 0; the build's own counts where that is larger.
        None for one that does not limit.
    table : str
        Ampacity table.
    celsius : float
        Temperature of the copper [C], -60 to 250.
    fuses : sequence of float
        Ratings of fuses to choose from [A], one at the head of each feed, which the jumpers stand, too; none: there
        are no fuses.

    Returns
    -------
    WirePlan
        Wires and the panel with them.

    Raises
    ------
    UsageError
        Where lengths are missing or an argument cannot be.
    SolverError
        Where the wires do not settle.
    """
    wiring = build.wiring
    for thing, lengths, wanted in (
        ("feed_lengths", feed_lengths, len(wiring.feeds)),
        ("hop_lengths", hop_lengths, wiring.sections - 1),
    ):
        if len(lengths) != wanted:
            raise UsageError(f"{thing}: {len(lengths)} of them; accepted: {wanted}")
    names = [f"feed to section {section}" for section in wiring.feeds]
    names += [f"jumper {section}-{section + 1}" for section in range(wiring.sections - 1)]
    lengths = [*feed_lengths, *hop_lengths]
    limits = [highest_feed_drop] * len(feed_lengths) + [highest_hop_drop] * len(hop_lengths)
    if largest_adapter is not None:
        if not largest_adapter > 0.0:
            raise UsageError(f"largest adapter: {largest_adapter:g} A; accepted: above 0 A")
        largest_adapter = max(largest_adapter, build.adapter.limit_current)
    count = len(feed_lengths)
    state, lit = on_stiff_adapter(build, colour, largest_adapter)
    largest = flowing = _flowing(state, lit)
    for _ in range(MOST_ROUNDS):
        largest = [(max(old[0], new[0]), max(old[1], new[1])) for old, new in zip(largest, flowing, strict=True)]
        # A jumper is protected by the fuse of a feed.
        before = [fuse_before(max(pair), fuses, largest_adapter) for pair in largest[:count]]
        before += [max(before, default=0.0)] * (len(lengths) - count)
        wires = [
            wire_for(
                shown, length, limit, power_on=power_on, table=table, celsius=celsius, name=name, protected_by=fuse
            )
            for (shown, power_on), length, limit, name, fuse in zip(
                largest, lengths, limits, names, before, strict=True
            )
        ]
        build = build.with_values(_resistances(wires, count, contact_resistance))
        state, lit = on_stiff_adapter(build, colour, largest_adapter)
        flowing = _flowing(state, lit)
        pairs = [pair for now, before in zip(flowing, largest, strict=True) for pair in zip(now, before, strict=True)]
        if all(new <= old * (1.0 + 1e-6) for new, old in pairs):
            break
    else:
        raise SolverError(f"wire plan: gauges still change after {MOST_ROUNDS} rounds; accepted: none changes")
    # Chosen for the largest currents on the way there; what is told is what flows with all of them in place.
    wires = [
        replace(
            wire,
            current=shown,
            carried=max(shown, power_on),
            carried_in=CarriedIn.PICTURE if shown >= power_on else CarriedIn.POWER_ON,
            drop=wire.resistance * shown,
        )
        for wire, (shown, power_on) in zip(wires, flowing, strict=True)
    ]
    own_limit = build.adapter.limit_current
    return WirePlan(
        feeds=tuple(wires[:count]),
        hops=tuple(wires[count:]),
        state=state,
        power_on=lit,
        largest_adapter=largest_adapter,
        own_limit=own_limit,
    )


def _flowing(shown: PanelState, lit: PanelState) -> list[tuple[float, float]]:
    """Current of each feed and hop [A], in the picture and in the power-on colour."""
    each = [np.abs([*state.feed_currents, *state.hop_currents]).tolist() for state in (shown, lit)]
    return list(zip(*each, strict=True))


def on_stiff_adapter(build: Build, colour: ArrayLike, limit: float | None) -> tuple[PanelState, PanelState]:
    """The panel on a stiff adapter of a limit, in a picture and in its power-on colour.

    Parameters
    ----------
    build : Build
        The build [SI].
    colour : array
        Duty of red, green and blue [1], 0 to 1.
    limit : float or None
        Limit of the adapter [A]; None for one that does not limit.

    Returns
    -------
    (PanelState, PanelState)
        The picture, and the power-on colour.
    """
    pixel = build.pixel
    if limit is None:
        # Twice what all pixels can take: ample, and yet near enough that the law's corner, 1 % of the limit wide, does
        # not lift the voltage.
        each = pixel.quiescent_current + 3.0 * pixel.channel_current
        limit = 2.0 * (sum(build.wiring.pixels_per_section) * each + build.controller.run_current)
    stiff = build.adapter.model_copy(
        update={"limit_current": limit, "limit_style": "constant-current", "output_resistance": STIFF}
    )
    build = build.model_copy(update={"adapter": stiff})
    state = solve_panel(build, colour)
    alike = np.array_equal(np.asarray(colour, dtype=float), pixel.power_on)
    return state, state if alike else solve_panel(build, pixel.power_on)


def _resistances(wires: Sequence[Wire], feeds: int, contact: float) -> dict[str, list[float]]:
    # A wire of no length still has the resistance of a solder joint, which the model needs above zero.
    loops = [max(wire.resistance + contact, 1e-6) for wire in wires]
    values = {"wiring.feed_resistance": loops[:feeds]}
    if len(loops) > feeds:
        values["wiring.hop_resistance"] = loops[feeds:]
    return values
