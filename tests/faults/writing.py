"""A tiny build, every call of a command that writes, and which files that makes."""

from dataclasses import dataclass

TINY = """title = "one panel"
[adapter]
rated_current = "3 A"
[controller]
boot_time = "10 ms"
[switch]
[wiring]
sections = 1
pixels_per_section = 8
[run]
duration = "40 ms"
"""


STUCK = TINY.replace("[switch]\n", "").replace("3 A", "1 A").replace("= 1\n", "= 4\n").replace("= 8", "= 64")


@dataclass(frozen=True)
class Call:
    """A call of the command, in a folder with ``tiny.toml``, ``stuck.toml`` and ``capture.csv``.

    Attributes
    ----------
    words : str
        Behind ``inrush``.
    outputs : tuple of str
        What it writes.
    together : bool
        Whether these are written all or none.
    """

    words: str
    outputs: tuple[str, ...]
    together: bool = False

    @property
    def told(self) -> int:
        """How many messages there are where none can be written."""
        return 1 if self.together else len(self.outputs)


CALLS = {
    "check": Call("check tiny.toml --plot a.png --curves a.csv", ("a.csv", "a.png")),
    "spread": Call("spread tiny.toml --runs 64 --save-worst worst.toml", ("worst.toml",)),
    "remedies": Call(
        "remedies stuck.toml --no-odds --plot r.svg --save-all plans",
        (
            "r.svg",
            "plans/01_own_supply_for_the_controller.toml",
            "plans/02_high_side_switch.toml",
            "plans/03_bigger_adapter.toml",
            "plans/04_pixels_that_wake_dark.toml",
        ),
    ),
    "map": Call("map tiny.toml --x bus.bulk 1e-4 1e-3 --y lead.length 1 2 --plot m.png", ("m.png",)),
    "window": Call("window tiny.toml --no-odds --gate-map g.png", ("g.png",)),
    "panel": Call("panel tiny.toml --plot p.pdf", ("p.pdf",)),
    "sheet as pdf": Call("sheet tiny.toml --no-odds -o s.pdf", ("s.pdf",)),
    "sheet as html": Call("sheet tiny.toml --no-odds -o s.html", ("s.html",)),
    "guide": Call(
        'guide tiny.toml --runs 64 --enter regulator-dropout="0.11 V, 90 mA"',
        ("tiny.measured.toml", "tiny.toml"),
        together=True,
    ),
    "compare": Call(
        "compare tiny.toml capture.csv --channel lead_current=lead_current --channel bus_voltage=bus_voltage "
        "--shift 0 --fit lead.resistance --save f.toml --record --plot c.png",
        ("f.toml", "tiny.measured.toml", "c.png"),
    ),
}
