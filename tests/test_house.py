"""How the tree hangs together: who imports what, and that nothing public is there for nobody."""

import ast
import re
import sys
from collections import Counter
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
LIBRARY = sorted((ROOT / "inrushlib").rglob("*.py"))
WIDGETS = sorted((ROOT / "workbook" / "widgets").glob("*.py"))
COMMANDS = sorted((ROOT / "inrushlib" / "cli").glob("*.py"))

#: What widgets are made with, beside the standard library.
WIDGET_LIBRARIES = {"anywidget", "ipywidgets", "matplotlib", "numpy", "traitlets"}
#: Packages whose __init__ gives a user all that is needed: nothing that shows answers reaches deeper.
WHOLE = ("copper", "margins", "odds", "panel", "parts", "plots", "remedies", "safety", "search", "startup", "trace")
#: Deeper all the same: what only a page words or counts in, and no program needs.
DEEPER = {}


def imports_of(path: Path) -> list[tuple[str, tuple[str, ...]]]:
    found: list[tuple[str, tuple[str, ...]]] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [(alias.name, ()) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            found.append((node.module or "", tuple(alias.name for alias in node.names)))
    return found


@pytest.mark.parametrize("path", WIDGETS, ids=lambda path: path.stem)
def test_widgets_import_the_library_and_each_other(path):
    accepted = {"inrushlib", "widgets"} | WIDGET_LIBRARIES
    for module, _ in imports_of(path):
        top = module.partition(".")[0]
        assert top in accepted or top in sys.stdlib_module_names, f"{path.name} imports {module}"
        assert not module.startswith(("inrushlib.model", "inrushlib.serve")), f"{path.name} imports {module}"


@pytest.mark.parametrize("path", [*COMMANDS, *WIDGETS], ids=lambda path: f"{path.parent.name}.{path.stem}")
def test_what_shows_answers_imports_what_packages_give(path):
    for module, names in imports_of(path):
        parts = module.split(".")
        if parts[0] == "inrushlib" and len(parts) > 2 and parts[1] in WHOLE:
            assert set(names) <= DEEPER.get(module, set()), f"{path.name}: from {module} import {', '.join(names)}"


def test_the_library_knows_no_widgets():
    for path in LIBRARY:
        assert not [module for module, _ in imports_of(path) if module.partition(".")[0] in ("widgets", "ipywidgets")]


def test_what_is_public_is_used_or_given_to_users():
    """A function or class that nothing calls has to be in its package's ``__all__``, else it goes."""
    used: Counter[str] = Counter()
    defined: dict[str, Path] = {}
    for path in [*LIBRARY, *WIDGETS]:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        exports = path.name == "__init__.py"
        for node in ast.walk(tree):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
                used[node.id] += 1
            elif isinstance(node, ast.Attribute):
                used[node.attr] += 1
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                used.update(re.findall(r"=inrushlib\.[\w.]+\.(\w+)$", node.value))  # named to the server by its path
            elif exports and isinstance(node, ast.Assign) and any(ast.unparse(t) == "__all__" for t in node.targets):
                used.update(name.value for name in ast.walk(node.value) if isinstance(name, ast.Constant))
        for node in tree.body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                defined[node.name] = path
    assert len(defined) > 300
    assert {name: str(path.relative_to(ROOT)) for name, path in defined.items() if not used[name]} == {}


def names_of(path: Path) -> tuple[set[str], set[tuple[str, str]]]:
    """What a file reads by its plain name, and what it takes from modules, by import or as an attribute."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    plain: set[str] = set()
    taken: set[tuple[str, str]] = set()
    modules: dict[str, str] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            modules |= {alias.asname or alias.name: alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            taken |= {(node.module, alias.name) for alias in node.names}
            modules |= {alias.asname or alias.name: f"{node.module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            plain.add(node.id)
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in modules:
            taken.add((modules[node.value.id], node.attr))
    return plain, taken


def test_no_function_is_kept_alive_by_a_namesake():
    """A function is read in its own file or taken from its module; a like name elsewhere is no use of it."""
    read = {path: names_of(path) for path in [*LIBRARY, *WIDGETS]}
    taken = set().union(*(names for _, names in read.values()))
    # Named by their path in words.
    by_path = [ROOT / "inrushlib" / name for name in ("serve/inside.py", "serve/kernels.py", "cli/__init__.py")]
    idle = []
    for path in LIBRARY:
        plain = read[path][0]
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if not isinstance(node, ast.FunctionDef | ast.ClassDef) or path in by_path or "model" in path.parts:
                continue
            command = node.name == "add" and path in COMMANDS  # asked for by the command's name
            if not command and node.name not in plain and (module, node.name) not in taken:
                idle.append(f"{module}.{node.name}")
    assert idle == []
