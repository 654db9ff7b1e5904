"""One build: the parts, their wiring, the firmware and the run, read from one TOML file.

``load_build``, ``parse_build``, ``new_build``
    a ``Build`` from a file, a text, or values
``Build``
    all resolved values; ``with_values`` gives a changed copy, ``get`` one value by its dotted key,
    ``differences`` what differs between two
``save_build``, ``to_toml``
    back to a file, with the comments and the layout that it had
``build_keys``
    what is known of each key: unit, bounds, default, meaning, where to find it
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, PrivateAttr, ValidationError, field_validator

from inrushlib import document
from inrushlib.errors import BuildError
from inrushlib.files import write_safely
from inrushlib.measurements import MeasurementLog
from inrushlib.parts import (
    TABLES,
    Adapter,
    Bus,
    Controller,
    Firmware,
    KeyInfo,
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
from inrushlib.parts.classes import CLASS_KEY, class_values, part_classes, with_classes
from inrushlib.parts.problems import problems_of, unknown_key
from inrushlib.parts.raw_values import Given, with_put
from inrushlib.parts.tables import FORMAT, TITLE
from inrushlib.quantities import shown

FORMAT_VERSION = 1
_TABLE_NAMES = (*TABLES, "tolerance")
_OPTIONAL = ("limiter", "switch")  # no table: no such part


class Build(BaseModel):
    """Everything about one build, resolved to SI; frozen.

    Made by :func:`load_build`, :func:`parse_build` or :func:`new_build`. Two builds are equal when all
    their resolved values are.
    """

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
        if not isinstance(other, Build):
            return NotImplemented
        return self.__dict__ == other.__dict__

    def __hash__(self) -> int:
        return hash(tuple(self.__dict__.values()))

    @property
    def given(self) -> frozenset[str]:
        """Dotted keys that were given; all others have what the class of their table says, or their defaults."""
        return frozenset(
            f"{name}.{key}" if name in _TABLE_NAMES else name
            for name, value in _given_of(self).items()
            for key in (value if name in _TABLE_NAMES else ("",))
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
        keys = (f"{table}.{key}" for table, name in named.items() for key in class_values(table, name))
        return frozenset(keys) - self.given

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
        >>> build = new_build({"title": "t", "adapter.class": "plug-in 3 A", "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.class_range("adapter.output_capacitance"), build.class_range("bus.ceramic")
        ((0.00047, 0.0022), None)
        """
        if key not in self.from_class:
            return None
        table, _, name = key.partition(".")
        own = {each: value for each, value in self._given[table].items() if each != CLASS_KEY}
        ends = part_classes(table)[str(self.class_of(table))].ranges(own).get(name)
        return None if ends is None else (min(ends), max(ends))

    def class_changes(self, table: str, name: str | None) -> dict[str, Any]:
        """Changes that make the part of a table one of a class, or of none, for :meth:`with_values`.

        Parameters
        ----------
        table : str
            Such as ``"adapter"``.
        name : str or None
            The class; what was given for its keys makes way. None for no class: its values stay, as given ones.

        Returns
        -------
        dict of str to object
            By dotted key [as a file gives it].

        Raises
        ------
        BuildError
            For a class that is not there.

        Examples
        --------
        >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> larger = build.with_values(build.class_changes("adapter", "desktop 8 A"))
        >>> larger.adapter.rated_current, larger.with_values(larger.class_changes("adapter", None)) == larger
        (8.0, True)
        """
        if name is not None:
            return {f"{table}.{CLASS_KEY}": name, **{f"{table}.{key}": None for key in class_values(table, name)}}
        about = TABLES[table].about
        kept = {
            key: document.as_written(about[key.partition(".")[2]], self.get(key))
            for key in sorted(self.from_class)
            if key.startswith(f"{table}.")
        }
        return {f"{table}.{CLASS_KEY}": None, **kept}

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
        >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.origin("adapter.rated_current").value, build.origin("adapter.limit_current").value
        ('given', 'assumed')
        """
        if key in self._measured.newest():
            return Origin.MEASURED
        if key in self.given:
            return Origin.GIVEN
        return Origin.CLASS if key in self.from_class else Origin.ASSUMED

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

    def with_values(self, values: Mapping[str, Any]) -> Build:
        """A validated copy with some values changed; what follows from them follows.

        Parameters
        ----------
        values : mapping of str to object
            Dotted key to value, as a file would give it [SI, or text with its unit]. None takes the key
            back to its default; a ``hop_resistance`` or ``feed_resistance`` takes out the length of those wires,
            unless that is among the values, too. A table's name takes a whole table: ``{"switch": {}}`` puts a default
            switch in, ``{"switch": None}`` takes it out.

        Returns
        -------
        Build
            The copy.

        Examples
        --------
        >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.with_values({"adapter.rated_current": "2.5 A"}).adapter.limit_current
        3.0
        """
        touched = {key.partition(".")[0] for key in values if isinstance(key, str)}
        # What no value touches is taken as it is: checking all parts anew would take most of the time.
        kept = {name: getattr(self, name) for name in _TABLE_NAMES if name not in touched}
        changed = _make(with_put(_given_of(self), _without_old_lengths(values)), self._text, "", kept)
        for key in values:
            _keep_writing(self, changed, key)
        if changed.wiring.pixels_per_section == self.wiring.pixels_per_section and changed.wiring.rail_resistance > 0:
            changed._held_lumps = self._held_lumps
        changed._measured = self._measured.without({*values, *self._of_other_parts(changed)})
        return changed

    def _of_other_parts(self, changed: Build) -> list[str]:
        """Measured keys that a changed build has otherwise; an adapter of another rating is another adapter."""
        other = changed.adapter.rated_current != self.adapter.rated_current
        return [
            key
            for key in self._measured.newest()
            if (other and build_keys()[key].table == "adapter") or changed.get(key) != self.get(key)
        ]

    def differences(self, other: Build) -> dict[str, tuple[Any, Any]]:
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

    def with_lumps_held(self, counts: tuple[int, ...] | None) -> Build:
        """A copy whose sections stay cut into so many lumps while other values move; None lets go.

        They are no value of the build: a file that is saved says nothing of them, and they are let go where
        sections or their pixels change, or where ``wiring.lumps`` says a number.

        Parameters
        ----------
        counts : tuple of int or None
            Lumps of each section [1], such as :func:`inrushlib.startup.lump_counts` returns.

        Returns
        -------
        Build
            The copy.
        """
        held = self.model_copy()
        held._held_lumps = counts
        return held

    @property
    def measured(self) -> MeasurementLog:
        """What has been measured of the build, as far as :meth:`with_measured` said so."""
        return self._measured

    def with_measured(self, log: MeasurementLog) -> Build:
        """A copy of which it is known what has been measured; its values stay as they are.

        It is no value of the build: a file that is saved says nothing of it. Where :meth:`with_values` changes a
        measured value, the measurement is forgotten, for it was of another part.

        Parameters
        ----------
        log : MeasurementLog
            What has been measured; an empty one forgets it.

        Returns
        -------
        Build
            The copy.

        Examples
        --------
        >>> from datetime import date
        >>> from inrushlib.measurements import How, Measurement, MeasurementLog
        >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> row = Measurement(key="bus.ceramic", value=1e-6, low=None, high=None, how=How.BENCH, source="meter",
        ...                   day=date(2026, 3, 1))
        >>> build.with_measured(MeasurementLog((row,))).origin("bus.ceramic").value
        'measured'
        """
        measured = self.model_copy()
        measured._measured = log
        return measured

    def without_comments(self) -> Build:
        """A copy that has forgotten the text it was read from: saved, it is written anew, in the format's own order.

        Returns
        -------
        Build
            The copy, equal to this one.
        """
        plain = self.model_copy()
        plain._text = ""
        return plain

    def spreads(self) -> tuple[Spread, ...]:
        """The tolerances of values that this build has; one of a part that is not there is left out."""
        return tuple(spread for spread in self.tolerance.each() if self.get(spread.key) is not None)


def load_build(path: str | os.PathLike[str]) -> Build:
    """The build of a file.

    Parameters
    ----------
    path : str or path
        A TOML file in UTF-8.

    Returns
    -------
    Build
        With the file's text, so that saving keeps its comments.

    Raises
    ------
    BuildError
        With every problem of the file at once.
    """
    source = os.fspath(path)
    return parse_build(document.read_text(path), source=source)


def parse_build(text: str, source: str = "build") -> Build:
    """The build of a text.

    Parameters
    ----------
    text : str
        TOML.
    source : str
        Name for messages.

    Returns
    -------
    Build
        With its text, so that saving keeps its comments.

    Raises
    ------
    BuildError
        With every problem of the text at once.

    Examples
    --------
    >>> parse_build("title = 't'").title
    Traceback (most recent call last):
    inrushlib.errors.BuildError: build: adapter.rated_current: value missing; accepted: ...
    """
    return _make(document.read_given(text, source), text, source)


def new_build(values: Mapping[str, Any]) -> Build:
    """A build from values, without a file.

    Parameters
    ----------
    values : mapping of str to object
        Dotted key to value, as for :meth:`Build.with_values` [SI, or text with its unit].

    Returns
    -------
    Build
        The build.

    Examples
    --------
    >>> new_build({"title": "t", "adapter.rated_current": "2 A", "wiring.sections": 2,
    ...            "wiring.pixels_per_section": 8}).wiring.pixels_per_section
    (8, 8)
    """
    return _make(with_put({}, values), "", "")


def to_toml(build: Build) -> str:
    """The text of a build file: that which it was read from, with what has changed since.

    Parameters
    ----------
    build : Build
        Any build.

    Returns
    -------
    str
        TOML; comments, layout and quantities with units stand as they stood.
    """
    return document.rewrite(build._text, _given_of(build))


def save_build(build: Build, path: str | os.PathLike[str]) -> None:
    """Write a build file: wholly or not at all.

    Parameters
    ----------
    build : Build
        Any build.
    path : str or path
        Where to; a file that is there is replaced only when the new one is safely on the disk.

    Raises
    ------
    BuildError
        Where it cannot be written; the old file is left as it was.
    """
    write_safely(to_toml(build), path)


def _make(given: Given, text: str, source: str, kept: Mapping[str, Any] | None = None) -> Build:
    """Validate what was given; one BuildError with all problems. ``kept``: tables that have been, as parts."""
    version = given.get("format", FORMAT_VERSION)
    if isinstance(version, int) and not isinstance(version, bool) and version > FORMAT_VERSION:
        problem = f"format: value {shown(version)}; written by a newer version; accepted: {FORMAT_VERSION}"
        raise BuildError(problem, source=source)
    filled, problems = with_classes(given)
    tables = {name: filled.get(name, {}) for name in _TABLE_NAMES if name not in _OPTIONAL}
    try:
        build = Build.model_validate({**filled, **tables, **(kept or {})})
    except ValidationError as error:
        problems += problems_of(error, filled)
    if problems:
        raise BuildError(problems, source=source)
    build._given = given
    build._text = text
    return build


def _without_old_lengths(values: Mapping[str, Any]) -> dict[str, Any]:
    """A new resistance takes the place of the length that stood for the old one."""
    runs = [run for run in ("hop", "feed") if values.get(f"wiring.{run}_resistance") is not None]
    return {**{f"wiring.{run}_length": None for run in runs}, **values}


def _keep_writing(old: Build, new: Build, key: str) -> None:
    """If the new value equals the old one, keep the original spelling: 4.7e-4 stays "470 uF"."""
    table, _, name = key.partition(".")
    before, after = _given_of(old).get(table), new._given.get(table)
    if not (isinstance(before, dict) and isinstance(after, dict) and name in before and name in after):
        return
    if name == CLASS_KEY:
        return
    scalar = not isinstance(before[name], list | dict) and not isinstance(after[name], list | dict)
    if scalar and old.get(key) == new.get(key):
        after[name] = before[name]


def _given_of(build: Build) -> Given:
    """What was given; for a build put together from parts in a program, what its parts were given."""
    if build._given:
        return build._given
    given: Given = {"title": build.title}
    for table in TABLES:
        part = getattr(build, table)
        if part is not None and (part.model_fields_set or table in _OPTIONAL):
            given[table] = {
                key: document.as_written(part.about[key], getattr(part, key))
                for key in part.about
                if key in part.model_fields_set and getattr(part, key) is not None
            }
    if build.tolerance.spreads:
        given["tolerance"] = {spread.key: document.spread_as_written(spread) for spread in build.tolerance.each()}
    return given


__all__ = [
    "FORMAT_VERSION", "Build", "KeyInfo", "build_keys", "load_build", "new_build", "parse_build",
    "save_build", "to_toml",
]  # fmt: skip
