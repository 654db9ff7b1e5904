"""Remedies side by side, as a picture and as a table."""

from __future__ import annotations

from typing import NamedTuple

from inrushlib.build import Build
from inrushlib.plots import draw_remedies, height_for
from inrushlib.remedies import Remedy, compare_remedies
from inrushlib.text import for_html
from widgets.answer_html import answer, celsius, picture, quantity, sentence, small, table
from widgets.question import Asked, Told


class Compared(NamedTuple):
    """The remedies of a build."""

    build: Build
    remedies: tuple[Remedy, ...]


def ask_remedies(build: Build, told: Told, asked: Asked) -> Compared:
    """Try every remedy."""
    return Compared(build, compare_remedies(build, progress=told, cancelled=asked))


def remedies_html(found: Compared) -> str:
    """Return what helps with least change, then all of them."""
    about = "A row for each remedy: what changes, verdict, currents and voltages, risks. The table below says the same."
    drawn = picture(lambda axes: draw_remedies(found.remedies, axes), 13.0, height_for(found.remedies), about)
    return answer(_head(found)) + drawn + _table(found) + small(
        "Ordered by how much has to change. Part values are the smallest that the search found, or the next standard "
        "value up."
    )  # fmt: skip


def _head(found: Compared) -> str:
    now, *others = found.remedies
    helping = [remedy for remedy in others if remedy.helps]
    if now.helps:
        return "It boots at the first try as it is; below is what each remedy would change."
    if not helping:
        damage = now.before.damage
        words = f" As it is, {for_html(damage)}." if damage else ""
        return f"None of these makes it boot at the first try without overstressing a part.{words}"
    least = helping[0]
    together = f", with {' and '.join(least.combined_with)}" if least.combined_with else ""
    name = for_html(least.name[:1].upper() + least.name[1:] + together)
    words = f"<b>{name}</b> makes it boot with least change ({for_html(least.change.words)})"
    return f"{words}; {len(helping)} of {len(others)} remedies help."


def _table(found: Compared) -> str:
    rows = []
    for r in found.remedies:
        verdict = "not for this build" if r.start is None else r.start.headline.words
        name = r.name + (f", with {' and '.join(r.combined_with)}" if r.combined_with else "")
        takes = "; ".join(needed.words for needed in r.needed) or r.why
        wrong = " ".join(sentence(text) for text in r.could_go_wrong) or ("–" if r.start is None else "Nothing seen.")
        rows.append(
            (
                name, r.change.words, verdict, takes, quantity(r.peak_lead_current, "A"),
                quantity(r.lit_before_data, "s"), quantity(r.lowest_rail_voltage, "V"), celsius(r.hottest_junction),
                wrong,
            )
        )  # fmt: skip
    heads = (
        "remedy", "what changes", "verdict", "takes", "peak lead current", "lit before data", "lowest rail",
        "hottest junction", "what could still go wrong",
    )  # fmt: skip
    return f'<div class="wb-scroll">{table("The same as a table", heads, rows, numbers=(4, 5, 6, 7))}</div>'
