"""The laws' constants stand once, and neither a compiler nor drawing comes with them."""

import ast
import subprocess
import sys
from pathlib import Path

from inrushlib.laws import constants

PACKAGE = Path(constants.__file__).parents[1]
NAMES = {name for name in vars(constants) if name.isupper()}
IMPORTS = """
import sys
import inrushlib.laws.constants, inrushlib.laws.arrays
from inrushlib.laws import adapter, controller, limiter, pixel, smooth, switch
print(sorted({"numba", "matplotlib", "pandas", "scipy"} & set(sys.modules)))
print(sorted(name for name in sys.modules if name.startswith("inrushlib.") and ".laws" not in name))
"""


def assigned(path: Path) -> set[str]:
    """Names that a file gives a number to, at its top."""
    found: set[str] = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign):
            found |= {name.id for target in node.targets for name in ast.walk(target) if isinstance(name, ast.Name)}
    return found


def test_constants_stand_once() -> None:
    files = [path for path in PACKAGE.rglob("*.py") if path.name != "constants.py"]
    twice = {path.name: assigned(path) & NAMES for path in files}
    assert len(files) > 100
    assert {name: found for name, found in twice.items() if found} == {}


def test_each_has_its_unit() -> None:
    lines = Path(constants.__file__).read_text(encoding="utf-8").splitlines()
    stated = [line for line in lines if " = " in line and line[0].isupper()]
    assert len(stated) == len(NAMES)
    assert [line for line in stated if "  # [" not in line] == []


def test_importing_them_takes_nothing_else() -> None:
    done = subprocess.run([sys.executable, "-c", IMPORTS], capture_output=True, text=True, check=True, timeout=300)
    assert done.stdout == "[]\n[]\n"
