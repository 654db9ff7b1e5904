"""Tolerances: which values of a build scatter, and how far."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel, ConfigDict, model_validator

from inrushlib.parts.part import KeySpec, Refused, ValueKind
from inrushlib.parts.tables import TABLES
from inrushlib.quantities import parse_quantity

FORMS = '{ low = ..., high = ... }, { relative = 0.2 } or { sigma = ... }, each also with group = "a name"'
NUMERIC_KINDS = (ValueKind.NUMBER, ValueKind.COUNT, ValueKind.GAUGE, ValueKind.LIST, ValueKind.COUNT_LIST)


class Spread(BaseModel):
    """How one value scatters: ``low`` and ``high``, or ``relative``, or ``sigma``.

    Where the key is a list, the spread holds for each entry. ``low``, ``high`` and ``sigma`` are in the
    key's SI unit, ``relative`` is a share of the value, above 0 to 1. Keys with the same ``group`` are of one
    reel or one label: they are high together and low together.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    key: str
    low: float | None = None
    high: float | None = None
    relative: float | None = None
    sigma: float | None = None
    group: str = ""


class Tolerance(BaseModel):
    """The spreads of a build, one for each key that scatters."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    spreads: tuple[Spread, ...] = ()

    @model_validator(mode="before")
    @classmethod
    def _read(cls, given: Any) -> Any:
        if not isinstance(given, Mapping) or isinstance(given.get("spreads"), tuple):
            return given  # already spreads, or to be refused as no table
        spreads, refused = [], []
        for key, entry in given.items():
            try:
                spreads.append(_spread(key, entry))
            except Refused as problem:
                refused.append(problem)
        if refused:
            raise SeveralRefused(refused)
        return {"spreads": tuple(spreads)}

    @property
    def unused(self) -> str:
        """Say where the table has an effect and where none, in one sentence; empty where there is no table."""
        if not self.spreads:
            return ""
        return "[tolerance] is for `inrush spread` and what is said by odds; all else is for the values as they stand."

    def keys(self) -> tuple[str, ...]:
        """Dotted keys that scatter, in the order of the file."""
        return tuple(spread.key for spread in self.spreads)

    def __getitem__(self, key: str) -> Spread:
        for spread in self.spreads:
            if spread.key == key:
                return spread
        raise KeyError(key)

    def __len__(self) -> int:
        return len(self.spreads)

    def each(self) -> Iterator[Spread]:
        """The spreads, in the order of the file."""
        return iter(self.spreads)


class SeveralRefused(ValueError):
    """Several values that are not accepted, each with its own key."""

    def __init__(self, problems: list[Refused]) -> None:
        self.problems = problems
        super().__init__("; ".join(str(problem) for problem in problems))


def _about(key: str) -> KeySpec:
    table, _, name = key.partition(".")
    part = TABLES.get(table)
    about = part.about.get(name) if part else None
    if about is None and part and not name:
        raise Refused(f'the key in quotes, such as "{table}.{next(iter(part.about))}" = {FORMS}', key=key)
    if about is None or about.kind not in NUMERIC_KINDS:
        raise Refused('the quoted "table.key" of a number of the build', key=key)
    return about


def _spread(key: str, entry: Any) -> Spread:
    about = _about(key)
    forms = ({"low", "high"}, {"relative"}, {"sigma"})
    if not isinstance(entry, Mapping) or {name for name in entry if name != "group"} not in forms:
        raise Refused(FORMS, key=key)
    group = entry.get("group", "")
    if not isinstance(group, str) or ("group" in entry and not group.strip()):
        raise Refused("group as text that is not empty", group, key=key)
    if "relative" in entry:
        return Spread(key=key, relative=_relative(key, entry["relative"]), group=group)
    if "sigma" in entry:
        return Spread(key=key, sigma=_sigma(key, about, entry["sigma"]), group=group)
    low, high = (_bound(key, about, name, entry[name]) for name in ("low", "high"))
    if low >= high:
        raise Refused("low below high", key=key)
    return Spread(key=key, low=low, high=high, group=group)


def _relative(key: str, value: object) -> float:
    try:
        share = parse_quantity(value, "")
    except ValueError:
        share = -1.0
    if not 0 < share <= 1:
        raise Refused("relative above 0 to 1, a plain number without a unit", value, key=key)
    return share


def _sigma(key: str, about: KeySpec, value: object) -> float:
    # A standard deviation in the key's unit; that of a count need not be whole.
    try:
        sigma = about.convert_one(value) if about.kind is ValueKind.GAUGE else parse_quantity(value, about.unit)
    except ValueError:
        sigma = -1.0
    if not sigma > 0:
        raise Refused(f"sigma above zero, written like the value: {about.accepted()}", value, key=key)
    return float(sigma)


def _bound(key: str, about: KeySpec, name: str, value: object) -> float:
    try:
        return float(about.convert_one(value))
    except Refused as refused:
        raise Refused(f"{name} within the key's own bounds: {refused.accepted}", value, key=key) from None
