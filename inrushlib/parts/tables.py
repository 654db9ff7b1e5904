"""The tables of a build file, and what is known of each of their keys.

``TABLES``
    table name to part
``key_words``
    a key as a page says it
``build_keys``
    dotted key to ``KeyInfo``, for every key of the format
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

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


def key_words(key: str, article: str = "") -> str:
    """Return a dotted key as a page says it.

    Parameters
    ----------
    key : str
        Dotted.
    article : str
        What stands before it; empty for nothing.

    Examples
    --------
    >>> key_words("adapter.limit_current"), key_words("bus.bulk", "the")
    ("adapter's limit current", 'the bulk capacitor at the bus')
    """
    table = key.rpartition(".")[0]
    said = _SAID.get(key) or (f"{table}'s {field_words(key)}" if table else field_words(key))
    return f"{article} {said}".strip()


def keys_in_words(text: str) -> str:
    """Return a sentence in which the dotted keys of a build are said as a page says them.

    Parameters
    ----------
    text : str
        Anything; what only looks like a key, and what stands in quotation marks, stays.

    Examples
    --------
    >>> print(keys_in_words('lead.length and bus.bulk. Look at lead.csv, "lead.length" and lead.length.csv'))
    lead's length and bulk capacitor at the bus. Look at lead.csv, "lead.length" and lead.length.csv
    """
    keys = build_keys()
    return _DOTTED.sub(lambda found: key_words(found[0]) if found[0] in keys else found[0], text)


def plainly(text: str) -> str:
    """Return what is said of a key without the spelling of the build file.

    Parameters
    ----------
    text : str
        Such as a key's meaning.

    Examples
    --------
    >>> plainly("wins over length, gauge and contact_resistance; C_rss")
    'wins over length, gauge and contact resistance; C_rss'
    """
    return _JOINED.sub(" ", keys_in_words(text))


def field_words(key: str) -> str:
    """Return the name of a dotted key's field, among those of its part.

    Parameters
    ----------
    key : str
        Dotted.

    Examples
    --------
    >>> field_words("adapter.limit_current"), field_words("bus.bulk_esr")
    ('limit current', 'bulk ESR')
    """
    name = key.rpartition(".")[2].replace("_", " ")
    for word, said in (("esr", "ESR"), ("hop ", "jumper "), ("on resistance", "on-resistance")):
        name = name.replace(word, said)
    return name


_DOTTED: Final = re.compile(r"(?<![\w.\"/])[a-z]+\.[a-z_]+(?![\w/]|\.\w)")
_JOINED: Final = re.compile(r"(?<=[a-z])_(?=[a-z])")  # of a key's name; a symbol such as C_rss keeps its own
_SAID: Final = {
    "bus.bulk": "bulk capacitor at the bus",
    "bus.bulk_esr": "ESR of the bulk capacitor at the bus",
    "bus.ceramic": "ceramic capacitor at the bus",
    "panel.bulk": "bulk capacitor at the panel",
    "panel.bulk_esr": "ESR of the bulk capacitor at the panel",
    "panel.ceramic": "ceramic capacitor at the panel",
    "firmware.first_frame": "first frame's colour",
    "firmware.content": "running picture",
    "firmware.content_delay": "delay of the running picture",
    "pixel.power_on": "power-on colour",
    "wiring.sections": "number of sections",
    "wiring.pixels_per_section": "pixels per section",
    "wiring.lanes": "data lanes",
    "wiring.capacitance_per_pixel": "capacitance per pixel",
    "wiring.hop_resistance": "jumper resistance",
    "wiring.hop_length": "jumper length",
    "wiring.hop_gauge": "jumper gauge",
    "wiring.feed_resistance": "feed resistance",
    "wiring.feed_length": "feed length",
    "wiring.feed_gauge": "feed gauge",
    "wiring.rail_resistance": "rail resistance between pixels",
}
