"""``inrush map``: the verdict over any two keys of a build."""

from __future__ import annotations

import argparse
from typing import Any

from inrushlib.answers.map import map_answer
from inrushlib.build import build_keys, load_build
from inrushlib.cli.arguments import add_input, add_picture
from inrushlib.cli.output import print_answer, save_picture, tell_share
from inrushlib.errors import UsageError
from inrushlib.quantities import parse_quantity
from inrushlib.search import Axis, VerdictMap, verdict_map
from inrushlib.startup import Verdict

GOOD, NOWHERE_GOOD = 0, 1


def add(commands: Any) -> None:
    """Add this one to the ``commands``."""
    p = commands.add_parser(
        "map",
        description="Run the build over a grid of two keys. Exit 0, 1 when it starts only where a part "
        "is past its absolute maximum, 2 when the file, a key or a range is not right.",
    )
    add_input(p, "build", metavar="BUILD.toml", help="a build file")
    for name in ("x", "y"):
        p.add_argument(f"--{name}", nargs=3, required=True, metavar=("TABLE.KEY", "LOW", "HIGH"),
                       help="a key and its range, such as adapter.rated_current '1 A' '20 A'")  # fmt: skip
        p.add_argument(f"--{name}-log", action="store_true", help="equal factors from point to point")
    p.add_argument("--points", type=int, default=60, metavar="N", help="points along each key; default 60")
    add_picture(p, "--plot", metavar="OUT.png", help="write the picture")
    p.add_argument("--json", action="store_true", help="SI numbers as an object")
    p.set_defaults(run=run)


def axis_of(words: list[str], points: int, log: bool) -> Axis:
    """Return an axis from its key and the ends of its range as typed.

    Parameters
    ----------
    words : list of str
        Key, low end and high end of its range; an end without a unit is in SI.
    points : int
        Points along it [1].
    log : bool
        Whether they are evenly spaced by factor.

    Raises
    ------
    UsageError
        Where an end of the range cannot be read in the key's unit.
    """
    key, *ends = words
    info = build_keys().get(key)
    unit = "" if info is None else info.unit
    values = []
    for text in ends:
        try:
            values.append(float(text) if _is_plain(text) else parse_quantity(text, unit))
        except ValueError as error:
            raise UsageError(f"{key}, an end of its range: {error}") from None
    return Axis(key, values[0], values[1], points, log)


def _is_plain(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def run(options: argparse.Namespace) -> int:
    """Make the map for the ``options`` of the command line."""
    build = load_build(options.build)
    x = axis_of(options.x, options.points, options.x_log)
    y = axis_of(options.y, options.points, options.y_log)
    found = verdict_map(build, x, y, progress=tell_share)
    answer = map_answer(found)
    print_answer(answer, to_dict(found), build, as_json=options.json)
    if options.plot is not None:
        from inrushlib.plots import draw_map

        save_picture(options.plot, 8.0, 6.0, lambda figure: draw_map(found, figure.add_subplot()))
    return GOOD if answer.good else NOWHERE_GOOD


def to_dict(found: VerdictMap) -> dict[str, Any]:
    """Return the map ready for JSON.

    Parameters
    ----------
    found : VerdictMap
        The map.
    """
    names = [v.value for v in Verdict]
    return {
        "title": found.build.title,
        "x": {"key": found.x.key, "values": found.x_values},
        "y": {"key": found.y.key, "values": found.y_values},
        "verdicts": [[names[number] for number in row] for row in found.verdicts.tolist()],
        "ran": found.ran,
        "overstressed": found.overstressed,
        "overstress": found.overstress,
        "boundaries": found.boundaries,
        "notes": found.notes,
        "runs": found.runs,
    }
