"""Notebooks: a title, a text, an import, a display; no logic, no stored output."""

import ast
import json
from pathlib import Path

import pytest

WORKBOOK = Path(__file__).resolve().parents[2] / "workbook"


@pytest.mark.parametrize("path", sorted(WORKBOOK.glob("*.ipynb")), ids=lambda path: path.name)
def test_notebook_holds_no_logic(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    first = "".join(cells[0]["source"])
    assert first.startswith("# ")
    assert "Limits" in first
    assert "Caution" in first
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in code)
    statements = [node for cell in code for node in ast.parse("".join(cell["source"])).body]
    assert [type(node) for node in statements] == [ast.ImportFrom, ast.Expr]
