"""The pulses of a dimmed picture, beside the mean that sized something.

``pulses_row``   as a row of facts
``pulses_note``  as a sentence below a page
"""

from __future__ import annotations

from inrushlib.answers.blocks import Note, Words, sentence
from inrushlib.build import Build
from inrushlib.search import Pulses, picture_pulses


def pulses_row(build: Build) -> list[tuple[str, Words]]:
    """Return the row; none where the picture's current is not known.

    Parameters
    ----------
    build : Build
        Whose running picture it is.
    """
    found = picture_pulses(build)
    return [] if found is None else [("how it draws that", found.words)]


def pulses_note(found: Pulses | None) -> list[Note]:
    """Return the sentence; none where the picture's current is not known.

    Parameters
    ----------
    found : Pulses or None
        Of the picture.
    """
    return [] if found is None else [Note(str(sentence(found.words)))]
