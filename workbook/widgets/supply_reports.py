"""Smallest adapter, reservoir and brightness cap in words and tables, as HTML."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from inrushlib.build import Build, build_keys
from inrushlib.search import (
    RATINGS,
    AdapterSize,
    Beside,
    BrightnessCap,
    BrightnessCaps,
    Decides,
    FirmwareConstant,
    Island,
    NoReservoir,
    ReservoirSize,
    StandardValue,
    brightness_caps,
    delay_window,
    firmware_constants,
    smallest_adapter,
    smallest_reservoir,
    with_limit,
)
from inrushlib.startup import Headline, simulate
from inrushlib.text import for_html
from widgets.answer_html import answer, beside, quantity, sentence, small, table
from widgets.question import Asked, Told
from widgets.values import written

ADAPTER_KEYS = tuple(f"adapter.{name}_current" for name in ("rated", "limit", "peak", "foldback"))


class Rung(NamedTuple):
    """How a standard rating starts the build, and its peak in the lead [A]."""

    headline: Headline
    peak_lead_current: float


class Ladder(NamedTuple):
    """The smallest adapter, and how each standard rating starts the build."""

    build: Build
    size: AdapterSize
    rungs: tuple[Rung, ...]


class Caps(NamedTuple):
    """Brightness caps and what goes into the firmware."""

    caps: BrightnessCaps
    constants: tuple[FirmwareConstant, ...]


def ask_adapter(build: Build, told: Told, _: Asked) -> Ladder:
    """Return the smallest adapter and the whole ladder beside it."""
    size = smallest_adapter(build)
    told(0.5)
    ratio = build.adapter.limit_current / build.adapter.rated_current
    return Ladder(build, size, tuple(_rung(with_limit(build, rating * ratio)) for rating in RATINGS))


def _rung(build: Build) -> Rung:
    start = simulate(build)
    return Rung(start.headline, start.figures.peak_lead_current)


def ask_reservoir(build: Build, _: Told, __: Asked) -> ReservoirSize | NoReservoir:
    """Return the smallest reservoir behind a diode."""
    return smallest_reservoir(build)


def ask_brightness(build: Build, told: Told, _: Asked) -> Caps:
    """Return the caps, and the constants with the recommended delay where there is a switch."""
    caps = brightness_caps(build)
    told(0.5)
    window = delay_window(build) if build.switch is not None else None
    return Caps(caps, firmware_constants(build, caps, window))


def adapter_values(found: Ladder) -> Mapping[str, Any]:
    """Return the standard rating as values for the build, its ratios kept."""
    size, build = found.size, found.build
    if size.standard_rating is None or size.standard_rating == build.adapter.rated_current:
        return {}
    larger = with_limit(build, size.standard_rating * build.adapter.limit_current / build.adapter.rated_current)
    keys = [key for key in ADAPTER_KEYS if key in build.given or key == ADAPTER_KEYS[0]]
    return {key: written(larger.get(key), build_keys()[key]) for key in keys}


def reservoir_values(found: ReservoirSize | NoReservoir) -> Mapping[str, Any]:
    """Return the next standard value as values for the build."""
    if isinstance(found, NoReservoir) or isinstance(found.standard, NoReservoir) or not found.standard.good:
        return {}
    reservoir = written(found.standard.value, build_keys()["controller.reservoir"])
    return {"controller.feed_diode": True, "controller.reservoir": reservoir}


def adapter_html(found: Ladder) -> str:
    """Return the smallest adapter, what decides it, and the ladder of standard ratings."""
    size = found.size
    if size.standard_rating is None:
        head = for_html(sentence(size.reason))
    else:
        why = "starting asks for more" if size.decided_by is Decides.START else "the running picture asks for more"
        head = f"Take an adapter of <b>{quantity(size.standard_rating, 'A')}</b> on its label: {why}. "
        head += for_html(f"Start: {size.start.words}.")
    rows = [
        ("smallest limit current that starts it at the first try", quantity(size.smallest_limit_current, "A")),
        ("label that goes with it, for this kind of adapter", quantity(size.smallest_rated_current, "A")),
        ("running picture", size.picture),
        ("running picture draws", quantity(size.running_current, "A")),
        ("label for that, loaded to 80 % at most", quantity(size.running_rating, "A")),
        ("next standard rating up that does both", quantity(size.standard_rating, "A")),
        ("starts run", str(size.runs)),
    ]
    first = table("What it takes", (), rows, numbers=(1,))
    first += _islands(size.islands, "A", "limit current") if len(size.islands) > 1 else ""
    return answer(head) + beside(first, _ladder(found)) + small(
        "80 % for a load that lasts three hours or more: NEC 210.20(A). The ratings are those that 5 V supplies are "
        "commonly sold with (common practice, no source)."
    )  # fmt: skip


def _ladder(found: Ladder) -> str:
    size = found.size
    rows = []
    for rating, rung in zip(RATINGS, found.rungs, strict=True):
        carries = rating >= (size.running_rating or 0.0) * (1 - 1e-9)
        rows.append(
            (
                quantity(rating, "A"), rung.headline.words, "yes" if carries else "no",
                quantity(rung.peak_lead_current, "A"),
            )
        )  # fmt: skip
    chosen = -1 if size.standard_rating is None else RATINGS.index(size.standard_rating)
    heads = ("rating", "start", "carries the picture at 80 %", "peak lead current")
    return table("Standard ratings", heads, rows, numbers=(0, 3), chosen=chosen)


def _islands(islands: tuple[Island, ...], unit: str, what: str) -> str:
    rows = [(quantity(island.low, unit), quantity(island.high, unit)) for island in islands]
    return table(f"It boots in {len(rows)} separate stretches of {what}", ("from", "to"), rows, numbers=(0, 1))


def reservoir_html(found: ReservoirSize | NoReservoir) -> str:
    """Return the smallest reservoir by the model and by hand."""
    if isinstance(found, NoReservoir):
        return answer(for_html(sentence(found.reason)))
    rows = [("smallest that boots at the first try", quantity(found.smallest, "F"))]
    standard = found.standard
    if isinstance(standard, NoReservoir):
        head = for_html(sentence(standard.reason))
    else:
        head = _reservoir_head(found, standard)
        rows += [
            ("next E6 value, its tolerance of 20 % counted", quantity(standard.value, "F")),
            ("with it: lowest rail voltage after reset", quantity(standard.lowest_rail_voltage, "V")),
            ("with it: highest reservoir voltage", quantity(standard.highest_reservoir_voltage, "V")),
            ("with it: largest current through the diode", quantity(standard.peak_feed_current, "A")),
        ]
    model = table("By the model", (), [*rows, ("starts run", str(found.runs))], numbers=(1,))
    model += _islands(found.islands, "F", "capacitance") if len(found.islands) > 1 else ""
    return answer(head) + beside(model, _by_hand(found))


def _reservoir_head(found: ReservoirSize, standard: StandardValue) -> str:
    if found.needed:
        head = f"Take a diode and <b>{quantity(standard.value, 'F')}</b> behind it, the next E6 value up that holds "
        head += f"with 20 % less too ({quantity(standard.least, 'F')})."
    else:
        head = f"A diode alone does: it boots with {quantity(found.smallest, 'F')} already, the least that was tried. "
        head += f"The smallest E6 value that allows for its tolerance is <b>{quantity(standard.value, 'F')}</b>."
    head += for_html(f" Start: {standard.start.words}.")
    if standard.start.after.overstressed:
        head = f"<b>No answer</b>: {for_html(standard.start.after.damage)}. {head}"
    return head


def _by_hand(found: ReservoirSize) -> str:
    hand = found.by_hand
    if hand is None:
        return small("The reservoir does not dip after the release from reset, so there is nothing to reckon by hand.")
    rows = [
        ("I, what the controller draws in the dip", quantity(hand.current, "A")),
        ("t, from its beginning to the lowest voltage", quantity(hand.time, "s")),
        ("dV, what the reservoir may lose", quantity(hand.voltage_drop, "V")),
        ("C", quantity(hand.capacitance, "F")),
    ]
    return table("By hand: C = I t / dV", (), rows, numbers=(1,)) + small(
        "The formula leaves out the rail's own capacitor, what the diode still passes, and how the reservoir charges: "
        "near where the dip is long, far off where the bus only sags."
    )


def brightness_html(found: Caps) -> str:
    """Return the caps, the constants for the firmware, and the tables of levels."""
    caps = found.caps
    head = "" if caps.start.good else f"<b>{for_html(_unfit(caps.start))}</b> "
    head += f"Full white: at most <b>{_level(caps.white)}</b>. This build's picture ({for_html(caps.running)}"
    head += f"): at most <b>{_level(caps.picture)}</b>. Both for a picture that stays."
    rows = [(c.name, f"{c.value} {c.unit}", c.meaning) for c in found.constants]
    constants = table("Constants to carry into the firmware", ("name", "value", "meaning"), rows, numbers=(1,))
    limits = table("Held against", (), [(p.name, quantity(v, "A")) for p, v in caps.limits.items()], numbers=(1,))
    unchecked = ", ".join(place.name for place in caps.unchecked)
    unknown = f" Not checked, since the gauge is not known: {unchecked}." if unchecked else ""
    note = small(
        "80 % for a load that lasts three hours or more: NEC 210.20(A) and 215.3. Wires against the ampacity table "
        f"“{caps.table}”.{unknown} A calculation, not an approval: local codes decide."
    )
    return answer(head) + beside(constants, limits, _caps(caps)) + note + beside(
        _levels(caps.white), _levels(caps.picture)
    )  # fmt: skip


def _unfit(start: Headline) -> str:
    """What has to be said first where the build does not start, or overstresses a part."""
    if start.verdict.starts:
        return (
            f"{start.title[:1].upper()}{start.title[1:]}: {start.damage}. What follows holds only once that is mended."
        )
    return (
        f"This build does not start ({start.title}: {start.reason}); the remedies look for what would help. What "
        "follows holds only once it starts."
    )


def _level(cap: BrightnessCap) -> str:
    level = cap.continuous.level
    return "not even level 0" if level is None else f"level {level} of 255"


def _caps(caps: BrightnessCaps) -> str:
    rows = []
    for one in (caps.white, caps.picture):
        for cap in (one.rating, one.continuous):
            level = "none" if cap.level is None else str(cap.level)
            limit = "nothing up to 255" if cap.limited_by is Beside.NOTHING else str(cap.limited_by)
            rows.append((f"{one.picture}, {cap.share:.0%}", level, quantity(cap.adapter_current, "A"), limit))
    heads = ("picture, share of every rating", "level", "adapter", "next would overload")
    return table("Largest levels", heads, rows, numbers=(1, 2))


def _levels(cap: BrightnessCap) -> str:
    rows = [
        (
            str(row.level), quantity(row.adapter_current, "A"), f"{row.share_of_rating:.0%}",
            quantity(row.largest_feed_current, "A"), quantity(row.largest_hop_current, "A"),
            quantity(row.lowest_voltage, "V"),
        )
        for row in cap.levels
    ]  # fmt: skip
    chosen = next((i for i, row in enumerate(cap.levels) if row.level == cap.continuous.level), -1)
    heads = ("level", "adapter", "of its rating", "largest feed", "largest hop", "worst pixel")
    return table(f"{cap.picture}: levels and currents", heads, rows, numbers=range(6), chosen=chosen)
