"""What went wrong, in the words of the page.

``words_of``      of an error
``begun``         lines that begin as sentences do
``problem_html``  the box that says it
"""

from __future__ import annotations

import re

from inrushlib.errors import InrushError
from inrushlib.parts import keys_in_words
from inrushlib.text import for_html
from inrushlib.trace import CaptureRefused
from widgets.signs import signs

# A word, and no name of a file or key, no unit and nothing that is quoted: those stay as they are.
_WORD = re.compile(r"^[a-z](?=[a-z'’-]*(?:[\s:;,]|$))", re.MULTILINE)


def words_of(error: InrushError) -> str:
    """Return what is wrong; a refused capture names the page's controls."""
    return error.for_page if isinstance(error, CaptureRefused) else str(error)


def begun(words: str) -> str:
    """Return a message with a capital where a line of it begins with a word.

    Parameters
    ----------
    words : str
        The message, of any number of lines.

    Examples
    --------
    >>> print(begun("no column is a time\\nboard.toml: no such file\\nwiring.sections: value missing\\n2 A: too much"))
    No column is a time
    board.toml: no such file
    wiring.sections: value missing
    2 A: too much
    """
    return _WORD.sub(lambda found: found[0].upper(), words)


def problem_html(words: str, of_file: bool = False) -> str:
    """Return the box that says what is wrong; nothing where nothing is.

    Parameters
    ----------
    words : str
        What is wrong.
    of_file : bool
        Whether it is in a file: then keys are spelled as there.
    """
    if not words:
        return ""
    said = words if of_file else signs(keys_in_words(words))
    return f'<div class="wb-problem" role="alert">{for_html(begun(said))}</div>'
