"""Remedies side by side: the question, and its answer as HTML."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from inrushlib.answers.html import render
from inrushlib.answers.remedies import recommendation_answer
from inrushlib.answers.screen import Screen
from inrushlib.build import Build, build_keys
from inrushlib.remedies import NoRemedy, Recommendation, Remedy, recommend_remedies
from widgets.question import Asked, Told
from widgets.values import as_given


class Compared(NamedTuple):
    """The remedies of a build."""

    build: Build
    recommendation: Recommendation

    @property
    def remedies(self) -> tuple[Remedy | NoRemedy, ...]:
        """All of them, the build as it is first."""
        return self.recommendation.remedies


def ask_remedies(build: Build, told: Told, asked: Asked) -> Compared:
    """Search every remedy, without the odds: they take a minute, and ``inrush remedies`` has them."""
    return Compared(build, recommend_remedies(build, runs=0, progress=told, cancelled=asked))


def remedies_html(found: Compared, screen: Screen | None = None) -> str:
    """Return what helps with least change, then all of them."""
    return render(recommendation_answer(found.build.title, found.recommendation), screen)


def remedy_values(found: Compared) -> Mapping[str, Any]:
    """Return what the first remedy changes as keys of the build; none where none helps or is needed."""
    if not found.recommendation.ranked:
        return {}
    before, after = found.build, found.recommendation.ranked[0].build
    changed = {
        key: as_given(after.get(key), build_keys()[key])
        for key in after.given
        if key not in before.given or after.get(key) != before.get(key)
    }
    return {**changed, **dict.fromkeys(before.given - after.given)}
