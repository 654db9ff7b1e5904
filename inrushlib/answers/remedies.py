"""What to change so that it starts, side by side."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import (
    Answer,
    Lines,
    Note,
    Picture,
    Strong,
    Table,
    Temperature,
    Value,
    Verdict,
    Words,
    sentence,
)
from inrushlib.answers.start import overstress
from inrushlib.remedies import NoRemedy, Remedy

WIDTH = 13.0  # [in] of the picture
ABOUT = "A row for each remedy: what changes, verdict, currents and voltages, risks. The table below says the same."
HEADS = (
    "remedy", "verdict", "what changes", "how", "peak lead current", "lit before data", "lowest rail",
    "hottest junction", "what could still go wrong",
)  # fmt: skip
ORDER = (
    "Ordered by how much has to change. Part values are the smallest that the search found, or the next standard value "
    "up."
)


def remedies_answer(title: str, found: Sequence[Remedy | NoRemedy]) -> Answer:
    """Return what helps with least change, then the build as it is and all remedies.

    Parameters
    ----------
    title : str
        The build's.
    found : sequence of Remedy or NoRemedy
        As they were compared: the build as it is first.
    """
    from inrushlib.plots import draw_remedies, height_for  # here, since a terminal needs no drawing library

    picture = Picture(ABOUT, lambda axes: draw_remedies(found, axes), WIDTH, height_for(found))
    table = Table(HEADS, tuple(map(_row, found)), "Side by side", (4, 5, 6, 7), wide=True)
    verdict = _verdict(found)
    return Answer(title, verdict.good is True, (*overstress(found[0].before), verdict, picture, table, Note(ORDER)))


def _verdict(found: Sequence[Remedy | NoRemedy]) -> Verdict:
    now, *others = found
    helping = [remedy for remedy in others if isinstance(remedy, Remedy) and remedy.helps]
    if now.helps:
        return Verdict("it boots at the first try as it is", ("Below is what each remedy would change.",), True)
    if not helping:
        before = sentence(f"as it is: {now.before.title}")
        return Verdict("none of these makes it boot at the first try without overstressing a part", (before,), False)
    least = helping[0]
    words = (
        sentence(f"what changes: {least.change.words}"),
        f"{len(helping)} of {len(others)} remedies help.",
        sentence(f"start {least.rerun.words}"),
    )
    return Verdict((Strong(_name(least)), " makes it boot with least change"), words, True)


def _name(remedy: Remedy | NoRemedy) -> str:
    together = remedy.combined_with if isinstance(remedy, Remedy) else ()
    return remedy.name.value + (f", with {' and '.join(together)}" if together else "")


def _row(remedy: Remedy | NoRemedy) -> tuple[Words, ...]:
    why = sentence(remedy.why)
    if isinstance(remedy, NoRemedy):
        none = Value(None, "")
        return (_name(remedy), "not for this build", "", why, none, none, none, none, "")
    figures = remedy.start.figures
    return (
        _name(remedy),
        remedy.start.headline.words,
        remedy.change.words,
        Lines((why, *(sentence(each.words) for each in remedy.needed))),
        Value(figures.peak_lead_current, "A"),
        Value(figures.lit_before_data, "s"),
        Value(figures.lowest_rail_voltage, "V"),
        Temperature(remedy.hottest_junction),
        Lines(remedy.could_go_wrong or ("Nothing that the model shows.",)),
    )
