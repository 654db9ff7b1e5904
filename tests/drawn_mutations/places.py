"""Where a file can be broken, and how: the operators are cosmic-ray's.

A place is one operator, comparison, number, ``and``, decorator, loop or the like. Most can be broken in several ways (a
plus into eleven other operators); places are drawn, and then one way, for otherwise arithmetic, whose mutants are many
and easily caught, would be most of the figure. Left out is what no test can see: annotations and imports for them,
whether a data class is frozen or ``zip`` is strict, the star before parameters that are named, ``==`` for ``is`` and
back (the same for members of an enumeration), a mutant that is no Python or the same tree.
"""

from __future__ import annotations

import ast
import warnings
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

import cosmic_ray.plugins
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code

_SAME_FOR_ENUMERATIONS = {"Eq_Is", "Is_Eq", "NotEq_IsNot", "IsNot_NotEq"}


@dataclass(frozen=True)
class Place:
    """One place that can be broken.

    Parameters
    ----------
    line, column : int
        Where it begins, from one and from zero [1].
    operator : str
        The family of cosmic-ray's operators.
    ways : tuple of (str, int)
        An operator's name, and which of its places in the file.
    """

    line: int
    column: int
    operator: str
    ways: tuple[tuple[str, int], ...]


def places(text: str) -> list[Place]:
    """Return all places of a file's ``text``, from its beginning to its end."""
    nodes = list(ast_nodes(get_ast(text)))
    unseen = [_reach(each) for each in _without_effect(ast.parse(text))]
    found: dict[tuple[int, int, str], list[tuple[str, int]]] = defaultdict(list)
    for name in cosmic_ray.plugins.operator_names():
        family, _, change = name.rpartition("/")[2].partition("_")
        operator = cosmic_ray.plugins.get_operator(name)
        if operator.arguments() or change in _SAME_FOR_ENUMERATIONS:
            continue
        positions = [(node, begin) for node in nodes for begin, _ in operator().mutation_positions(node)]
        for number, (node, begin) in enumerate(positions):
            if getattr(node.parent, "type", "") != "parameters" and not any(
                first <= begin < last for first, last in unseen
            ):
                found[*begin, family].append((name, number))
    return [Place(*where, tuple(ways)) for where, ways in sorted(found.items())]


def broken(text: str, place: Place, draw: Random) -> str | None:
    """Return the file's ``text`` broken at a place, in a way that is drawn; None where each says what it said."""
    for name, number in draw.sample(place.ways, len(place.ways)):
        changed = mutate_code(text, cosmic_ray.plugins.get_operator(name)(), number)
        if changed is not None and _is_another(text, changed):
            return str(changed)
    return None


def statement_around(text: str, line: int) -> tuple[range, bool]:
    """Return the lines of the statement around a ``line`` of a file's ``text``, and whether only its import runs it.

    Of a statement that holds others it is the head, of a function's or a class's own head all of it.
    """
    functions = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.FunctionDef)]
    statements = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.stmt)]
    best = max((node for node in statements if line in _lines(node)), key=lambda node: _lines(node).start)
    inside = any(node.body[0].lineno <= line <= (node.end_lineno or 0) for node in functions)
    return _lines(best), not inside and not isinstance(best, ast.FunctionDef)


def _lines(node: ast.stmt) -> range:
    """Return the lines of a statement ``node``, of one that holds others those of its head."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return range(min([node.lineno, *(each.lineno for each in node.decorator_list)]), (node.end_lineno or 0) + 1)
    body = getattr(node, "body", None)
    last = max(body[0].lineno - 1, node.lineno) if body else node.end_lineno or node.lineno
    return range(node.lineno, last + 1)


def _without_effect(tree: ast.Module) -> Iterator[ast.expr]:
    """Yield what no answer of a ``tree`` hangs on: annotations, what a data class allows, what holds lengths alike."""
    for node in ast.walk(tree):
        yield from (
            each for name in ("annotation", "returns") if isinstance(each := getattr(node, name, None), ast.expr)
        )
        if isinstance(node, ast.ClassDef):
            calls = [each for each in node.decorator_list if isinstance(each, ast.Call)]
            yield from (word.value for call in calls for word in call.keywords)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "zip":
            yield from (word.value for word in node.keywords)
        if isinstance(node, ast.If) and isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING":
            yield node.test


def _reach(node: ast.expr) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return where a ``node`` begins and ends."""
    return (node.lineno, node.col_offset), (node.end_lineno or 0, node.end_col_offset or 0)


def _is_another(text: str, changed: str) -> bool:
    """Say whether ``changed`` is Python, and another tree than ``text``."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", SyntaxWarning)  # "is" with a literal, say
        try:
            return ast.dump(ast.parse(changed)) != ast.dump(ast.parse(text))
        except SyntaxError:
            return False
