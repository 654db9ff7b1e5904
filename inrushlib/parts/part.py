"""What every part has in common: a frozen set of values, each with unit, bounds and meaning.

``Part``
    base of the parts; reads quantities, checks bounds, fills in what follows from other values
``KeySpec``
    what is known of one value; stands in the field's metadata
``measure``, ``share``, ``whole``, ``choice``, ``yes_no``, ``words``
    the kinds of KeySpec
``ValueKind``
    what kind of value a key has
``Refused``
    a value that is not accepted
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any, ClassVar

from pydantic import BaseModel, ConfigDict, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from inrushlib.parts.ranges import Typical
from inrushlib.quantities import accepted_forms, format_quantity, in_words, meant, parse_gauge, parse_quantity, shown

DERIVED: Any = None
"""Stands where a default follows from other values of the part."""

TYPICAL = "typical of the trade, from memory"

LARGEST_COUNT = 2**31 - 1
LARGEST_GAUGE = 500e-6  # [m2]
ABSOLUTE_ZERO = -273.15  # degrees Celsius
MOST_REPORTED = 5  # wrong entries of one list

Values = Mapping[str, Any]


class ValueKind(StrEnum):
    """What kind of value a key has."""

    NUMBER = "number"
    COUNT = "count"
    GAUGE = "gauge"
    CHOICE = "choice"
    YES_NO = "yes-no"
    TEXT = "text"
    LIST = "list"
    COUNT_LIST = "count list"
    PAIRS = "pairs"

    @property
    def is_whole(self) -> bool:
        """Whether its numbers are whole."""
        return self in (ValueKind.COUNT, ValueKind.COUNT_LIST)

    @property
    def is_list(self) -> bool:
        """Whether it is a list of numbers."""
        return self in (ValueKind.LIST, ValueKind.COUNT_LIST)


class Refused(ValueError):
    """A value that is not accepted.

    Parameters
    ----------
    accepted : str
        What is accepted instead, in words.
    *values : object
        What was found, where it is less than the whole value of the key; each makes one problem.
    key : str
        The key below the place where this is raised, where there is one.
    """

    def __init__(self, accepted: str, *values: object, key: str = "") -> None:
        self.accepted = accepted
        self.values = values
        self.key = key
        super().__init__(accepted)


@cache
def _bound_text(bound: float, unit: str) -> str:
    return format_quantity(bound, unit, digits=6)


@dataclass(frozen=True, kw_only=True)
class KeySpec:
    """Specification of one value of a part: unit, bounds, meaning, and where a builder finds it.

    Attributes
    ----------
    meaning, where_found : str
        What the value is, and where a builder reads it off.
    unit : str
        SI; empty for a pure number.
    kind : str
        What kind of value it is: a number, a count, a list, a gauge, a choice, text.
    low, high : float
        Bounds [unit of the value].
    low_included : bool
        Whether ``low`` itself is accepted.
    choices : tuple of str
        Words to choose from.
    optional : bool
        Whether there may be no value at all.
    length : int or callable or None
        How many entries a list has [1], or how many for the part's values before it; None for any number.
    one_for_each : str
        What a list has an entry for.
    one_for_all : bool
        Whether one value may stand for a whole list.
    derive : callable or None
        The default where it follows from the part's values before this one.
    instead : str
        A word that may stand in place of the number.
    default_text : str
        The default in words, where a value does not say it.
    source : str
        Where the default comes from.
    """

    meaning: str
    where_found: str
    unit: str = ""
    kind: ValueKind = ValueKind.NUMBER
    low: float = -math.inf
    high: float = math.inf
    low_included: bool = True
    choices: tuple[str, ...] = ()
    optional: bool = False
    length: int | Callable[[Values], int] | None = None
    one_for_each: str = ""
    one_for_all: bool = False
    derive: Callable[[Values], Any] | None = None
    instead: str = ""
    default_text: str = ""
    source: str = TYPICAL

    def bounds(self) -> str:
        """Bounds in words: ``"above 0 V"``, ``"1 to 64, whole"``, or the choices."""
        if self.choices:
            return " or ".join(f'"{name}"' for name in self.choices)
        if self.kind in (ValueKind.YES_NO, ValueKind.TEXT):
            return "true or false" if self.kind is ValueKind.YES_NO else "text that is not empty"
        low, high = (_bound_text(bound, self.unit) for bound in (self.low, self.high))
        if self.high < LARGEST_COUNT:
            text = low if self.low == self.high else f"{low} to {high}"
            if not self.low_included:
                text = f"above {low}, up to {high}"
        elif self.low > -math.inf:
            text = f"{low} or more" if self.low_included else f"above {low}"
        else:
            text = "any"
        return f"{text}, whole" if self.kind.is_whole else text

    def accepted(self) -> str:
        """What is accepted, in words: bounds, and how the value may be written."""
        if self.kind is ValueKind.GAUGE:
            return 'text with its unit such as "22 AWG" (4/0 to 40 AWG) or "0.5 mm2"'
        text = self.bounds()
        if self.kind in (ValueKind.NUMBER, ValueKind.LIST, ValueKind.PAIRS):
            text = f"{text}; {accepted_forms(self.unit)}" if self.unit else f"{text}, {accepted_forms('')}"
        if self.kind is ValueKind.PAIRS:
            return f"a list of {self.one_for_each}, each {text}"
        if self.kind.is_list:
            one = "one value or a list" if self.one_for_all else "a list"
            text = f"{one} with one for each {self.one_for_each}; each {text}"
        return f'"{self.instead}", or {text}' if self.instead else text

    def convert(self, value: object, values: Values) -> Any:
        """Resolved value in SI of ``value`` as it was given; ``values`` holds the part's values before this one.

        Raises
        ------
        Refused
            For a value that is not accepted.
        """
        if self.instead and value == self.instead:
            return value
        if self.kind is ValueKind.PAIRS:
            return self._pairs(value)
        if not self.kind.is_list:
            return self.convert_one(value)
        if self.one_for_all and not isinstance(value, list | tuple):
            return (self.convert_one(value),) * self._length(values)
        if not isinstance(value, list | tuple):
            raise Refused(self.accepted())
        members = self._members(value)
        wanted = self._length(values) if self.length is not None else len(members)
        if len(members) != wanted:
            raise Refused(f"a list of {wanted}, one for each {self.one_for_each}")
        return members

    def convert_one(self, value: object) -> Any:
        """Resolved value in SI of one entry, ``value`` as it was given, within its bounds.

        Raises
        ------
        Refused
            For a value that is not accepted.
        """
        try:
            match self.kind:
                case ValueKind.YES_NO if isinstance(value, bool):
                    return value
                case ValueKind.CHOICE if isinstance(value, str) and value in self.choices:
                    return value
                case ValueKind.TEXT if isinstance(value, str) and value.strip() and _is_unicode(value):
                    return value
                case ValueKind.GAUGE:
                    return self._within(parse_gauge(value))
                case ValueKind.NUMBER | ValueKind.LIST | ValueKind.PAIRS:
                    return self._within(parse_quantity(value, self.unit))
                case ValueKind.COUNT | ValueKind.COUNT_LIST:
                    number = self._within(parse_quantity(value, ""))
                    if number == int(number):
                        return int(number)
        except ValueError:
            pass
        raise Refused(self.accepted() + self._spelling(value), value)

    def _spelling(self, value: object) -> str:
        """The end of the message on a text whose meaning is plain, though it is not written as it has to be."""
        match self.kind:
            case ValueKind.GAUGE:
                return in_words(meant(value, "m2"))
            case ValueKind.NUMBER | ValueKind.LIST | ValueKind.PAIRS:
                return in_words(meant(value, self.unit))
        return ""

    def _within(self, number: float) -> float:
        high = min(self.high, LARGEST_COUNT) if self.kind.is_whole else self.high
        if not self.low <= number <= high or (number == self.low and not self.low_included):
            raise ValueError
        return number + 0.0  # -0.0 becomes 0.0

    def _members(self, value: list[Any] | tuple[Any, ...]) -> tuple[Any, ...]:
        members, wrong = [], []
        for entry in value:
            try:
                members.append(self.convert_one(entry))
            except Refused:
                wrong.append(entry)
        if wrong:
            raise Refused(self.accepted() + self._spelling(wrong[0]), *wrong[:MOST_REPORTED])
        return tuple(members)

    def _pairs(self, value: object) -> tuple[tuple[Any, ...], ...]:
        if not isinstance(value, list | tuple):
            raise Refused(self.accepted())
        wrong = [pair for pair in value if not (isinstance(pair, list | tuple) and len(pair) == 2)]
        if wrong:
            raise Refused(self.accepted(), *wrong[:MOST_REPORTED])
        return tuple(self._members(pair) for pair in value)

    def _length(self, values: Values) -> int:
        assert self.length is not None
        return self.length if isinstance(self.length, int) else self.length(values)


def measure(
    unit: str, highest: float, meaning: str, where_found: str, *, zero: bool = False, low: float = 0.0, **more: Any
) -> KeySpec:
    """About a quantity above zero; with ``zero``, zero too.

    Parameters
    ----------
    unit : str
        SI unit [text].
    highest : float
        Highest value [unit]: far beyond any real part of the trade, so that a slip of a unit is refused.
    meaning, where_found : str
        Texts for the tooltip [text].
    zero : bool
        Whether the lowest value is allowed itself.
    low : float
        Lowest value [unit], finite.
    **more : object
        Further fields of KeySpec [as there].

    Returns
    -------
    KeySpec
        For the field's metadata.
    """
    return KeySpec(
        meaning=meaning, where_found=where_found, unit=unit, low=low, high=highest, low_included=zero, **more
    )


def share(meaning: str, where_found: str, **more: Any) -> KeySpec:
    """About a list of duties, 0 to 1.

    Parameters
    ----------
    meaning, where_found : str
        Texts for the tooltip [text].
    **more : object
        Further fields of KeySpec [as there].

    Returns
    -------
    KeySpec
        For the field's metadata.
    """
    return KeySpec(meaning=meaning, where_found=where_found, kind=ValueKind.LIST, low=0.0, high=1.0, **more)


def whole(low: int, high: float, meaning: str, where_found: str, **more: Any) -> KeySpec:
    """About a count.

    Parameters
    ----------
    low : int
        Lowest count [1].
    high : float
        Highest count [1], infinite for none.
    meaning, where_found : str
        Texts for the tooltip [text].
    **more : object
        Further fields of KeySpec [as there].

    Returns
    -------
    KeySpec
        For the field's metadata.
    """
    more.setdefault("kind", ValueKind.COUNT)
    return KeySpec(meaning=meaning, where_found=where_found, low=float(low), high=high, **more)


def choice(choices: tuple[str, ...], meaning: str, where_found: str) -> KeySpec:
    """About one of several words.

    Parameters
    ----------
    choices : tuple of str
        The words [text].
    meaning, where_found : str
        Texts for the tooltip [text].

    Returns
    -------
    KeySpec
        For the field's metadata.
    """
    return KeySpec(meaning=meaning, where_found=where_found, kind=ValueKind.CHOICE, choices=choices)


def yes_no(meaning: str, where_found: str) -> KeySpec:
    """About something that is there or not.

    Parameters
    ----------
    meaning, where_found : str
        Texts for the tooltip [text].

    Returns
    -------
    KeySpec
        For the field's metadata.
    """
    return KeySpec(meaning=meaning, where_found=where_found, kind=ValueKind.YES_NO)


class Part(BaseModel):
    """Base of the parts: frozen, no keys but its own, all values resolved to SI floats.

    A key that is not given takes its default; one whose default follows from other keys is filled in
    from those. Values may be given as a file gives them: numbers in SI, or text with a unit.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", validate_default=True)

    about: ClassVar[dict[str, KeySpec]] = {}
    typical: ClassVar[dict[str, Typical]] = {}
    """How far the true value of each numeric key may be from that of a build."""

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        super().__pydantic_init_subclass__(**kwargs)
        cls.about = {
            name: next(entry for entry in field.metadata if isinstance(entry, KeySpec))
            for name, field in cls.model_fields.items()
        }

    @field_validator("*", mode="before")
    @classmethod
    def _resolve(cls, value: object, info: ValidationInfo) -> Any:
        about = cls.about[info.field_name or ""]
        try:
            if value is None and about.derive is not None:
                return about.derive(info.data)
            if value is None and about.optional:
                return None
            return about.convert(value, info.data)
        except KeyError as absent:
            # A value that this one needs was refused; that is the problem to report, not this.
            raise PydanticCustomError("waits", "waits for another value") from absent


def has(values: Values, *names: str) -> bool:
    """Whether all these values are there, that is, were accepted and are not None.

    Parameters
    ----------
    values : mapping
        The part's values so far [SI].
    *names : str
        Keys to look for [text].

    Returns
    -------
    bool
        True when none is missing.

    Examples
    --------
    >>> has({"length": 1.2, "gauge": None}, "length"), has({"length": 1.2, "gauge": None}, "length", "gauge")
    (True, False)
    """
    return all(values.get(name) is not None for name in names)


def same_length_as(other: str) -> Callable[[Values], int]:
    """A length that is that of another list of the part.

    Parameters
    ----------
    other : str
        Key of the other list [text].

    Returns
    -------
    callable
        From the part's values so far to the number of entries [1].

    Examples
    --------
    >>> same_length_as("feeds")({"feeds": (0, 4)})
    2
    """
    return lambda values: len(values[other])


def _is_unicode(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


__all__ = [
    "ABSOLUTE_ZERO", "DERIVED", "KeySpec", "Part", "Refused", "ValueKind", "Values", "choice", "has", "measure",
    "same_length_as", "share", "shown", "whole", "yes_no",
]  # fmt: skip
