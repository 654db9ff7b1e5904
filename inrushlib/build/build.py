"""``Build``: the values of one build and its changed copies; how it is made from what was given."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from inrushlib import document
from inrushlib.build.values import FORMAT_VERSION, OPTIONAL, TABLE_NAMES, BuildValues
from inrushlib.errors import BuildError
from inrushlib.measurements import MeasurementLog
from inrushlib.parts import TABLES, build_keys
from inrushlib.parts.classes import CLASS_KEY, class_values, with_classes
from inrushlib.parts.problems import problems_of
from inrushlib.parts.raw_values import Given, with_put
from inrushlib.quantities import shown


class Build(BuildValues):
    """Everything about one build, resolved to SI; frozen.

    Made by :func:`load_build`, :func:`parse_build` or :func:`new_build`. Two builds are equal when all
    their resolved values are.
    """

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
        >>> from inrushlib.build import new_build
        >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
        ...                    "wiring.pixels_per_section": 8})
        >>> build.with_values({"adapter.rated_current": "2.5 A"}).adapter.limit_current
        3.0
        """
        touched = {key.partition(".")[0] for key in values if isinstance(key, str)}
        # What no value touches is taken as it is: checking all parts anew would take most of the time.
        kept = {name: getattr(self, name) for name in TABLE_NAMES if name not in touched}
        changed = make(with_put(self._as_given(), _without_old_lengths(values)), self._text, "", kept)
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
        >>> from inrushlib.build import new_build
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
        >>> from inrushlib.build import new_build
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


def make(given: Given, text: str, source: str, kept: Mapping[str, Any] | None = None) -> Build:
    """A build of what was given, once all of it is valid.

    Parameters
    ----------
    given : dict
        Values and tables as a file gives them.
    text : str
        What they were read from; empty without a file.
    source : str
        Name for messages.
    kept : mapping of str to object
        Tables that are valid already, as parts.

    Raises
    ------
    BuildError
        With all problems at once.
    """
    version = given.get("format", FORMAT_VERSION)
    if isinstance(version, int) and not isinstance(version, bool) and version > FORMAT_VERSION:
        problem = f"format: value {shown(version)}; written by a newer version; accepted: {FORMAT_VERSION}"
        raise BuildError(problem, source=source)
    filled, problems = with_classes(given)
    tables = {name: filled.get(name, {}) for name in TABLE_NAMES if name not in OPTIONAL}
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
    before, after = old._as_given().get(table), new._given.get(table)
    if not (isinstance(before, dict) and isinstance(after, dict) and name in before and name in after):
        return
    if name == CLASS_KEY:
        return
    scalar = not isinstance(before[name], list | dict) and not isinstance(after[name], list | dict)
    if scalar and old.get(key) == new.get(key):
        after[name] = before[name]
