"""What pydantic found wrong with a build, in the builder's words: one line a problem."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from typing import Any

from pydantic import ValidationError

from inrushlib.errors import listed
from inrushlib.parts.part import Refused
from inrushlib.parts.tables import TABLES, build_keys
from inrushlib.parts.tolerance import SeveralRefused
from inrushlib.quantities import shown


def problems_of(error: ValidationError, given: Mapping[str, Any]) -> list[str]:
    """One line for each of the first problems, naming table, key, value and what is accepted.

    Parameters
    ----------
    error : pydantic.ValidationError
        What the parts refused.
    given : mapping
        The tables as they were given; values [as in the file].

    Returns
    -------
    list of str
        In the order of the format, with a count of those that are not listed; empty never.
    """
    return listed(_each(error, given))


def _each(error: ValidationError, given: Mapping[str, Any]) -> Iterator[Callable[[], str]]:
    """The line of each problem, to be asked for: finding the closest of all keys takes a while."""
    problems = error.errors(include_url=False)
    missing = [".".join(str(name) for name in each["loc"]) for each in problems if each["type"] == "missing"]
    for problem in problems:
        names = tuple(str(name) for name in problem["loc"])
        cause = problem.get("ctx", {}).get("error")
        match problem["type"]:
            case "waits":
                continue
            case "missing":
                yield partial(_missing, names)
            case "extra_forbidden":
                yield partial(_unknown, names, given, missing)
            case "model_type":
                yield partial(_not_a_table, names[0], given)
            case _ if isinstance(cause, SeveralRefused):
                for refused in cause.problems:
                    yield from _refused(names, refused, given)
            case _ if isinstance(cause, Refused):
                yield from _refused(names, cause, given)
            case _:
                yield partial(_wrong, names, given)


def unknown_key(key: str, missing: Sequence[str] = ()) -> str:
    """The problem of a key that the format does not have, with the name that was probably meant.

    Parameters
    ----------
    key : str
        Dotted key.
    missing : sequence of str
        Dotted keys that have to be given and are not: a key of theirs is the likeliest to have been meant.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> unknown_key("adapter.rated_curent")
    'adapter.rated_curent: unknown key; accepted: the keys of adapter, perhaps adapter.rated_current'
    >>> unknown_key("adapter.label", ["adapter.rated_current"])
    'adapter.label: unknown key; accepted: the keys of adapter, perhaps adapter.rated_current'
    """
    table = key.partition(".")[0]
    shown_key = key if len(key) <= 60 and key.isprintable() else shown(key)
    if table in TABLES:
        meant = _meant(table, key.partition(".")[2], missing)
        keys = f"the keys of {table}, perhaps {table}.{meant}" if meant else ", ".join(_names(table))
        return f"{shown_key}: unknown key; accepted: {keys}"
    names = [*TABLES, "tolerance", "title", "format"]
    plain = [name for name in build_keys() if name.rpartition(".")[2] == key]
    close = plain[:1] or difflib.get_close_matches(table[:200], names, n=1)
    hint = f"; perhaps {close[0]}" if close else ""  # all names stand there: no hint is better than a wrong one
    return f"{shown_key}: unknown table or key; accepted: {', '.join(names)}{hint}"


def _names(table: str) -> list[str]:
    return [key.partition(".")[2] for key in build_keys() if key.startswith(f"{table}.")]


def _meant(table: str, name: str, missing: Sequence[str]) -> str | None:
    """The key that was probably meant: one that is much like it, else one that has to be given and is not."""
    close = difflib.get_close_matches(name[:200], _names(table), n=1)
    needed = [key.partition(".")[2] for key in missing if key.startswith(f"{table}.")]
    return next(iter([*close, *difflib.get_close_matches(name[:200], needed, n=1, cutoff=0.0), *needed]), None)


def _missing(names: tuple[str, ...]) -> str:
    return f"{'.'.join(names)}: value missing; accepted: {_accepted(names)}"


def _wrong(names: tuple[str, ...], given: Mapping[str, Any]) -> str:
    return f"{'.'.join(names)}: value {_given(names, given)}; accepted: {_accepted(names)}"


def _unknown(names: tuple[str, ...], given: Mapping[str, Any], missing: Sequence[str]) -> str:
    line = unknown_key(".".join(names), missing)
    return f"{line} (value {_given(names, given)})"


def _refused(names: tuple[str, ...], refused: Refused, given: Mapping[str, Any]) -> Iterator[Callable[[], str]]:
    if not refused.values:
        yield partial(_refused_value, names, refused, given)
    for value in refused.values:
        yield partial(_refused_value, names, refused, given, value)


def _refused_value(names: tuple[str, ...], refused: Refused, given: Mapping[str, Any], *entry: Any) -> str:
    """The line of a value that is not accepted, or of one entry of it."""
    path = (*names, refused.key) if refused.key else names
    whole = _given(path, given)
    value = shown(entry[0]) if entry else whole
    where = ".".join(names) if not refused.key else f"{names[0]}.{shown(refused.key)}"
    inside = f" in {whole}" if entry and whole.startswith("[") else ""
    return f"{where}: value {value}{inside}; accepted: {refused.accepted}"


def _not_a_table(name: str, given: Mapping[str, Any]) -> str:
    return f"{name}: value {shown(given.get(name))}; accepted: a table, [{name}] with its keys below"


def _given(path: tuple[str, ...], given: Any) -> str:
    for name in path:
        if not isinstance(given, Mapping) or name not in given:
            info = build_keys().get(".".join(path))
            return f"{info.default_text} (the default)" if info else "missing"
        given = given[name]
    return shown(given)


def _accepted(names: tuple[str, ...]) -> str:
    info = build_keys().get(".".join(names[:2]))
    return info.accepted if info else "what the format says"
