"""What the docstrings of a file's public functions and classes leave unsaid."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum
from pathlib import Path

#: What of an annotation says that a value is a quantity, or a count.
QUANTITY = re.compile(r"\b(float|int|FloatArray|IntArray|ArrayLike|NDArray|Array|Colour)\b")
SECTION = re.compile(r"^( *)(\w[\w ]*)\n\1-{3,}$", re.MULTILINE)
ERROR = re.compile(r"^(\w*Error|Cancelled|Refused|SeveralRefused)$")
#: ``quantity = expression`` with at least one operation in it.
FORMULA = re.compile(r"``[^`\n]*\w[^`\n]* = [^`\n]*[\w)] ?(\*|/|\+|\^)[^`\n]*``|\\frac")
ORIGIN = re.compile(
    r"Source|References|NOTES\.md|common practice|from memory|handbook|by definition|IEC|IPC|ASTM|:func:|:mod:", re.I
)


class Missing(Enum):
    """What a docstring leaves unsaid."""

    PARAMETER = "parameter not described"
    UNIT = "quantity without its unit in brackets"
    DIMENSIONLESS = "[-] in place of [1]"
    RAISES = "error that is raised, not named under Raises"
    EXAMPLE = "computes, and shows no example"
    SOURCE = "formula without its source"


@dataclass(frozen=True)
class Item:
    """One thing that is missing."""

    place: str
    missing: Missing
    name: str = ""

    def __str__(self) -> str:
        """One line of a report."""
        return f"{self.place}: {self.missing.value}{': ' if self.name else ''}{self.name}"


def sections(doc: str) -> dict[str, str]:
    """Parts of a numpy-style docstring by their headings, the text before the first one under ""."""
    heads = list(SECTION.finditer(doc))
    ends = [*(head.start() for head in heads[1:]), len(doc)][: len(heads)]
    found = {head[2]: doc[head.end() : end] for head, end in zip(heads, ends, strict=True)}
    return found | {"": doc[: heads[0].start()] if heads else doc}


def described(section: str) -> dict[str, str]:
    """Text of each name of a section of parameters; names that share an entry share its text."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in section.splitlines():
        head = re.match(r"^([\w*][\w*, ]*?) : |^([\w*][\w*, ]*)$", line)
        if head:
            names = [name.strip(" *") for name in (head[1] or head[2]).split(",")]
            found |= dict.fromkeys(names, line)
        else:
            found |= {name: f"{found[name]}\n{line}" for name in names}
    return found


def _raised(function: ast.FunctionDef) -> set[str]:
    names = set()
    for node in ast.walk(function):
        if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
            name = ast.unparse(node.exc.func).rpartition(".")[2]
            if ERROR.match(name):
                names.add(name)
    return names


def given_to_users(path: Path, root: Path) -> set[str] | None:
    """Names that the package of a file exports; None for a file that is no part of a package."""
    home = root / path.relative_to(root).parts[0]
    if home.is_file():
        return None
    tree = ast.parse((home / "__init__.py").read_text(encoding="utf-8"))
    lists = [
        node.value for node in tree.body if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
    ]
    return {name.value for each in lists for name in ast.walk(each) if isinstance(name, ast.Constant)}


def _of_values(place: str, values: dict[str, str], text: dict[str, str], whole: str) -> Iterator[Item]:
    """Items of parameters or attributes, given by their annotations."""
    for name, annotation in values.items():
        if name not in text:
            # One sentence may say all of it: a helper's ``name`` with its [unit].
            if not re.search(rf"``{name}``", whole):
                yield Item(place, Missing.PARAMETER, name)
            elif QUANTITY.search(annotation) and "[" not in whole:
                yield Item(place, Missing.UNIT, name)
        elif QUANTITY.search(annotation) and "Callable" not in annotation and "[" not in text[name]:
            yield Item(place, Missing.UNIT, name)


def of_function(place: str, function: ast.FunctionDef, *, shown: bool) -> Iterator[Item]:
    """What a function's docstring leaves unsaid; ``shown``: whether it needs an example where it computes."""
    doc = ast.get_docstring(function) or ""
    parts = sections(doc)
    every = [*function.args.posonlyargs, *function.args.args, *function.args.kwonlyargs]
    values = {
        a.arg: ast.unparse(a.annotation) if a.annotation else "float"
        for a in every
        if a.arg not in ("self", "cls") and not a.arg.startswith("_")
    }
    yield from _of_values(place, values, described(parts.get("Parameters", "")), doc)
    for name in sorted(_raised(function)):
        if not re.search(rf"\b{name}\b", parts.get("Raises", "")):
            yield Item(place, Missing.RAISES, name)
    returned = ast.unparse(function.returns) if function.returns else "float"
    if shown and values and QUANTITY.search(returned) and ">>>" not in doc:
        yield Item(place, Missing.EXAMPLE)
    if FORMULA.search(doc) and not ORIGIN.search(doc):
        yield Item(place, Missing.SOURCE)
    if "[-]" in doc:
        yield Item(place, Missing.DIMENSIONLESS)


def of_class(place: str, node: ast.ClassDef, *, part: bool, shown: bool) -> Iterator[Item]:
    """What a class's docstring, and those of its public methods, leave unsaid; a part's keys say it themselves."""
    doc = ast.get_docstring(node) or ""
    parts = sections(doc)
    fields = {}
    below = {}  # a field's own docstring, the string after it
    for entry, after in zip(node.body, [*node.body[1:], ast.Pass()], strict=True):
        if not (isinstance(entry, ast.AnnAssign) and isinstance(entry.target, ast.Name)):
            continue
        if not entry.target.id.startswith("_") and "ClassVar" not in ast.unparse(entry.annotation):
            fields[entry.target.id] = ast.unparse(entry.annotation)
            if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
                below[entry.target.id] = str(after.value.value)
    if not part:
        text = described(parts.get("Attributes", "")) | described(parts.get("Parameters", "")) | below
        yield from _of_values(place, fields, text, doc)
    if "[-]" in doc:
        yield Item(place, Missing.DIMENSIONLESS)
    for entry in node.body:
        if not isinstance(entry, ast.FunctionDef) or entry.name.startswith("_"):
            continue
        if any("validator" in ast.unparse(d) or "overload" in ast.unparse(d) for d in entry.decorator_list):
            continue
        yield from of_function(f"{place}.{entry.name}", entry, shown=shown and ">>>" not in doc)


def of_file(path: Path, root: Path) -> list[Item]:
    """What the docstrings of a file leave unsaid."""
    exported = given_to_users(path, root)
    found: list[Item] = []
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if not isinstance(node, ast.FunctionDef | ast.ClassDef) or node.name.startswith("_"):
            continue
        place = f"{path.relative_to(root)}:{node.name}"
        shown = exported is None or node.name in exported
        if isinstance(node, ast.FunctionDef):
            found += of_function(place, node, shown=shown)
        else:
            part = bool({ast.unparse(base) for base in node.bases} & {"Part", "BaseModel"})
            found += of_class(place, node, part=part, shown=shown)
    return found
