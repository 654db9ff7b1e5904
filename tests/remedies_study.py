"""Remedies of ten builds: what is found, how often it boots, and whether each saved file starts.

    python -m tests.remedies_study [BUILD ...]

Each build boots too seldom as it is. Wanted: two remedies that boot in 95 % of the runs within the ranges, and every
saved file boots when it is loaded. Exit status 1 where one of that is missing. It prints a row a build of a table (the
ways themselves to stderr): how many remedies there are, how many of them keep the adapter, how many of these have a
switch and the build's own pixels, the smallest capacitors at the bus of these, what to take, and what stands in the
way where no switch does it without a bank.
"""

import sys
import tempfile
import time
from pathlib import Path

from inrushlib.build import load_build, new_build, save_build
from inrushlib.remedies import recommend_remedies
from inrushlib.startup import simulate
from tests.command_line import call

DEMO = Path(__file__).parents[1] / "workbook/builds/tide_board_never_starts.toml"
TILES = {"title": "tiles", "wiring.pixels_per_section": 64}
BUILDS = {
    "six tiles": lambda: new_build(TILES | {"wiring.sections": 6, "adapter.rated_current": 1}),
    # As a builder has it who has measured what decides most.
    "six tiles, listen voltage measured": lambda: new_build(
        TILES | {"wiring.sections": 6, "adapter.rated_current": 1, "pixel.listen_voltage": 2.2}
    ),
    "demo": lambda: load_build(DEMO),
    "foldback": lambda: new_build(
        TILES | {"wiring.sections": 4, "adapter.rated_current": 2, "adapter.limit_style": "foldback"}
    ),
    "hiccup": lambda: new_build(
        TILES | {"wiring.sections": 4, "adapter.rated_current": 2, "adapter.limit_style": "hiccup"}
    ),
    "single frame": lambda: new_build(
        TILES
        | {"wiring.sections": 3, "adapter.rated_current": 1, "switch": {"gate_resistance": 100}, "bus.bulk": 470e-6}
    ),
    "long strip": lambda: new_build(
        {
            "title": "strip", "wiring.sections": 1, "wiring.pixels_per_section": 300, "adapter.rated_current": 2,
            "wiring.rail_resistance": 2e-3,
        }
    ),
    "bursts": lambda: new_build(
        TILES | {"wiring.sections": 4, "adapter.rated_current": 1.5, "controller.burst_current": 0.3}
    ),
    "small reservoir": lambda: new_build(
        TILES
        | {
            "wiring.sections": 4, "adapter.rated_current": 1.5, "controller.feed_diode": True,
            "controller.reservoir": 22e-6, "switch": {},
        }
    ),
    "own supply": lambda: new_build(
        TILES | {"wiring.sections": 8, "adapter.rated_current": 1, "controller.feed": "own"}
    ),
    "load switch": lambda: new_build(
        TILES
        | {"wiring.sections": 4, "adapter.rated_current": 1, "switch": {"kind": "load-switch", "current_limit": 1.0}}
    ),
}  # fmt: skip


HEADS = (
    "build", "as it is", "processor [s]", "in 95 %", "own adapter", "with a switch", "at its bus [mF]", "taken",
    "why no switch without a bank",
)  # fmt: skip


def study(name: str) -> list[str]:
    """Return what is missing for a build; prints its row."""
    build = BUILDS[name]()
    began = time.process_time()
    found = recommend_remedies(build)
    took = time.process_time() - began
    for each in found.ranked:
        assert each.odds is not None
        names = ", ".join((each.name, *each.combined_with))
        said = f"   {each.odds.value:.3f} ({each.odds.low:.3f} to {each.odds.high:.3f}) {each.effort.name:9} {names}"
        print(said, file=sys.stderr, flush=True)
    kept = [each for each in found.good if each.build.adapter.rated_current == build.adapter.rated_current]
    switched = [each for each in kept if each.build.switch is not None and each.build.pixel == build.pixel]
    bulk = f"{1e3 * min(each.build.bus.bulk for each in switched):g}" if switched else "-"
    best, short = found.ranked[0], found.shortfall
    why = "-" if short is None else short.why.value
    if short is not None and not switched and short.best is not None and short.best.odds is not None:
        why += f" (best {short.best.odds.value:.3f})"
    taken = ", ".join(each for each in (best.name, *best.combined_with) if each != "dark frame repeated")
    row = (name, simulate(build).verdict, f"{took:.0f}", len(found.good), len(kept), len(switched), bulk, taken, why)
    print(f"| {' | '.join(map(str, row))} |", flush=True)
    missing = [] if len(found.good) >= 2 else [f"{len(found.good)} often enough"]
    return missing + [f"{each.name}: saved, it does not boot" for each in found.ranked if not _confirmed(each.build)]


def _confirmed(build) -> bool:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "saved.toml"
        save_build(build, path)
        return simulate(load_build(path)).headline.boots


def main(names: list[str]) -> int:
    """Study builds and say what is missing."""
    print(f"| {' | '.join(HEADS)} |\n|{' --- |' * len(HEADS)}", flush=True)
    missing = {name: study(name) for name in names or BUILDS}
    for name, what in missing.items():
        if what:
            print(f"MISSING {name}: {'; '.join(what)}")
    return int(any(missing.values()))


if __name__ == "__main__":
    sys.exit(call(main, __doc__, names=BUILDS))
