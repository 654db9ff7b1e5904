"""The rules of thumb of the trade that several findings and searches keep stand in one place."""

import ast
from pathlib import Path

import inrushlib
from inrushlib.safety import finding
from inrushlib.search.wires import CONTINUOUS_FACTOR

PACKAGE = Path(inrushlib.__file__).parent
HOME = Path(finding.__file__)
RULES = (finding.CONTINUOUS_SHARE, 1 / finding.CONTINUOUS_SHARE, finding.JUNCTION_RESERVE)
OTHER = {"EIGHT_BIT_COUNTS_PER_DIVISION"}  # the same number, of another matter


def stated(path: Path) -> dict[str, object]:
    """What a file gives to names at its top."""
    found = {}
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and isinstance(node.value, ast.Constant):
            found[ast.unparse(node.targets[0])] = node.value.value
    return found


def test_no_other_file_writes_them_again():
    again = {
        (path.name, name)
        for path in PACKAGE.rglob("*.py")
        if path != HOME
        for name, value in stated(path).items()
        if value in RULES and name not in OTHER
    }
    assert again == set()


def test_the_factor_of_a_lasting_load_is_that_of_the_code():
    # NEC 210.20(A): not less than 125 % of the continuous load.
    assert CONTINUOUS_FACTOR == 1.25
    assert stated(HOME)["CONTINUOUS_SHARE"] * 1.25 == 1.0
