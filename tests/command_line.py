"""The words behind ``python -m tests.something``: all studies are called the same way, and ``--help`` says how.

``call``    calls a study's main with the words of the command line
``one_of``  what a word may be, where only some names are known
"""

from __future__ import annotations

import argparse
import inspect
from collections.abc import Callable, Collection, Sequence
from typing import Any


def call(
    main: Callable[..., Any], said: str | None, words: Sequence[str] | None = None, names: Collection[str] = ()
) -> Any:
    """Return what a study's main does with the words of the command line.

    Parameters
    ----------
    main : callable
        Its parameters are the words, in this order: whole numbers with a default, or one sequence of names;
        those that are false unless said are options.
    said : str
        What ``--help`` prints, the module's docstring.
    words : sequence of str or None
        The words; None for those of the command line.
    names : collection of str
        Which names there are; empty where any will do.
    """
    parser = argparse.ArgumentParser(description=said, formatter_class=argparse.RawDescriptionHelpFormatter)
    for name, each in inspect.signature(main).parameters.items():
        if isinstance(each.default, bool):
            parser.add_argument(f"--{name}", action="store_true", default=each.default)
        elif isinstance(each.default, int):
            parser.add_argument(name, type=int, nargs="?", default=each.default, help=f"{each.default} if not said")
        else:
            parser.add_argument(name, type=one_of(names) if names else str, nargs="*")
    return main(**vars(parser.parse_args(words)))


def one_of(names: Collection[str]) -> Callable[[str], str]:
    """Return a reader of one word that refuses all but some names."""

    def read(word: str) -> str:
        if word not in names:
            raise argparse.ArgumentTypeError(f"{word!r}; accepted: {', '.join(names)}")
        return word

    return read
