r"""Words of a builder, made harmless for the place where they are shown.

``one_line``     for one line of a terminal or a list: a title, a file's name, a message
``for_terminal`` for a page of a terminal: as ``one_line``, with the line breaks kept
``for_html``     for the inside of an HTML element or of a quoted attribute
``for_picture``  for a text of a matplotlib figure

A build's title, a key, a file's name or a channel may hold anything. Control characters (escape sequences begin with
one), marks that turn the direction of writing, invisible characters and halves of surrogate pairs are written out,
``\x1b`` or ``\u202e``: nothing happens, and what is there can be seen. All other writing stays as it is.
"""

from __future__ import annotations

import html
import unicodedata

LONGEST = 200  # characters of one field; a title of a sentence or two fits
LONGEST_IN_PICTURE = 90
_WRITTEN_OUT = {"Cc", "Cf", "Cs", "Zl", "Zp"}  # general categories of Unicode (standard annex 44)
_JOINERS = "\u200c\u200d"  # without width, but Persian, Indic scripts and joined pictographs need them


def one_line(text: str, longest: int | None = None) -> str:
    r"""Return words as one line that nothing in them can break, colour or turn around.

    Parameters
    ----------
    text : str
        Anything.
    longest : int or None
        Characters [1] after which it is cut, with an ellipsis; None for no limit.

    Examples
    --------
    >>> one_line("two\nlines, \x1b[31mred, \u202eback"), one_line("x" * 9, 5)
    ('two lines, \\x1b[31mred, \\u202eback', 'xxxx…')
    """
    return _cut("".join(" " if c in "\t\r\n" else _visible(c) for c in text.replace("\r\n", "\n")), longest)


def for_terminal(text: str) -> str:
    r"""Return a page of words, ``text``, for a terminal; line breaks stay, nothing else acts.

    Examples
    --------
    >>> for_terminal("a\n  b\x07")
    'a\n  b\\x07'
    """
    return "".join(c if c == "\n" else _visible(c) for c in text)


def for_html(text: str) -> str:
    r"""Return words, ``text``, for the inside of an HTML element or of a quoted attribute.

    Examples
    --------
    >>> for_html('<b title="x">R&D\x1b</b>')
    '&lt;b title=&quot;x&quot;&gt;R&amp;D\\x1b&lt;/b&gt;'
    """
    return html.escape(for_terminal(text), quote=True)


def for_picture(text: str, longest: int | None = LONGEST_IN_PICTURE) -> str:
    r"""Return words as one line of a matplotlib text that is set as it is written, never as a formula.

    Parameters
    ----------
    text : str
        Anything.
    longest : int or None
        Characters [1] after which it is cut, with an ellipsis; None for no limit.

    Examples
    --------
    >>> for_picture("costs $5 to $9")
    'costs \\$5 to \\$9'
    """
    return one_line(text, longest).replace("$", r"\$")


def _visible(character: str) -> str:
    if unicodedata.category(character) not in _WRITTEN_OUT or character in _JOINERS:
        return character
    return character.encode("unicode_escape").decode("ascii")


def _cut(text: str, longest: int | None) -> str:
    return text if longest is None or len(text) <= longest else f"{text[: longest - 1]}…"
