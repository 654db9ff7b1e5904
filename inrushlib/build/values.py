"""What a build says: the values of all its parts, and where each comes from."""

from __future__ import annotations

from functools import cache
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr, field_validator

from inrushlib import document
from inrushlib.errors import BuildError
from inrushlib.measurements import MeasurementLog
from inrushlib.parts import (
    TABLES,
    Adapter,
    Bus,
    Controller,
    Firmware,
    Lead,
    Limiter,
    Origin,
    PanelCapacitors,
    Pixel,
    Run,
    Spread,
    Switch,
    Tolerance,
    Wiring,
    build_keys,
)
from inrushlib.parts.classes import CLASS_KEY, class_values, part_classes
from inrushlib.parts.problems import unknown_key
from inrushlib.parts.raw_values import Given
from inrushlib.parts.tables import FORMAT, TITLE

FORMAT_VERSION = 1
TABLE_NAMES = (*TABLES, "tolerance")
OPTIONAL = ("limiter", "switch")  # no table: no such part


@cache
def _class_keys(table: str, name: str) -> frozenset[str]:
    """Keys of a table for which a class of it has a value."""
    return frozenset(class_values(table, name))


class BuildValues(BaseModel):
    """All resolved values of one build, in SI; frozen. Two are equal when all their values are."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    format: int = FORMAT_VERSION
    title: str
    adapter: Adapter
    lead: Lead = Field(default_factory=Lead)
    limiter: Limiter | None = None
    bus: Bus = Field(default_factory=Bus)
    switch: Switch | None = None
    panel: PanelCapacitors = Field(default_factory=PanelCapacitors)
    controller: Controller = Field(default_factory=Controller)
    firmware: Firmware = Field(default_factory=Firmware)
    pixel: Pixel = Field(default_factory=Pixel)
    wiring: Wiring
    run: Run = Field(default_factory=Run)
    tolerance: Tolerance = Field(default_factory=Tolerance)

    _given: Given = PrivateAttr(default_factory=dict)
    _text: str = PrivateAttr(default="")
    _held_lumps: tuple[int, ...] | None = PrivateAttr(default=None)
    _measured: MeasurementLog = PrivateAttr(default_factory=MeasurementLog)

    @field_validator("format", mode="before")
    @classmethod
    def _check_format(cls, value: object) -> Any:
        return FORMAT.convert_one(value)

    @field_validator("title", mode="before")
    @classmethod
    def _check_title(cls, value: object) -> Any:
        return TITLE.convert_one(value)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, BuildValues):
            return NotImplemented
        return self.__dict__ == other.__dict__

    def __hash__(self) -> int:
        return hash(tuple(self.__dict__.values()))

    @property
    def given(self) -> frozenset[str]:
        """Dotted keys that were given; all others have what the class of their table says, or their defaults."""
        return frozenset(
            f"{name}.{key}" if name in TABLE_NAMES else name
            for name, value in self._as_given().items()
            for key in (value if name in TABLE_NAMES else ("",))
        )

    def class_of(self, table: str) -> str | None:
        """Class of the part of a table; None where the build names none.

        Parameters
        ----------
        table : str
            Such as ``"adapter"``.

        Returns
        -------
        str or None
            Its name, a key of :func:`inrushlib.parts.part_classes`.

        Examples
        --------
        >>> from inrushlib.build import new_build
        >>> build = new_build({"title": "t", "adapter.class": "plug-in 3 A", "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.class_of("adapter"), build.get("adapter.rated_current"), build.class_of("lead")
        ('plug-in 3 A', 3.0, None)
        """
        name = self._given.get(table, {}).get(CLASS_KEY) if table in TABLES else None
        return str(name) if name is not None else None

    @property
    def from_class(self) -> frozenset[str]:
        """Dotted keys whose value the class of their table says; what is given wins over it."""
        named = {table: name for table in TABLES if (name := self.class_of(table)) is not None}
        keys = (f"{table}.{key}" for table, name in named.items() for key in _class_keys(table, name))
        return frozenset(keys) - self.given

    def _is_given(self, key: str) -> bool:
        """Whether a dotted key is among the given ones, which takes less than listing all."""
        table, _, name = key.partition(".")
        given = self._as_given()
        return name in given.get(table, ()) if table in TABLE_NAMES else key in given

    def _is_from_class(self, key: str) -> bool:
        table, _, name = key.partition(".")
        of = self.class_of(table)
        return of is not None and name in _class_keys(table, of) and not self._is_given(key)

    def class_range(self, key: str) -> tuple[float, float] | None:
        """Range that the class of a table says for one of its values; None where it says none or the value is given.

        Parameters
        ----------
        key : str
            Dotted.

        Returns
        -------
        (float, float) or None
            Low and high [unit of the key, SI].

        Examples
        --------
        >>> from inrushlib.build import new_build
        >>> build = new_build({"title": "t", "adapter.class": "plug-in 3 A", "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.class_range("adapter.output_capacitance"), build.class_range("bus.ceramic")
        ((0.00047, 0.0022), None)
        """
        if not self._is_from_class(key):
            return None
        table, _, name = key.partition(".")
        own = {each: value for each, value in self._given[table].items() if each != CLASS_KEY}
        ends = part_classes(table)[str(self.class_of(table))].ranges(own).get(name)
        return None if ends is None else (min(ends), max(ends))

    def origin(self, key: str) -> Origin:
        """Where the value of a dotted key comes from.

        Parameters
        ----------
        key : str
            Such as ``"adapter.limit_current"``.

        Returns
        -------
        Origin
            Measured, where :attr:`measured` says so, else given, of its class, or assumed.

        Examples
        --------
        >>> from inrushlib.build import new_build
        >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.origin("adapter.rated_current").value, build.origin("adapter.limit_current").value
        ('given', 'assumed')
        """
        if key in self._measured.newest():
            return Origin.MEASURED
        if self._is_given(key):
            return Origin.GIVEN
        return Origin.CLASS if self._is_from_class(key) else Origin.ASSUMED

    def get(self, key: str) -> Any:
        """Resolved value of a dotted key; None where the build has no such part.

        Parameters
        ----------
        key : str
            Such as ``"adapter.limit_current"`` or ``"title"``.

        Returns
        -------
        object
            The value [unit of the key, SI], None for what the build does not have.

        Raises
        ------
        BuildError
            For a key that the format does not have.

        Examples
        --------
        >>> from inrushlib.build import new_build
        >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.get("adapter.limit_current")
        2.4
        """
        if key not in build_keys():
            raise BuildError(unknown_key(key))
        table, _, name = key.rpartition(".")
        part = getattr(self, table) if table else self
        return None if part is None else getattr(part, name)

    def differences(self, other: BuildValues) -> dict[str, tuple[Any, Any]]:
        """Keys whose resolved values differ, with the value here and there.

        Parameters
        ----------
        other : Build
            What to compare with.

        Returns
        -------
        dict of str to (object, object)
            Dotted key to both values [unit of the key, SI], in the order of the format; None for a part that is
            not there. What follows from a changed value is among them, and each ``Spread`` under its key.

        Examples
        --------
        >>> from inrushlib.build import new_build
        >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.differences(build.with_values({"adapter.limit_current": "3 A"}))
        {'adapter.limit_current': (2.4, 3.0), 'adapter.foldback_current': (0.72, 0.8999999999999999)}
        """
        pairs = {key: (self.get(key), other.get(key)) for key in build_keys()}
        here, there = ({f"tolerance.{spread.key}": spread for spread in b.tolerance.each()} for b in (self, other))
        pairs |= {key: (here.get(key), there.get(key)) for key in sorted({*here, *there})}
        return {key: pair for key, pair in pairs.items() if pair[0] != pair[1]}

    @property
    def held_lumps(self) -> tuple[int, ...] | None:
        """Lumps of each section that ``wiring.lumps = "auto"`` stands for while they are held; None: as computed."""
        return self._held_lumps

    @property
    def measured(self) -> MeasurementLog:
        """What has been measured of the build, as far as :meth:`with_measured` said so."""
        return self._measured

    def is_known_as(self, other: BuildValues) -> bool:
        """Whether another one has the same values, each from where it is here, and measured alike.

        All answers are the same then, also those that hang on how sure a value is.

        Parameters
        ----------
        other : Build
            What to compare with.
        """
        return self == other and self._known == other._known

    @property
    def _known(self) -> tuple[Any, ...]:
        return self.given, self.from_class, self._measured

    def spreads(self) -> tuple[Spread, ...]:
        """The tolerances of values that this build has; one of a part that is not there is left out."""
        return tuple(spread for spread in self.tolerance.each() if self.get(spread.key) is not None)

    def _as_given(self) -> Given:
        """What was given; for a build put together from parts in a program, what its parts were given."""
        if self._given:
            return self._given
        given: Given = {"title": self.title}
        for table in TABLES:
            part = getattr(self, table)
            if part is not None and (part.model_fields_set or table in OPTIONAL):
                given[table] = {
                    key: document.as_written(part.about[key], getattr(part, key))
                    for key in part.about
                    if key in part.model_fields_set and getattr(part, key) is not None
                }
        if self.tolerance.spreads:
            given["tolerance"] = {spread.key: document.spread_as_written(spread) for spread in self.tolerance.each()}
        return given
