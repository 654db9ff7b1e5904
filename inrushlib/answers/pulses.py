"""The pulses of a dimmed picture, beside the mean that sized something.

``pulses_note``  as a sentence below a page
"""

from __future__ import annotations

from inrushlib.answers.blocks import Note, sentence
from inrushlib.search import Pulses


def pulses_note(found: Pulses | None) -> list[Note]:
    """Return the sentence; none where the picture's current is not known.

    Parameters
    ----------
    found : Pulses or None
        Of the picture.
    """
    return [] if found is None else [Note(str(sentence(found.words)))]
