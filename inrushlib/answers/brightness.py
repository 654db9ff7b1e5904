"""How bright the display may run, and what goes into its firmware."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import (
    Answer,
    Beside,
    Block,
    Caution,
    Facts,
    Note,
    Strong,
    Table,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.pulses import pulses_note
from inrushlib.answers.start import REMEDIES, headline
from inrushlib.build import Build
from inrushlib.parts.place import Place, PlaceKind
from inrushlib.quantities import in_percent
from inrushlib.safety.finding import CONTINUOUS_SHARE, DEFERS
from inrushlib.search import (
    BrightnessCap,
    BrightnessCaps,
    Cap,
    FirmwareConstant,
    NoCap,
    NotShown,
    OtherLimit,
    limit_in_words,
)
from inrushlib.search.caps import FULL
from inrushlib.startup import Headline

NOT_YET = "What follows holds only once that is mended."


def brightness_answer(build: Build, caps: BrightnessCaps, constants: Sequence[FirmwareConstant]) -> Answer:
    """Return the caps and what decides them, the constants for the firmware, and the tables of levels.

    Parameters
    ----------
    build : Build
        The build.
    caps : BrightnessCaps
        What the search found.
    constants : sequence of FirmwareConstant
        What is carried into the firmware.
    """
    both = (caps.white, caps.picture)
    blocks: list[Block] = [
        *_unfit(caps.start),
        *(_verdict(caps, each) for each in both),
        Note(f"This build's picture: {caps.running}."),
        *pulses_note(caps.pulses),
        Beside((_constants(constants), _limits(caps), _caps(both))),
        Note(
            f"{in_percent(CONTINUOUS_SHARE)} of each for a load that lasts three hours or more: NEC 210.20(A) and "
            f'215.3. Wires by the ampacity table "{caps.table}".'
        ),
    ]
    if caps.unchecked:
        unknown = ", ".join(map(str, caps.unchecked))
        blocks.append(Caution(f"Not checked, since the gauge is not known: {unknown}."))
    blocks += [Beside(tuple(_levels(each) for each in both)), Note(DEFERS)]
    good = caps.start.good and isinstance(caps.picture.continuous, Cap)
    return Answer(build.title, good, tuple(blocks))


def _unfit(start: Headline) -> tuple[Block, ...]:
    """What has to be said first where the build does not start, or overstresses a part."""
    if start.good:
        return ()
    told = headline(start)
    if start.verdict.starts:
        return (Verdict(told.headline, (*told.sentences, NOT_YET), False),)
    ends = f"How it ends: {start.words}."
    return (Verdict("this build does not start", (REMEDIES, ends, *told.sentences, NOT_YET), False),)


def _verdict(caps: BrightnessCaps, one: BrightnessCap) -> Verdict:
    name = one.picture if one is caps.white else "this build's picture"
    cap, start = one.continuous, _start(one)
    if isinstance(cap, NoCap):
        return Verdict(f"{name} at no level", (sentence(cap.reason), start), False)
    if cap.limited_by is OtherLimit.NOTHING:
        return Verdict(_up_to(name, cap), ("no cap is needed, also for a picture that stays.", start), True)
    return Verdict(_up_to(name, cap), ("for a picture that stays.", *_why(caps, one, cap.limited_by), start), True)


def _up_to(name: str, cap: Cap) -> Words:
    return (f"{name} up to ", Strong(f"level {cap.level} of {FULL}"))


def _why(caps: BrightnessCaps, one: BrightnessCap, by: Place | OtherLimit) -> tuple[Words, ...]:
    """What decides the cap, and what the whole of it would allow."""
    whole = "not even level 0" if isinstance(one.rating, NoCap) else f"level {one.rating.level}"
    if not isinstance(by, Place):
        return (
            f"The start decides: with a brighter picture it ends worse; the ratings alone would allow {whole}.",
        )  # fmt: skip
    limit = Value(caps.limits[by], "A")
    decides: Words = (f"{limit_in_words(by)[:1].upper()}{limit_in_words(by)[1:]} of ", limit, " decides; ")
    if by.kind is not PlaceKind.LOAD_SWITCH:
        return ((decides, f"it would be {whole} at the full ratings."),)
    return (
        (decides, f"it would be {whole} at the full ratings and limits."),
        "Past its limit the switch holds the current back, the display sags and the switch gets hot, however much "
        "the adapter can give.",
    )  # fmt: skip


def _start(one: BrightnessCap) -> Words:
    if isinstance(one.start, NotShown):
        return sentence(one.start.meaning)
    return f"Start with it at level {one.continuous.shown_level}: {one.start.words}."


def _constants(constants: Sequence[FirmwareConstant]) -> Table:
    rows = tuple((each.name, f"{each.value} {each.unit}", each.meaning) for each in constants)
    return Table(("name", "value", "meaning"), rows, "To carry into the firmware", (1,))


def _limits(caps: BrightnessCaps) -> Facts:
    rows = tuple((_limit(place), Value(limit, "A", 0)) for place, limit in caps.limits.items())
    return Facts(rows, "Held against")


def _limit(place: Place) -> str:
    return "load switch's own current limit" if place.kind is PlaceKind.LOAD_SWITCH else place.name


def _caps(both: Sequence[BrightnessCap]) -> Table:
    rows: list[tuple[Words, ...]] = []
    for one in both:
        for cap in (one.rating, one.continuous):
            level = "none" if isinstance(cap, NoCap) else str(cap.level)
            by = _decided_by(cap.limited_by)
            rows.append((f"{one.picture}, {in_percent(cap.share)}", level, Value(cap.adapter_current, "A"), by))
    heads = ("picture, share of every rating", "level", "adapter", "decided by")
    return Table(heads, tuple(rows), "Largest levels", (1, 2))


def _decided_by(by: Place | OtherLimit) -> str:
    if isinstance(by, Place):
        return _limit(by)
    return f"nothing up to {FULL}" if by is OtherLimit.NOTHING else "the start"


def _levels(one: BrightnessCap) -> Table:
    rows = tuple(
        (
            str(row.level), Value(row.adapter_current, "A"), f"{in_percent(row.share_of_rating)}",
            Value(row.largest_feed_current, "A"), Value(row.largest_hop_current, "A"), Value(row.lowest_voltage, "V"),
        )
        for row in one.levels
    )  # fmt: skip
    level = one.continuous.level if isinstance(one.continuous, Cap) else None
    chosen = next((number for number, row in enumerate(one.levels) if row.level == level), None)
    heads = ("level", "adapter", "of its rating", "largest feed", "largest jumper", "worst pixel")
    return Table(
        heads, rows, f"{one.picture[:1].upper()}{one.picture[1:]}, levels and currents", tuple(range(6)), chosen
    )
