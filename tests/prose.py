"""Finds code that branches on words meant for people: prefixes, parts and equality of sentences, sentences as keys.

``prose_branches``   all places in a source
``Use``              one of them

What counts:

- a prefix or suffix test (``startswith``, ``endswith``, ``removeprefix``, ``removesuffix``) on anything with a letter;
- taking apart by words (``split``, ``partition``, ``replace``, ...) with a letter, or with a separator of sentences
  such as ``": "``;
- ``==``, ``in``, ``case``, a look-up or a key with a string of several words or one that ends as a sentence does;
- any of these on an attribute that is a sentence by its name (``note``, ``reason``, ``words``, ...).

Names of module constants, imported ones too, are followed to their strings.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

ENDS = {"startswith", "endswith", "removeprefix", "removesuffix"}
TAKES_APART = {"split", "rsplit", "partition", "rpartition", "replace", "find", "rfind", "index", "count"}
LOOKS_UP = {"get", "pop", "setdefault"}
SENTENCES = {
    "accepted", "advice", "bounds", "damage", "default_text", "meaning", "message", "note", "reason", "sentence",
    "title", "what", "why", "words",
}  # fmt: skip
SEVERAL_WORDS = re.compile(r"\w\S* +\S*\w|\w[:.;!?]$|[:;.,] $")
SEPARATOR = re.compile(r"[A-Za-z]|[:;.,)\]] $|^ [(\[]")


@dataclass(frozen=True)
class Use:
    """A use of words as data: where, how, and the words."""

    line: int
    how: str
    words: str


def constants(tree: ast.Module) -> dict[str, str]:
    """Module-level names that are strings."""
    found = {}
    for node in tree.body:
        if not isinstance(node, ast.Assign):
            continue
        for target in node.targets:
            for name, value in _pairs(target, node.value):
                if isinstance(name, ast.Name) and isinstance(value, ast.Constant) and isinstance(value.value, str):
                    found[name.id] = value.value
    return found


def _pairs(target: ast.expr, value: ast.expr) -> list[tuple[ast.expr, ast.expr]]:
    if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        return list(zip(target.elts, value.elts, strict=False))
    return [(target, value)]


def prose_branches(tree: ast.Module, known: Mapping[str, str]) -> list[Use]:
    """All uses of words as data in a source; ``known`` has the string constants that it may name."""
    return sorted(_uses(tree, known), key=lambda use: use.line)


def _uses(tree: ast.Module, known: Mapping[str, str]) -> Iterator[Use]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            yield from _of_call(node, node.func, known)
        elif isinstance(node, ast.Compare):
            yield from _of_compare(node, known)
        elif isinstance(node, ast.Subscript) and isinstance(node.ctx, ast.Load):
            yield from (Use(node.lineno, "[]", words) for words in _strings(node.slice, known) if _is_prose(words))
        elif isinstance(node, ast.MatchValue):
            yield from (Use(node.lineno, "case", words) for words in _strings(node.value, known) if _is_prose(words))


def _of_call(node: ast.Call, func: ast.Attribute, known: Mapping[str, str]) -> Iterator[Use]:
    first = [words for argument in node.args[:1] for words in _strings(argument, known)]
    if func.attr in ENDS:
        found = [words for words in first if re.search("[A-Za-z]", words)]
    elif func.attr in TAKES_APART:
        found = [words for words in first if SEPARATOR.search(words)]
    elif func.attr in LOOKS_UP:
        found = [words for words in first if _is_prose(words)]
    else:
        return
    yield from (Use(node.lineno, func.attr, words) for words in found)
    if not found and func.attr in ENDS | TAKES_APART and _is_sentence(func.value):
        yield Use(node.lineno, func.attr, ast.unparse(func.value))


def _of_compare(node: ast.Compare, known: Mapping[str, str]) -> Iterator[Use]:
    if not all(isinstance(op, ast.Eq | ast.NotEq | ast.In | ast.NotIn) for op in node.ops):
        return
    for side in (node.left, *node.comparators):
        found = [words for words in _strings(side, known) if _is_prose(words)]
        yield from (Use(node.lineno, "==", words) for words in found)
        if not found and _is_sentence(side):
            yield Use(node.lineno, "==", ast.unparse(side))


def _strings(node: ast.expr, known: Mapping[str, str]) -> list[str]:
    """The strings that an argument is or holds; of one made from parts, what is fixed."""
    if isinstance(node, ast.Constant):
        return [node.value] if isinstance(node.value, str) else []
    if isinstance(node, ast.Name):
        return [known[node.id]] if node.id in known else []
    if isinstance(node, ast.JoinedStr):
        return ["".join(part.value for part in node.values if isinstance(part, ast.Constant))]
    if isinstance(node, ast.Tuple | ast.List | ast.Set):
        return [words for each in node.elts for words in _strings(each, known)]
    return []


def _is_prose(words: str) -> bool:
    return bool(SEVERAL_WORDS.search(words))


def _is_sentence(node: ast.expr) -> bool:
    return isinstance(node, ast.Attribute) and node.attr in SENTENCES
