"""Every public function says what it takes, in which unit, what it raises, where it comes from, and shows it once."""

import ast
from collections import defaultdict
from pathlib import Path

import pytest

from .public_docs import Item, Missing, of_class, of_file, of_function

ROOT = Path(__file__).resolve().parents[1] / "inrushlib"

#: What is still missing in a package. A number may only fall; a package that is not here has nothing missing.
RECORDED = {
    "model": 469,
}
COMPLETE = (
    "build",
    "cli",
    "copper",
    "document",
    "errors",
    "files",
    "laws",
    "margins",
    "odds",
    "panel",
    "parts",
    "plots",
    "quantities",
    "remedies",
    "safety",
    "search",
    "serve",
    "startup",
    "text",
    "trace",
    "trace/fit",
)


#: A room within a package that is counted by itself.
APART = ("trace/fit",)


def room_of(path: Path) -> str:
    inside = path.relative_to(ROOT).parts
    nested = "/".join(inside[:2])
    return nested if nested in APART else inside[0].removesuffix(".py")


def missing() -> dict[str, list[Item]]:
    found: dict[str, list[Item]] = defaultdict(list)
    for path in sorted(ROOT.rglob("*.py")):
        found[room_of(path)] += of_file(path, ROOT)
    return found


FOUND = missing()


@pytest.mark.parametrize("package", sorted(FOUND))
def test_docstrings_say_it_all(package):
    found = FOUND[package]
    recorded = RECORDED.get(package, 0)
    assert len(found) <= recorded, f"{len(found)}, at most {recorded}:\n" + "\n".join(map(str, found))


def test_what_is_complete_stays_so():
    assert not set(COMPLETE) & set(RECORDED)
    assert {*RECORDED} <= {*FOUND}
    assert sum(RECORDED.values()) <= 469


def test_dimensionless_is_one_everywhere():
    assert not [item for items in FOUND.values() for item in items if item.missing is Missing.DIMENSIONLESS]


DOC = """def law(voltage: float, width: float, name: str) -> float:
    '''Current of a part.

    ``current = voltage / resistance``

    Parameters
    ----------
    voltage : float
        Across it [V].
    width : float
        Of its knee [-].
    '''
    if voltage < 0:
        raise BuildError("no")
    return voltage
"""
SAID = """[1].
    name : str
        Of the part.

    Raises
    ------
    BuildError
        Below 0.

    Notes
    -----
    Source: a handbook.

    Examples
    --------
    >>> law(1.0, 1.0, '')
    1.0
"""
CLASS = """class Found:
    '''A result.

    Attributes
    ----------
    low, high : float
        Bounds.
    '''

    low: float
    high: float
    runs: int
    '''Runs that it took [1].'''
    why: str
"""


def test_the_walk_sees_what_is_missing():
    function = ast.parse(DOC).body[0]
    assert isinstance(function, ast.FunctionDef)
    found = {(item.missing, item.name) for item in of_function("here", function, shown=True)}
    assert found == {
        (Missing.PARAMETER, "name"),
        (Missing.RAISES, "BuildError"),
        (Missing.EXAMPLE, ""),
        (Missing.SOURCE, ""),
        (Missing.DIMENSIONLESS, ""),
    }
    said = DOC.replace("[-].\n", SAID)
    function = ast.parse(said).body[0]
    assert isinstance(function, ast.FunctionDef)
    assert not list(of_function("here", function, shown=True))


def test_the_walk_sees_fields_without_their_unit():
    node = ast.parse(CLASS).body[0]
    assert isinstance(node, ast.ClassDef)
    found = {(item.missing, item.name) for item in of_class("here", node, part=False, shown=True)}
    assert found == {(Missing.UNIT, "low"), (Missing.UNIT, "high"), (Missing.PARAMETER, "why")}
