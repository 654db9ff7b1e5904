"""The tables of a build file, and what is known of each of their keys.

``TABLES``
    table name to part
``build_keys``
    dotted key to ``KeyInfo``, for every key of the format
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic.fields import FieldInfo

from inrushlib.parts.adapter import Adapter
from inrushlib.parts.bus import Bus
from inrushlib.parts.controller import Controller
from inrushlib.parts.firmware import Firmware
from inrushlib.parts.lead import Lead
from inrushlib.parts.limiter import Limiter
from inrushlib.parts.panel import PanelCapacitors
from inrushlib.parts.part import KeySpec, Part, ValueKind
from inrushlib.parts.pixel import Pixel
from inrushlib.parts.run import Run
from inrushlib.parts.switch import Switch
from inrushlib.parts.wiring import Wiring
from inrushlib.quantities import format_quantity, shown

TABLES: dict[str, type[Part]] = {
    "adapter": Adapter,
    "lead": Lead,
    "limiter": Limiter,
    "bus": Bus,
    "switch": Switch,
    "panel": PanelCapacitors,
    "controller": Controller,
    "firmware": Firmware,
    "pixel": Pixel,
    "wiring": Wiring,
    "run": Run,
}

FORMAT = KeySpec(
    meaning="version of the build file's format", where_found="leave it as it is", kind=ValueKind.COUNT,
    low=1, high=1, default_text="1", source="this library",
)  # fmt: skip
TITLE = KeySpec(
    meaning="a name for the build", where_found="your own choice", kind=ValueKind.TEXT, source="this library"
)


@dataclass(frozen=True, kw_only=True)
class KeyInfo:
    """What is known of one key: enough for a tooltip and an entry field.

    Attributes
    ----------
    table, key : str
        Its table, empty for ``format`` and ``title``, and its name there.
    unit, kind : str
        SI unit, empty for a pure number, and what kind of value it is.
    default_text : str
        The default with its unit; empty where the key is required.
    meaning, where_found : str
        What it is, and where a builder reads it off.
    bounds, accepted : str
        Bounds in words, and what is accepted in full.
    source : str
        Where the default comes from.
    required : bool
        Whether a build has to give it.
    choices : tuple of str
        Words to choose from.
    instead : str
        A word that may stand in place of the number.
    low, high : float
        Bounds [unit of the key, SI].
    low_included : bool
        Whether the lower bound itself is accepted.
    one_for_all : bool
        Whether one value may stand for a whole list.
    """

    table: str
    key: str
    unit: str
    kind: ValueKind
    default_text: str
    meaning: str
    where_found: str
    bounds: str
    accepted: str
    source: str
    required: bool
    choices: tuple[str, ...]
    instead: str
    low: float
    high: float
    low_included: bool
    one_for_all: bool

    @property
    def within(self) -> str:
        """The bounds for a reader, with the word that may stand instead of a number."""
        return f'"{self.instead}", or {self.bounds}' if self.instead else self.bounds


@cache
def build_keys() -> dict[str, KeyInfo]:
    """Every key of the format, by its dotted name; ``format`` and ``title`` have no table.

    Returns
    -------
    dict of str to KeyInfo
        In the order of the format.

    Examples
    --------
    >>> build_keys()["controller.boot_time"].meaning
    "reset release to the first line of the user's program"
    """
    keys = {
        "format": _info("", "format", FORMAT, "1", required=False),
        "title": _info("", "title", TITLE, "", required=True),
    }
    for table, part in TABLES.items():
        for key, field in part.model_fields.items():
            about = part.about[key]
            default = about.default_text or _default_text(about, field)
            keys[f"{table}.{key}"] = _info(table, key, about, default, required=field.is_required())
    return keys


def _info(table: str, key: str, about: KeySpec, default_text: str, *, required: bool) -> KeyInfo:
    return KeyInfo(
        table=table, key=key, unit=about.unit, kind=about.kind, default_text=default_text,
        meaning=about.meaning, where_found=about.where_found, bounds=about.bounds(),
        accepted=about.accepted(), source=about.source, required=required, choices=about.choices,
        instead=about.instead, low=about.low, high=about.high,
        low_included=about.low_included, one_for_all=about.one_for_all,
    )  # fmt: skip


def _default_text(about: KeySpec, field: FieldInfo) -> str:
    return "required" if field.is_required() else written(about, field.default)


def written(about: KeySpec, value: Any) -> str:
    """A resolved value as text with its unit.

    Parameters
    ----------
    about : KeySpec
        What is known of the key.
    value : object
        The resolved value, in SI [unit of the key].

    Returns
    -------
    str
        Such as ``"40 mohm"`` or ``"[0.3, 0.3, 0.3]"``.

    Examples
    --------
    >>> written(TABLES["bus"].about["bulk_esr"], 0.05)
    '50 mohm'
    """
    if value is None:
        return "none"
    if about.kind in (ValueKind.YES_NO, ValueKind.CHOICE, ValueKind.TEXT) or (about.instead and value == about.instead):
        return str(shown(value)).strip('"')
    if isinstance(value, tuple):
        return f"[{', '.join(written(about, entry) for entry in value)}]"
    return format_quantity(value, about.unit)
