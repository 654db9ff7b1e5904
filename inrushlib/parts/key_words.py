"""Keys of a build as pages, answers and the sheet say them: in the words of the trade.

``key_words``
    a key anywhere: ``"brown-out release voltage"``
``field_words``
    a key among those of its part: ``"current limit"``
``keys_in_words``, ``plainly``
    a text in which keys stand as a build file spells them
"""

from __future__ import annotations

import re
from typing import Final, NamedTuple

from inrushlib.parts.tables import build_keys


class KeyWords(NamedTuple):
    """What a key is called.

    Attributes
    ----------
    field : str
        Among the keys of its part.
    anywhere : str
        On its own, so that it names its part; "the" may stand before it.
    """

    field: str
    anywhere: str


WORDS: Final[dict[str, KeyWords]] = {key: KeyWords(*words) for key, words in {
    "format": ("format", "format"),
    "title": ("title", "title"),
    "adapter.rated_voltage": ("rated voltage", "adapter's rated voltage"),
    "adapter.rated_current": ("rated current", "adapter's rated current"),
    "adapter.limit_current": ("current limit", "adapter's current limit"),
    "adapter.limit_style": ("overload mode", "adapter's overload mode"),
    "adapter.foldback_current": ("short-circuit current", "adapter's short-circuit current"),
    "adapter.foldback_knee": ("foldback knee voltage", "adapter's foldback knee voltage"),
    "adapter.peak_current": ("peak current", "adapter's peak current"),
    "adapter.peak_time": ("peak duration", "adapter's peak duration"),
    "adapter.output_resistance": ("output resistance", "adapter's output resistance"),
    "adapter.output_capacitance": ("output capacitance", "adapter's output capacitance"),
    "adapter.soft_start": ("soft-start time", "adapter's soft-start time"),
    "adapter.trip_delay": ("overload trip delay", "adapter's overload trip delay"),
    "adapter.retry_delay": ("restart delay", "adapter's restart delay"),
    "adapter.bleed_resistance": ("bleeder resistance", "adapter's bleeder resistance"),
    "adapter.minimum_load": ("minimum load", "adapter's minimum load"),
    "lead.length": ("length", "lead length"),
    "lead.gauge": ("wire gauge", "lead wire gauge"),
    "lead.contact_resistance": ("contact resistance", "lead contact resistance"),
    "lead.resistance": ("loop resistance", "lead loop resistance"),
    "lead.inductance": ("loop inductance", "lead loop inductance"),
    "lead.connector": ("connector", "lead connector"),
    "limiter.cold_resistance": ("cold resistance", "inrush limiter's cold resistance"),
    "limiter.beta": ("B value", "inrush limiter's B value"),
    "limiter.dissipation": ("dissipation factor", "inrush limiter's dissipation factor"),
    "limiter.heat_capacity": ("heat capacity", "inrush limiter's heat capacity"),
    "limiter.ambient": ("ambient temperature", "ambient temperature at the inrush limiter"),
    "bus.ceramic": ("ceramic capacitor", "ceramic capacitor at the bus"),
    "bus.bulk": ("bulk capacitor", "bulk capacitor at the bus"),
    "bus.bulk_esr": ("ESR of the bulk capacitor", "ESR of the bulk capacitor at the bus"),
    "switch.kind": ("type", "type of switch"),
    "switch.threshold_voltage": ("gate threshold voltage", "switch's gate threshold voltage"),
    "switch.on_resistance": ("on-resistance", "switch's on-resistance"),
    "switch.on_resistance_drive": ("on-resistance rated at", "gate drive that the on-resistance is rated at"),
    "switch.gate_source_capacitance": ("gate-source capacitance", "switch's gate-source capacitance"),
    "switch.gate_drain_capacitance": ("gate-drain capacitance", "switch's gate-drain capacitance"),
    "switch.pullup_resistance": ("gate pull-up resistor", "switch's gate pull-up resistor"),
    "switch.gate_resistance": ("gate series resistor", "switch's gate series resistor"),
    "switch.gate_driver": ("gate driver", "switch's gate driver"),
    "switch.slew_rate": ("output slew rate", "load switch's output slew rate"),
    "switch.current_limit": ("current limit", "load switch's current limit"),
    "switch.thermal_resistances": ("thermal resistances", "switch's thermal resistances"),
    "switch.thermal_times": ("thermal time constants", "switch's thermal time constants"),
    "switch.ambient": ("ambient temperature", "ambient temperature at the switch"),
    "switch.highest_junction": ("maximum junction temperature", "switch's maximum junction temperature"),
    "panel.ceramic": ("ceramic capacitor", "ceramic capacitor at the panel"),
    "panel.bulk": ("bulk capacitor", "bulk capacitor at the panel"),
    "panel.bulk_esr": ("ESR of the bulk capacitor", "ESR of the bulk capacitor at the panel"),
    "controller.feed": ("supplied from", "supply of the controller"),
    "controller.own_voltage": ("own supply voltage", "voltage of the controller's own supply"),
    "controller.feed_resistance": ("feed resistance", "controller's feed resistance"),
    "controller.feed_diode": ("feed diode", "controller's feed diode"),
    "controller.diode_drop": ("diode forward voltage", "forward voltage of the controller's feed diode"),
    "controller.reservoir": ("reservoir capacitor", "controller's reservoir capacitor"),
    "controller.rail_voltage": ("rail voltage", "controller's rail voltage"),
    "controller.dropout_voltage": ("regulator dropout voltage", "regulator's dropout voltage"),
    "controller.dropout_resistance": ("regulator dropout resistance", "regulator's dropout resistance"),
    "controller.regulator_limit": ("regulator current limit", "regulator's current limit"),
    "controller.rail_capacitance": ("rail capacitor", "controller's rail capacitor"),
    "controller.brownout_rising": ("brown-out release voltage", "brown-out release voltage"),
    "controller.brownout_falling": ("brown-out reset voltage", "brown-out reset voltage"),
    "controller.reset_hold": ("reset hold time", "controller's reset hold time"),
    "controller.boot_time": ("boot time", "controller's boot time"),
    "controller.boot_peak_current": ("boot peak current", "controller's boot peak current"),
    "controller.boot_peak_at": ("delay of the boot peak", "delay of the controller's boot peak"),
    "controller.boot_peak_length": ("duration of the boot peak", "duration of the controller's boot peak"),
    "controller.reset_current": ("current in reset", "controller's current in reset"),
    "controller.boot_current": ("current during boot", "controller's current during boot"),
    "controller.run_current": ("current while running", "controller's current while running"),
    "controller.highest_supply": ("maximum supply voltage", "controller's maximum supply voltage"),
    "controller.burst_current": ("radio burst current", "radio burst current"),
    "controller.burst_period": ("radio burst period", "radio burst period"),
    "controller.burst_length": ("radio burst duration", "radio burst duration"),
    "firmware.gate_delay": ("switch-on delay", "firmware's switch-on delay"),
    "firmware.first_frame_delay": ("first-frame delay", "firmware's first-frame delay"),
    "firmware.refresh_interval": ("frame interval", "firmware's frame interval"),
    "firmware.bits_per_pixel": ("bits per pixel", "bits per pixel"),
    "firmware.bit_time": ("data bit time", "data bit time"),
    "firmware.reset_gap": ("data latch time", "data latch time"),
    "firmware.first_frame": ("first frame's colour", "first frame's colour"),
    "firmware.content_delay": ("running-picture delay", "delay of the running picture"),
    "firmware.content": ("running picture", "running picture"),
    "pixel.power_on": ("power-on colour", "pixels' power-on colour"),
    "pixel.quiescent_current": ("quiescent current", "pixel quiescent current"),
    "pixel.channel_current": ("channel current", "pixel channel current"),
    "pixel.forward_voltages": ("forward voltage", "pixel forward voltage"),
    "pixel.channel_resistance": ("channel resistance", "pixel channel resistance"),
    "pixel.wake_voltage": ("turn-on voltage", "pixel turn-on voltage"),
    "pixel.highest_supply": ("maximum supply voltage", "maximum pixel supply voltage"),
    "pixel.listen_voltage": ("minimum supply for data", "minimum pixel supply for data"),
    "pixel.listen_delay": ("start-up delay", "pixel start-up delay"),
    "pixel.forget_voltage": ("power-on reset voltage", "pixel power-on reset voltage"),
    "wiring.sections": ("number of sections", "number of sections"),
    "wiring.pixels_per_section": ("pixels per section", "pixels per section"),
    "wiring.lanes": ("number of data lines", "number of data lines"),
    "wiring.lumps": ("model nodes per section", "model nodes per section"),
    "wiring.capacitance_per_pixel": ("capacitance per pixel", "capacitance per pixel"),
    "wiring.rail_resistance": ("rail resistance per pixel", "rail resistance per pixel"),
    "wiring.hop_length": ("jumper length", "jumper length"),
    "wiring.hop_gauge": ("jumper wire gauge", "jumper wire gauge"),
    "wiring.hop_resistance": ("jumper loop resistance", "jumper loop resistance"),
    "wiring.feeds": ("fed sections", "fed sections"),
    "wiring.feed_length": ("feed wire length", "feed wire length"),
    "wiring.feed_gauge": ("feed wire gauge", "feed wire gauge"),
    "wiring.feed_resistance": ("feed loop resistance", "feed loop resistance"),
    "wiring.feed_connector": ("feed connector", "feed connector"),
    "wiring.feed_pixels": ("fed pixels", "fed pixels"),
    "wiring.section_rows": ("rows per section", "rows per section"),
    "wiring.chain_by": ("chain direction", "chain direction"),
    "wiring.serpentine": ("serpentine chain", "serpentine chain"),
    "wiring.sections_across": ("sections side by side", "sections side by side"),
    "run.duration": ("simulated time", "simulated time"),
    "run.start": ("power-up", "power-up"),
    "run.interruptions": ("mains interruptions", "mains interruptions"),
}.items()}  # fmt: skip

_DOTTED: Final = re.compile(r"(?<![\w.\"/])[a-z]+\.[a-z_]+(?![\w/]|\.\w)")
_JOINED: Final = re.compile(r"(?<![\w.])[a-z]+(?:_[a-z]+)+(?!\w)")  # a key's name; a symbol such as C_rss is none


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
    >>> key_words("controller.brownout_rising"), key_words("bus.bulk", "the")
    ('brown-out release voltage', 'the bulk capacitor at the bus')
    """
    return f"{article} {WORDS[key].anywhere}".strip()


def field_words(key: str) -> str:
    """Return what a dotted key is called among those of its part.

    Parameters
    ----------
    key : str
        Dotted.

    Examples
    --------
    >>> field_words("adapter.limit_current"), field_words("bus.bulk_esr")
    ('current limit', 'ESR of the bulk capacitor')
    """
    return WORDS[key].field


def keys_in_words(text: str) -> str:
    """Return a sentence in which the dotted keys of a build are said as a page says them.

    Parameters
    ----------
    text : str
        Anything; what only looks like a key, and what stands in quotation marks, stays.

    Examples
    --------
    >>> print(keys_in_words('lead.length and bus.bulk. Look at lead.csv, "lead.length" and lead.length.csv'))
    lead length and bulk capacitor at the bus. Look at lead.csv, "lead.length" and lead.length.csv
    """
    keys = build_keys()
    return _DOTTED.sub(lambda found: key_words(found[0]) if found[0] in keys else found[0], text)


def plainly(text: str, key: str = "") -> str:
    """Return what is said of a key without the spelling of the build file.

    Parameters
    ----------
    text : str
        Such as a key's meaning.
    key : str
        The dotted key that it is said of: names of others of its part are said as these are.

    Examples
    --------
    >>> plainly("stays above brownout_rising; C_rss", "controller.reset_hold")
    'stays above brown-out release voltage; C_rss'
    """
    table = key.rpartition(".")[0]

    def said(found: re.Match[str]) -> str:
        known = WORDS.get(f"{table}.{found[0]}")
        return known.field if known else found[0].replace("_", " ")

    return _JOINED.sub(said, keys_in_words(text))
