"""Unvalidated key/value tables, as read from the file.

``with_put``
    a copy with values put in and taken out, by dotted key
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from inrushlib.errors import BuildError, listed
from inrushlib.parts.classes import CLASS_KEY
from inrushlib.parts.problems import unknown_key
from inrushlib.parts.tables import TABLES, build_keys
from inrushlib.quantities import shown

Given = dict[str, Any]


def with_put(given: Given, values: Mapping[str, Any]) -> Given:
    """A copy with these values put in; None takes a key out.

    Parameters
    ----------
    given : dict
        Tables of keys [as a file gives them].
    values : mapping of str to object
        Dotted key to value; a table's name takes a whole table.

    Returns
    -------
    dict
        The copy; the values are not checked yet.

    Raises
    ------
    BuildError
        With every key that the format does not have.

    Examples
    --------
    >>> with_put({"lead": {"length": 2}}, {"lead.length": None, "bus.bulk": "470 uF"})
    {'lead': {}, 'bus': {'bulk': '470 uF'}}
    """
    copy = {name: dict(value) if isinstance(value, dict) else value for name, value in given.items()}
    wrong = [key for key, value in values.items() if not _put(copy, key, value)]
    if wrong:
        raise BuildError(listed(partial(_no_key, key) for key in wrong))
    return copy


def _no_key(key: object) -> str:
    if isinstance(key, str):
        return unknown_key(key)
    return f"{shown(key)}: unknown key; accepted: a dotted key such as adapter.rated_current"


def _put(given: Given, key: object, value: Any) -> bool:
    """Put a value in, or take it out where it is None; False where the format has no such key."""
    if not isinstance(key, str):
        return False
    table, dot, name = key.partition(".")
    known = key in build_keys() or key in (*TABLES, "tolerance") or (table == "tolerance" and name)
    known = known or (table in TABLES and name == CLASS_KEY)
    if not known:
        return False
    if not dot:
        if value is None:
            given.pop(key, None)
        else:
            given[key] = _plain(value)
        return True
    keys = given.setdefault(table, {}) if value is not None else given.get(table)
    if isinstance(keys, dict):  # what is no table is refused later, with all other problems
        if value is None:
            keys.pop(name, None)
        else:
            keys[name] = _plain(value)
    return True


def _plain(value: Any) -> Any:
    """Lists for tuples and arrays, plain numbers for those of numpy: what a file can hold."""
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, Mapping):
        return {str(key): _plain(entry) for key, entry in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(entry) for entry in value]
    return value
