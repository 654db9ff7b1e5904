"""Where a value of a build comes from.

``Origin``  given in the file, from a class of parts, measured, or assumed by default
"""

from __future__ import annotations

from enum import StrEnum


class Origin(StrEnum):
    """Where a value comes from; it decides how far the true one may be away from it."""

    GIVEN = "given"
    CLASS = "class"
    MEASURED = "measured"
    ASSUMED = "assumed"

    @property
    def sentence(self) -> str:
        """What it means, in a sentence.

        Examples
        --------
        >>> Origin.ASSUMED.sentence
        'It was not given: it is what is typical of the trade.'
        """
        return _SENTENCES[self]


_SENTENCES = {
    Origin.GIVEN: "It is given in the build's file.",
    Origin.CLASS: "It comes from a class of parts that the build names.",
    Origin.MEASURED: "It was measured on the build itself.",
    Origin.ASSUMED: "It was not given: it is what is typical of the trade.",
}
