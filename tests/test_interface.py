"""What a program that uses the library gets from it: names, their types, how fast they come."""

import ast
import importlib
import subprocess
import sys
from pathlib import Path

import pytest

import inrushlib
from inrushlib import new_build

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("copper", "margins", "panel", "parts", "plots", "remedies", "safety", "search", "startup", "trace")
TILES = {"title": "t", "adapter.rated_current": 2, "wiring.sections": 2, "wiring.pixels_per_section": 8}

GOOD = """
import inrushlib
from inrushlib import load_build, read_trace, simulate
from inrushlib.search import gate_map
from inrushlib.startup import simulate as run
from inrushlib.trace import compare

build = load_build("a.toml")
reveal_type(build)
reveal_type(simulate(build).verdict)
reveal_type(read_trace)
reveal_type(inrushlib.search.rerun)
reveal_type(compare)
reveal_type(run)
reveal_type(gate_map)
reveal_type(build.adapter.rated_current)
peak: float = simulate(build).figures.peak_lead_current
"""
REVEALED = ["Build", "Verdict", "Trace", "Rerun", "Comparison", "Startup", "GateMap", "float"]
BAD = {
    "build.adaptor": 'error: "Build" has no attribute "adaptor"',
    "simulate(build).verdikt": 'error: "Startup" has no attribute "verdikt"',
    "inrushlib.lode_build": "error: Module has no attribute",
    "simulate('a.toml')": 'error: Argument 1 to "simulate" has incompatible type "str"; expected "Build"',
    "load_build()": 'error: Missing positional argument "path"',
}


def python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    return done.stdout.strip()


def test_the_types_that_a_users_file_sees(tmp_path):
    good, bad = tmp_path / "good.py", tmp_path / "bad.py"
    good.write_text(GOOD)
    head = "import inrushlib\nfrom inrushlib import load_build, simulate\n\nbuild = load_build('a.toml')\n"
    bad.write_text(head + "\n".join(BAD) + "\n")
    # The project's settings and cache, so that a second run takes seconds; the cache may name an earlier run's folder.
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", str(good), str(bad)],
        capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip
    lines = done.stdout.splitlines()
    said = [line.split('"')[1].split(" -> ")[-1] for line in lines if "good.py:" in line and "note:" in line]
    assert [name.rpartition(".")[2] for name in said] == REVEALED, done.stdout
    wrong = [line for line in lines if "error:" in line]
    assert len(wrong) == len(BAD), done.stdout
    first = head.count("\n") + 1
    for number, (expression, expected) in enumerate(BAD.items(), start=first):
        assert any(f"bad.py:{number}:" in line and expected in line for line in wrong), (expression, wrong)


def test_names_stand_the_same_way_in_all_three_lists():
    tree = ast.parse(Path(inrushlib.__file__).read_text())
    typed = next(node for node in tree.body if isinstance(node, ast.If))
    homes = {
        alias.name: (node.module or "").removeprefix("inrushlib").lstrip(".").partition(".")[0]
        for node in typed.body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
    }
    packages = {name for name, home in homes.items() if home == ""}
    assert packages == set(inrushlib._NAMES)
    assert {name: home for name, home in homes.items() if home} == inrushlib._HOME
    assert sorted(homes) == inrushlib.__all__
    assert len(inrushlib._HOME) <= 49  # what a user needs, not all there is


@pytest.mark.parametrize("name", inrushlib.__all__)
def test_every_name_is_there(name):
    assert getattr(inrushlib, name) is not None
    assert name in dir(inrushlib)


def test_a_misspelt_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="module 'inrushlib' has no attribute 'lode_build'"):
        _ = inrushlib.lode_build


@pytest.mark.parametrize("package", PACKAGES)
def test_packages_say_what_they_give(package):
    module = importlib.import_module(f"inrushlib.{package}")
    assert sorted(module.__all__) == sorted(set(module.__all__))
    for name in module.__all__:
        assert getattr(module, name) is not None
        assert f"``{name}``" in module.__doc__ or package in ("copper", "parts", "startup"), f"{name} is not in the map"


def test_importing_takes_nothing_along():
    # How long that takes stands in the table of the benchmarks; a clock would tell of the machine's load.
    code = "import sys; before = set(sys.modules); import inrushlib; print(sorted(set(sys.modules) - before))"
    assert python(code) == "['inrushlib']"


def test_builds_and_files_of_builds_need_no_compiler():
    code = "import sys; from inrushlib import load_build, BuildError; print('numba' in sys.modules)"
    assert python(code) == "False"


def test_nothing_but_a_picture_loads_matplotlib():
    names = [name for name in inrushlib.__all__ if not name.startswith("draw_") and name != "plots"]
    code = f"import sys, inrushlib; [getattr(inrushlib, n) for n in {names}]; print('matplotlib' in sys.modules)"
    assert python(code) == "False"


def test_builds_are_compared_key_by_key():
    build = new_build(TILES)
    assert build.differences(new_build(TILES)) == {}
    found = build.differences(build.with_values({"adapter.rated_current": "3 A", "title": "u"}))
    assert found["title"] == ("t", "u")
    assert found["adapter.rated_current"] == (2.0, 3.0)
    assert found["adapter.limit_current"] == (2.4, pytest.approx(3.6))  # what follows, too
    assert "lead.length" not in found
    switched = build.differences(build.with_values({"switch": {}}))
    assert switched
    assert all(key.startswith("switch.") and before is None for key, (before, _) in switched.items())
    scattered = build.differences(build.with_values({"tolerance": {"adapter.rated_current": {"relative": 0.1}}}))
    assert list(scattered) == ["tolerance.adapter.rated_current"]
