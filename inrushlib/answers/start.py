"""What is said first of a start: how it ends, why, and what to do about an overstress."""

from __future__ import annotations

from inrushlib.answers.blocks import Block, Verdict, sentence
from inrushlib.startup import Headline


def headline(found: Headline) -> Verdict:
    """Return how a start ends.

    Parameters
    ----------
    found : Headline
        Of the start.
    """
    sentences = (found.meaning, sentence(found.reason), *(sentence(text) for text in found.advice))
    return Verdict(found.title, sentences, found.good)


def overstress(found: Headline | None) -> tuple[Block, ...]:
    """Return the same for an answer to another question: only where a part is overstressed.

    Parameters
    ----------
    found : Headline or None
        Of the start that the answer is about; None where there is none.
    """
    return (headline(found),) if found is not None and found.overstressed else ()
