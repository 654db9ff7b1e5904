"""Classes of parts: what is typical of a plug-in adapter, a USB cable, a pixel of 12 mA, each value with its range.

``part_classes``
    the classes of a table of the build file, by name
``PartClass``, ``ClassValue``, ``ClassFact``
    one class, one of its values, and what is worth knowing of it that no key says
``class_values``
    the values of a class, as a build file would give them
``CLASS_KEY``
    the key that takes one

The classes stand in ``catalog/*.toml``, with a source beside each value.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from inrushlib.errors import BuildError
from inrushlib.parts.tables import TABLES
from inrushlib.quantities import parse_quantity, shown

CLASS_KEY: Final = "class"
"""Key of a table that names the class of its part."""

_CATALOG = Path(__file__).parent / "catalog"
_WORDS: Final = ("group", "meaning", "facts")


@dataclass(frozen=True, kw_only=True)
class ClassFact:
    """What is worth knowing of a class that no key says.

    Attributes
    ----------
    name, value, source : str
        Such as "tolerance", "-20 % to +20 %", and where it comes from.
    """

    name: str
    value: str
    source: str


@dataclass(frozen=True, kw_only=True)
class ClassValue:
    """One value of a class.

    Attributes
    ----------
    key : str
        Key of the table.
    value : object
        As a build file would give it; a factor where ``times`` is given.
    low, high : object
        Ends of its range, written as the value is; None where there is no range.
    times, over : str
        Key of the same table that the value is multiplied by, or divided by; empty for neither.
    source : str
        Where value and range come from.
    """

    key: str
    value: Any
    low: Any = None
    high: Any = None
    times: str = ""
    over: str = ""
    source: str

    def resolved(self, written: Any, reference: float | None) -> Any:
        """A value of this entry, or an end of its range, as a build file would give it.

        Parameters
        ----------
        written : object
            The value, low or high.
        reference : float or None
            Value of the key that it is multiplied or divided by [unit of that key, SI]; None for none.

        Returns
        -------
        object
            The value; None where its reference is missing.
        """
        if not (self.times or self.over):
            return written
        if reference is None:
            return None
        if self.times:
            return parse_quantity(written, "") * reference
        return parse_quantity(written, "V") / reference


@dataclass(frozen=True, kw_only=True)
class PartClass:
    """A class of a part.

    Attributes
    ----------
    table, name : str
        Table of the build file, and what its ``class`` key says.
    group : str
        What it stands under in a list.
    meaning : str
        What it is, in words.
    values : dict of str to ClassValue
        By key.
    facts : tuple of ClassFact
        What no key says.
    """

    table: str
    name: str
    group: str
    meaning: str
    values: dict[str, ClassValue]
    facts: tuple[ClassFact, ...]

    def given(self, own: Mapping[str, Any] | None = None) -> dict[str, Any]:
        """Values of the class, as a build file would give them.

        Parameters
        ----------
        own : mapping or None
            What the build gives in the table itself [as in the file]: what grows with one of its keys follows that.

        Returns
        -------
        dict of str to object
            By key.
        """
        found = {key: self._written(entry, entry.value, own or {}) for key, entry in self.values.items()}
        return {key: value for key, value in found.items() if value is not None}

    def ranges(self, own: Mapping[str, Any] | None = None) -> dict[str, tuple[Any, Any]]:
        """Ranges of the class's values in SI; only of those that have one.

        Parameters
        ----------
        own : mapping or None
            As for :meth:`given`.

        Returns
        -------
        dict of str to (float, float)
            Low and high by key [unit of the key, SI].
        """
        about = TABLES[self.table].about
        found = {}
        for key, entry in self.values.items():
            ends = [self._written(entry, end, own or {}) for end in (entry.low, entry.high)]
            if None not in ends:
                low, high = (about[key].convert_one(end) for end in ends)
                found[key] = (low, high)
        return found

    def _written(self, entry: ClassValue, written: Any, own: Mapping[str, Any]) -> Any:
        if written is None:
            return None
        reference = entry.times or entry.over
        return entry.resolved(written, self._reference(reference, own) if reference else None)

    def _reference(self, key: str, own: Mapping[str, Any]) -> float | None:
        try:
            return float(TABLES[self.table].about[key].convert_one(own.get(key, self.values[key].value)))
        except ValueError:
            return None  # refused with all else that is wrong


@cache
def part_classes(table: str) -> dict[str, PartClass]:
    """Classes of a table of the build file.

    Parameters
    ----------
    table : str
        Such as ``"adapter"``.

    Returns
    -------
    dict of str to PartClass
        By name, in the catalog's order; empty for a table that has none.

    Examples
    --------
    >>> part_classes("adapter")["plug-in 3 A"].meaning
    'a plug-in adapter, 5 V, 3 A'
    """
    return {each.name: each for each in _catalog() if each.table == table}


def class_values(table: str, name: str, own: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Values of a class, as a build file would give them.

    Parameters
    ----------
    table : str
        Such as ``"adapter"``.
    name : str
        Name of one of its classes.
    own : mapping or None
        What the build gives in that table [as in the file].

    Returns
    -------
    dict of str to object
        By key, without the table.

    Raises
    ------
    BuildError
        For a class that is not there.

    Examples
    --------
    >>> class_values("adapter", "plug-in 2 A")["limit_current"]
    2.4
    """
    if name not in part_classes(table):
        raise BuildError(class_problem(table, name))
    return part_classes(table)[name].given(own)


def class_problem(table: str, name: object) -> str:
    """Say that there is no such class, and which there are.

    Parameters
    ----------
    table : str
        Table of the build file.
    name : object
        What was given.

    Examples
    --------
    >>> class_problem("run", "fast")
    'run.class: value "fast"; accepted: no class, this table has none'
    """
    names = ", ".join(f'"{each}"' for each in part_classes(table))
    return f"{table}.{CLASS_KEY}: value {shown(name)}; accepted: {names or 'no class, this table has none'}"


def with_classes(given: Mapping[str, Any]) -> tuple[dict[str, Any], list[str]]:
    """Fill in what the classes of the tables say, below what the tables say themselves.

    Parameters
    ----------
    given : mapping
        Tables of keys [as in the file].

    Returns
    -------
    (dict, list of str)
        The tables without their class keys, and what is wrong with those.
    """
    filled, problems = dict(given), []
    for table, own in given.items():
        if table not in TABLES or not isinstance(own, dict) or CLASS_KEY not in own:
            continue
        name, keys = own[CLASS_KEY], {key: value for key, value in own.items() if key != CLASS_KEY}
        found = part_classes(table).get(name) if isinstance(name, str) else None
        if found is None:
            problems.append(class_problem(table, name))
        filled[table] = keys if found is None else {**found.given(keys), **keys}
    return filled, problems


@cache
def _catalog() -> tuple[PartClass, ...]:
    return tuple(
        each
        for path in sorted(_CATALOG.glob("*.toml"), key=lambda path: path.stem)
        for each in _read(tomllib.loads(path.read_text(encoding="utf-8")))
    )


def _read(document: dict[str, Any]) -> list[PartClass]:
    tables = document.pop("tables")
    entries: dict[str, dict[str, Any]] = {}
    for name, own in document.items():
        entries[name] = {**entries.get(own.pop("like", ""), {}), **own}
    return [_class(table, name, entry) for table in tables for name, entry in entries.items()]


def _class(table: str, name: str, entry: dict[str, Any]) -> PartClass:
    values = {key: _value(key, told) for key, told in entry.items() if key not in _WORDS}
    facts = tuple(ClassFact(**fact) for fact in entry.get("facts", ()))
    return PartClass(
        table=table, name=name, group=entry["group"], meaning=entry["meaning"], values=values, facts=facts
    )  # fmt: skip


def _value(key: str, told: dict[str, Any]) -> ClassValue:
    low, high = told.get("range", (None, None))
    return ClassValue(key=key, low=low, high=high, **{name: each for name, each in told.items() if name != "range"})
