"""Drawing mutations: what is broken, and which lines the tests of it have to run."""

from pathlib import Path
from random import Random

import pytest

from .drawn_mutations.covering import LONGEST, Covering, naming
from .drawn_mutations.places import broken, places, statement_around

TEXT = '''"""A file."""
LIMIT = 3

def share(a: "int | None", *, b: int | None = None) -> int | None:
    """Of a."""
    if a > 0 and b:
        for one in range(
            a + 1,
        ):
            b += one
    return b

@dataclass(frozen=True)
class Other:
    value: float = 1.0

@staticmethod
def other():
    return not True, zip([1], [2], strict=True)
'''


def test_places_are_what_an_operator_can_break_and_no_annotation():
    found = {(place.line, place.operator) for place in places(TEXT)}
    assert {(2, "NumberReplacer"), (6, "ReplaceAndWithOr"), (6, "ReplaceComparisonOperator"), (6, "AddNot")} < found
    assert {(7, "ZeroIterationForLoop"), (8, "ReplaceBinaryOperator"), (8, "NumberReplacer")} < found
    assert {(19, "ReplaceTrueWithFalse"), (19, "ReplaceUnaryOperator")} < found
    assert sum(place.operator == "ReplaceTrueWithFalse" for place in places(TEXT)) == 1
    assert not any(line == 4 for line, _ in found)
    assert {operator for line, operator in found if line == 13} == {"RemoveDecorator"}


def test_each_place_breaks_the_file_once():
    for place in places(TEXT):
        changed = broken(TEXT, place, Random(1))
        assert changed is not None
        compile(changed, "a file", "exec")
        assert changed != TEXT


@pytest.mark.parametrize(
    ("line", "lines", "imported"),
    [
        (2, range(2, 3), True),
        (4, range(4, 12), False),
        (6, range(6, 7), False),
        (8, range(7, 10), False),
        (10, range(10, 11), False),
        (15, range(15, 16), True),
        (17, range(17, 20), False),
    ],
)
def test_a_mutant_is_looked_at_by_the_tests_that_run_its_statement(line, lines, imported):
    assert statement_around(TEXT, line) == (lines, imported)


def test_quick_tests_come_first_and_slow_ones_not_at_all():
    times = {"slow": LONGEST, "quick": 0.1, "apart": 0.2}
    covering = Covering({"a.py": {3: ("slow", "quick"), 4: ("apart",)}}, times)
    assert covering.of("a.py", range(3, 4)) == ("quick",)
    assert covering.of("a.py", range(3, 5)) == ("quick", "apart")
    assert covering.of("b.py", range(3, 5)) == ()


def test_what_only_an_import_runs_is_looked_at_by_tests_that_import_from_it(tmp_path):
    for name, text in (
        ("one", "from inrushlib.search.ratings import RATINGS"),
        ("two", "from inrushlib.search import a"),
    ):
        (tmp_path / f"{name}.py").write_text(text, encoding="utf-8")
    tests = ["one.py::test_a", "one.py::test_b[1::2]", "two.py::test_c"]
    assert naming(Path("inrushlib/search/ratings.py"), tmp_path, tests) == set(tests[:2])
