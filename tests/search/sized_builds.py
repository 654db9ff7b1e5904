"""Builds for the tests of sizing, and a start at fine tolerance to confirm what a search found."""

from pathlib import Path

from inrushlib.build import Build, load_build, new_build
from inrushlib.startup import Verdict, screen

HERE = Path(__file__).parent
REFERENCE = HERE.parent / "reference"
WORKBOOK = HERE.parents[1] / "workbook" / "builds"


def reference(name: str) -> Build:
    return load_build(REFERENCE / f"{name}.toml")


def tide_board(name: str) -> Build:
    return load_build(WORKBOOK / f"tide_board_{name}.toml")


def six_tiles(**values: object) -> Build:
    """Six tiles of 8 x 8 pixels on a 3 A adapter; ``bus__bulk`` stands for bus.bulk."""
    base = {"title": "six tiles", "adapter.rated_current": 3, "wiring.sections": 6, "wiring.pixels_per_section": 64}
    return new_build(base | {key.replace("__", "."): value for key, value in values.items()})


def four_tiles(**values: object) -> Build:
    """Four tiles behind a quick switch that feeds large capacitors."""
    base = {"title": "four tiles", "wiring.sections": 4, "wiring.pixels_per_section": 64, "run.duration": 0.5}
    return new_build(base | {key.replace("__", "."): value for key, value in values.items()})


def boots(build: Build) -> bool:
    """Whether it boots at a tolerance a hundred times finer than the searches use."""
    return screen(build, tolerance=3e-6).verdict is Verdict.BOOTS
