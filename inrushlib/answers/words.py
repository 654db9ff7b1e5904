"""What a text of an answer is made of: plain words, and pieces that a renderer writes as its medium does.

``Value``      a number with its unit, as ``text`` or as a renderer's medium writes that; ``Temperature`` likewise
``Key``        a key of a build file: as it is written there, or in words
``Strong``     words that carry the answer; ``Beyond`` words on a limit that is passed; ``Lines`` sentences of one cell
``Words``      a text of these
``plain``      it without emphasis; ``sentence`` it as a sentence
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from inrushlib.quantities import format_result


@dataclass(frozen=True)
class Value:
    """A number with its unit, or none.

    Attributes
    ----------
    value : float or None
        The number [unit]; None is shown as a dash.
    unit : str
        Its unit.
    resolution : float or None
        What can be told of it [unit]; below it 0 is shown. None: what a start of the model can tell. 0: it was
        not computed, as of a label, a list or a build, and keeps its own digits in a column, too.
    places : int or None
        Digits behind the point [1], where it stands in a column that has as many; None for its own.
    """

    value: float | None
    unit: str
    resolution: float | None = None
    places: int | None = None

    @property
    def text(self) -> str | None:
        """It with its unit, in letters that any medium has; None where there is no number."""
        if self.value is None:
            return None
        return format_result(self.value, self.unit, resolution=self.resolution, places=self.places)


@dataclass(frozen=True)
class Temperature:
    """A temperature, or none.

    Attributes
    ----------
    value : float or None
        The temperature [C]; None is shown as a dash.
    """

    value: float | None


@dataclass(frozen=True)
class Strong:
    """Words that carry the answer.

    Attributes
    ----------
    words : Words
        The words.
    """

    words: Words


@dataclass(frozen=True)
class Beyond:
    """Words on a limit that is passed; pointed out where the medium can.

    Attributes
    ----------
    words : Words
        The words.
    """

    words: Words


@dataclass(frozen=True)
class Lines:
    """Sentences that belong into one cell or line, each on a line of its own where the medium can.

    Attributes
    ----------
    items : tuple of Words
        The sentences.
    """

    items: tuple[Words, ...]


@dataclass(frozen=True)
class Key:
    """A key of a build file: written as the file has it where commands are typed, in words on a page.

    Attributes
    ----------
    dotted : str
        Such as ``"adapter.rated_current"``.
    """

    dotted: str


Piece = str | Value | Temperature | Strong | Beyond | Lines | Key
Words = Piece | tuple["Piece | Words", ...]
"""A text: a piece, or pieces one after the other."""


def plain(words: Words, number: Callable[[Value], str], celsius: Callable[[Temperature], str]) -> str:
    """Return words as text without emphasis.

    Parameters
    ----------
    words : Words
        The words.
    number, celsius : callable
        How the medium writes a value and a temperature.

    Examples
    --------
    >>> plain(("a limit of ", Value(2.4, "A")), lambda v: f"{v.value} {v.unit}", str)
    'a limit of 2.4 A'
    """
    match words:
        case str():
            return words
        case Value():
            return number(words)
        case Temperature():
            return celsius(words)
        case Key():
            return words.dotted
        case Strong() | Beyond():
            return plain(words.words, number, celsius)
        case Lines():
            return " ".join(plain(item, number, celsius) for item in words.items)
    return "".join(plain(piece, number, celsius) for piece in words)


def sentence(words: Words) -> Words:
    """Return words as a sentence: a capital first, a full stop last.

    Parameters
    ----------
    words : Words
        The words.

    Examples
    --------
    >>> sentence(("the bus settles at ", Value(2.4, "V")))
    ('The bus settles at ', Value(value=2.4, unit='V', resolution=None, places=None), '.')
    >>> sentence("it starts.")
    'It starts.'
    """
    match words:
        case str():
            return words[:1].upper() + words[1:].rstrip(".") + "." if words else ""
        case tuple() if words:
            first, last = words[0], words[-1]
            if isinstance(first, str):
                words = (first[:1].upper() + first[1:], *words[1:])
            if isinstance(last, str):
                return (*words[:-1], last.rstrip(".") + ".")
            return (*words, ".")
        case tuple():
            return words
    return (words, ".")
