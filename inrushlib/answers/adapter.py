"""Which adapter: the next standard rating that starts the display and carries its picture."""

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
from inrushlib.answers.by_odds import odds_table, recommended, recommending
from inrushlib.answers.pulses import pulses_note
from inrushlib.answers.stretches import stretches
from inrushlib.build import Build
from inrushlib.odds import Decision
from inrushlib.quantities import in_percent
from inrushlib.safety.finding import CONTINUOUS_SHARE, DEFERS
from inrushlib.search import AdapterSize, Decides, NoAdapter, NoNeed, PictureNeed, Rung, StartNeed, picture_pulses
from inrushlib.search.ratings import next_rating

SHARE = f"{in_percent(CONTINUOUS_SHARE)}"
SOURCES = (
    f"{SHARE} for a load that lasts three hours or more: NEC 210.20(A). The ratings are those that 5 V supplies are "
    "commonly sold with (common practice, no source)."
)
AGES = "A supply that runs hot or is old gives less than its label: leave it air, and do not buy to the last ampere."


def adapter_answer(
    build: Build, size: AdapterSize | NoAdapter, ladder: Sequence[Rung], decision: Decision | None = None
) -> Answer:
    """Return the rating to take, what decides it, and how each standard rating starts the build.

    Parameters
    ----------
    build : Build
        The build.
    size : AdapterSize or NoAdapter
        What the search found.
    ladder : sequence of Rung
        The standard ratings.
    decision : Decision or None
        What the odds recommend; None where they were not asked.
    """
    blocks: tuple[Block, ...] = (
        _none(size) if isinstance(size, NoAdapter) else _taken(size, decision),
        Beside((Facts(_needs(build, size), "What it takes"), _ladder(size, ladder))),
        *_by_odds(size, decision),
        *stretches(size.islands, "A", "current limit"),
        *(pulses_note(picture_pulses(build)) if isinstance(size.running, PictureNeed) else ()),
        Note(SOURCES),
        Note(f"From {size.runs + len(ladder)} starts of the model."),
        Caution(AGES),
        Note(DEFERS),
    )
    return Answer(build.title, isinstance(size, AdapterSize), blocks)


def rating_to_take(size: AdapterSize, decision: Decision | None) -> float:
    """Return the rating to take [A]: by odds where they were asked, and no less than the running picture needs.

    Parameters
    ----------
    size : AdapterSize
        What the search found.
    decision : Decision or None
        What the odds recommend.
    """
    picture = next_rating(size.running.rating) if isinstance(size.running, PictureNeed) else None
    return recommended(decision, size.standard_rating, picture or 0.0)


def _take(rating: float) -> Words:
    return ("take ", Strong(Value(rating, "A")))


def _taken(size: AdapterSize, decision: Decision | None) -> Verdict:
    nominal = size.standard_rating
    said = ("the next standard rating up.", _decides(size), f"Start {size.start.words}.")
    verdict = Verdict(_take(nominal), said, True)
    return recommending(verdict, decision, nominal, "A", _take, rating_to_take(size, decision), "rating")


def _decides(size: AdapterSize) -> Words:
    """Start or running picture, and which rating each of them asks for."""
    if isinstance(size.running, NoNeed):
        return f"What decides: the {size.decided_by}."
    asked = [(Decides.START, size.starting.rated_current), (Decides.RUNNING_PICTURE, size.running.rating)]
    (first, most), (other, less) = sorted(asked, key=lambda each: each[0] is not size.decided_by)
    return (f"What decides: the {first}, which asks for ", Value(most, "A"), f"; the {other} asks for ",
            Value(less, "A"), ".")  # fmt: skip


def _by_odds(size: AdapterSize | NoAdapter, decision: Decision | None) -> tuple[Table, ...]:
    if decision is None or isinstance(size, NoAdapter):
        return ()
    return (odds_table(decision, "A", "rating", rating_to_take(size, decision)),)


def _none(size: NoAdapter) -> Verdict:
    return Verdict("no standard rating", (sentence(size.reason), f"As it is: {size.start.before.words}."), False)


def _needs(build: Build, size: AdapterSize | NoAdapter) -> tuple[tuple[str, Words], ...]:
    rows: list[tuple[str, Words]] = []
    limit = f"smallest current limit that boots at the first try ({build.adapter.limit_style})"
    match size.starting:
        case StartNeed(limit_current, rated_current):
            rows.append((limit, Value(limit_current, "A")))
            rows.append(("label rating that goes with it", Value(rated_current, "A")))
        case NoNeed():
            rows.append((limit, size.starting.meaning))
    rows.append(("sized for", size.picture))
    match size.running:
        case PictureNeed(current, rating):
            rows.append(("which draws", Value(current, "A")))
            rows.append((f"rating that carries it ({SHARE} of the rating)", Value(rating, "A")))
        case NoNeed():
            rows.append(("which draws", size.running.meaning))
    return tuple(rows)


def _ladder(size: AdapterSize | NoAdapter, ladder: Sequence[Rung]) -> Table:
    def carries(rating: float) -> str:
        if isinstance(size.running, NoNeed):
            return size.running.meaning
        return "yes" if size.running.carried_by(rating) else "no"

    rows = tuple(
        (
            Value(rung.rating, "A", 0), rung.headline.words, carries(rung.rating), Value(rung.peak_lead_current, "A"),
        )
        for rung in ladder
    )  # fmt: skip
    taken = size.standard_rating if isinstance(size, AdapterSize) else None
    chosen = next((number for number, rung in enumerate(ladder) if rung.rating == taken), None)
    heads = ("rating", "start", f"carries the picture at {SHARE}", "peak lead current")
    return Table(heads, rows, "Standard ratings", (0, 3), chosen)
