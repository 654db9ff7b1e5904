"""Remedies side by side: the question, and its answer as HTML."""

from __future__ import annotations

from typing import NamedTuple

from inrushlib.answers.html import render
from inrushlib.answers.remedies import remedies_answer
from inrushlib.build import Build
from inrushlib.remedies import NoRemedy, Remedy, compare_remedies
from widgets.question import Asked, Told


class Compared(NamedTuple):
    """The remedies of a build."""

    build: Build
    remedies: tuple[Remedy | NoRemedy, ...]


def ask_remedies(build: Build, told: Told, asked: Asked) -> Compared:
    """Try every remedy."""
    return Compared(build, compare_remedies(build, progress=told, cancelled=asked))


def remedies_html(found: Compared) -> str:
    """Return what helps with least change, then all of them."""
    return render(remedies_answer(found.build.title, found.remedies))
