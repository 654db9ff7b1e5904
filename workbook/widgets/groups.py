"""Which keys of a build have a control, in which group, over which range."""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import build_keys


@dataclass(frozen=True)
class Slide:
    """A value with a slider: the slider's range in SI, and whether its steps are equal factors."""

    key: str
    low: float
    high: float
    log: bool = True
    label: str = ""


@dataclass(frozen=True)
class Entry:
    """A value that is typed or chosen: a choice, a yes or no, a list."""

    key: str
    label: str = ""


@dataclass(frozen=True)
class Heading:
    """A line of words between controls."""

    words: str


@dataclass(frozen=True)
class Tick:
    """Whether the build has a part at all, by its table."""

    table: str
    words: str


@dataclass(frozen=True)
class ClassChoice:
    """Which class the part of a table is of."""

    table: str
    label: str = "class"


Control = Slide | Entry
Item = Slide | Entry | Heading | Tick | ClassChoice

GROUPS: dict[str, tuple[Item, ...]] = {
    "Adapter": (
        ClassChoice("adapter"),
        Slide("adapter.rated_current", 0.3, 40),
        Slide("adapter.rated_voltage", 4.5, 5.5, log=False),
        Slide("adapter.limit_current", 0.3, 50),
        Entry("adapter.limit_style"),
        Slide("adapter.output_resistance", 1e-3, 0.3),
        Slide("adapter.output_capacitance", 100e-6, 10e-3),
        Slide("adapter.soft_start", 1e-3, 0.1),
        Slide("adapter.trip_delay", 1e-3, 0.5),
        Slide("adapter.retry_delay", 0.05, 5),
    ),
    "Lead": (
        ClassChoice("lead"),
        Slide("lead.length", 0.1, 10),
        Entry("lead.gauge"),
        Slide("lead.resistance", 1e-3, 1),
        Slide("lead.inductance", 0.1e-6, 20e-6),
        Tick("limiter", "inrush limiter (NTC) in the lead"),
        Slide("limiter.cold_resistance", 0.2, 50),
        Slide("limiter.beta", 2000, 4500, log=False),
        Slide("limiter.dissipation", 2e-3, 50e-3),
        Slide("limiter.heat_capacity", 0.05, 5),
        Slide("limiter.ambient", -20, 60, log=False),
    ),
    "Capacitors": (
        Heading("At the supply terminals"),
        ClassChoice("bus", "kind of the bulk"),
        Slide("bus.bulk", 10e-6, 22e-3),
        Slide("bus.bulk_esr", 1e-3, 1),
        Slide("bus.ceramic", 0.1e-6, 100e-6),
        Heading("At the panel's root"),
        ClassChoice("panel", "kind of the bulk"),
        Slide("panel.bulk", 10e-6, 22e-3),
        Slide("panel.bulk_esr", 1e-3, 1),
        Slide("panel.ceramic", 0.1e-6, 100e-6),
        Heading("On the controller"),
        Slide("controller.reservoir", 1e-6, 22e-3),
        Slide("controller.rail_capacitance", 1e-6, 1e-3),
    ),
    "Switch": (
        Tick("switch", "high-side switch between bus and panel"),
        ClassChoice("switch"),
        Entry("switch.kind"),
        Slide("switch.threshold_voltage", 0.4, 3, log=False),
        Slide("switch.on_resistance", 1e-3, 0.3),
        Slide("switch.gate_source_capacitance", 0.1e-9, 1e-6),
        Slide("switch.gate_drain_capacitance", 0.1e-9, 1e-6),
        Slide("switch.pullup_resistance", 1e3, 1e6),
        Slide("switch.gate_resistance", 10, 1e6),
        Entry("switch.gate_driver"),
        Heading("Of a load switch"),
        Slide("switch.slew_rate", 50, 50e3),
        Slide("switch.current_limit", 0.3, 20),
    ),
    "Controller": (
        ClassChoice("controller"),
        Entry("controller.feed"),
        Entry("controller.feed_diode"),
        Slide("controller.boot_time", 1e-3, 2),
        Slide("controller.brownout_rising", 1.8, 3.2, log=False),
        Slide("controller.brownout_falling", 1.5, 3.1, log=False),
        Slide("controller.dropout_voltage", 0.0, 1.5, log=False),
        Slide("controller.boot_current", 5e-3, 0.5),
        Slide("controller.run_current", 5e-3, 0.5),
        Slide("controller.burst_current", 5e-3, 0.6),
    ),
    "Firmware": (
        Slide("firmware.gate_delay", 1e-4, 0.5),
        Slide("firmware.first_frame_delay", 1e-4, 0.5),
        Slide("firmware.refresh_interval", 1e-3, 1),
        Slide("firmware.content_delay", 1e-3, 2),
        Entry("firmware.content"),
        Entry("firmware.first_frame"),
    ),
    "Pixels": (
        ClassChoice("pixel"),
        Entry("pixel.power_on"),
        Slide("pixel.channel_current", 1e-3, 40e-3),
        Slide("pixel.quiescent_current", 0.1e-3, 3e-3),
        Slide("pixel.channel_resistance", 10, 300),
        Slide("pixel.wake_voltage", 1.2, 3.5, log=False),
        Slide("pixel.listen_voltage", 1.5, 4, log=False),
        Slide("pixel.forget_voltage", 0.5, 3, log=False),
    ),
    "Wiring": (
        ClassChoice("wiring"),
        Entry("wiring.sections"),
        Entry("wiring.pixels_per_section"),
        Entry("wiring.sections_across"),
        Entry("wiring.lanes"),
        Entry("wiring.feeds"),
        Slide("wiring.feed_resistance", 1e-3, 0.5),
        Slide("wiring.hop_resistance", 1e-3, 0.5),
        Slide("wiring.rail_resistance", 0.1e-3, 20e-3),
        Slide("wiring.capacitance_per_pixel", 10e-9, 1e-6),
    ),
    "Run": (
        Slide("run.duration", 0.05, 5),
        Entry("run.start"),
        Entry("run.interruptions"),
    ),
}

# The group of a table's keys that have no place above; a table not named here gets a group of its own.
HOME = {
    "adapter": "Adapter", "lead": "Lead", "limiter": "Lead", "bus": "Capacitors", "panel": "Capacitors",
    "switch": "Switch",
    "controller": "Controller", "firmware": "Firmware", "pixel": "Pixels", "wiring": "Wiring", "run": "Run",
}  # fmt: skip


def group_names() -> tuple[str, ...]:
    """Return the names of all groups, in order."""
    tables = dict.fromkeys(info.table for info in build_keys().values() if info.table)
    own = [table.capitalize() for table in tables if table not in HOME]
    return (*GROUPS, *own)


def rest_of(group: str) -> tuple[Entry, ...]:
    """Return the keys of a group that are needed less often: all that have no control of their own above."""
    placed = {item.key for items in GROUPS.values() for item in items if isinstance(item, Slide | Entry)}
    return tuple(
        Entry(key)
        for key, info in build_keys().items()
        if info.table and key not in placed and HOME.get(info.table, info.table.capitalize()) == group
    )


def keys_of(group: str) -> tuple[str, ...]:
    """Return all keys that have a control in a group."""
    return tuple(key for key, info in build_keys().items() if info.table and group_of(key) == group)


def group_of(key: str) -> str:
    """Return the group in which a key has its control."""
    for name, items in GROUPS.items():
        if any(isinstance(item, Slide | Entry) and item.key == key for item in items):
            return name
    table = key.partition(".")[0]
    return HOME.get(table, table.capitalize())
