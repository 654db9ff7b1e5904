"""The compiled model's disk cache: said when it is filled, used afterwards, never stale after an edit."""

import math
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "inrushlib"

RUN = """
import sys
from inrushlib.build import new_build
from inrushlib.startup import simulate
startup = simulate(new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
                              "wiring.pixels_per_section": 8, "run.duration": 0.02}))
startup.slack
print(startup.figures.final_lead_current)
print(sorted({"numba", "scipy", "matplotlib", "pandas"} & set(sys.modules)))
"""
TWICE = f"""{RUN}
from inrushlib.model.compiled import Compiled
from inrushlib.model.compiler import _translated
model = [module for name, module in sys.modules.items() if name.startswith("inrushlib.model.")]
made = {{each for module in model for each in vars(module).values() if isinstance(each, Compiled)}}
print(*sorted(each.__name__ for each in made if len(_translated(each).overloads) > 1))
"""
MANY = """
from inrushlib.build import new_build
from inrushlib.odds import spread
from inrushlib.startup import screen_many
build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8,
                   "run.duration": 0.02})
print(len(screen_many([build] * 3).verdicts), spread(build, runs=64).runs)
"""
# The pixel's law stands in one file, what calls it in another: the case in which a plain disk cache goes stale.
ONE_PIXEL = """
from inrushlib.build import new_build
from inrushlib.model import circuit
from inrushlib.startup.pack import pack
build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8})
print(circuit.section_pixel(1.6, 0.0, pack(build).parts)[0])
"""
IMPORTS = """
import sys
import inrushlib.build, inrushlib.startup, inrushlib.search, inrushlib.trace, inrushlib.cli
print(sorted({"numba", "matplotlib", "pandas", "scipy"} & set(sys.modules)))
"""


@pytest.fixture
def copy(tmp_path):
    """A folder with a copy of the package."""
    shutil.copytree(PACKAGE, tmp_path / PACKAGE.name, ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path


def python(program, folder):
    """Run a program in a process of its own, with the copy's package and a cache beside it."""
    environment = {**os.environ, "PYTHONPATH": str(folder), "INRUSH_CACHE_DIR": str(folder / "cache")}
    command = [sys.executable, "-c", program]
    done = subprocess.run(
        command, env=environment, cwd=folder, capture_output=True, text=True, check=False, timeout=900
    )
    assert done.returncode == 0, done.stderr
    return done


def edit(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_first_run_says_that_it_compiles_and_later_ones_load_what_it_kept(copy):
    # One test, for a cold compilation of the whole model takes a quarter of a minute.
    first, second = python(TWICE, copy), python(RUN, copy)
    assert first.stderr == "Compiling the model for this machine, once; half a minute at most.\n"
    assert second.stderr == ""
    (answer, compiling, twice), (again, loaded) = first.stdout.splitlines(), second.stdout.splitlines()
    assert answer == again
    # What is kept is called without its compiler.
    assert "numba" in compiling
    assert loaded == "[]"
    # Nor is it said again of many starts, which run the same code.
    many = python(MANY, copy)
    assert (many.stdout, many.stderr) == ("3 64\n", "")
    # A constant as an argument is a type of its own to numba: what is called with five is compiled five times.
    assert set(twice.split()) <= {"combine", "next_step"}


def test_an_edit_takes_effect_in_the_next_process(copy):
    before, again = (float(python(ONE_PIXEL, copy).stdout) for _ in range(2))
    assert before == again
    # At 1.6 V a pixel is 0.4 V, or five widths of the step, below its wake voltage; at that voltage it draws half.
    edit(copy / "inrushlib" / "laws" / "pixel.py", "rise(v - wake, WAKE_WIDTH)", "rise(v - wake + 0.4, WAKE_WIDTH)")
    after = float(python(ONE_PIXEL, copy).stdout)
    assert after == pytest.approx(before * (1 + math.exp(5)) / 2, rel=1e-9)
    # What was compiled before the edit is kept beside it, under another name.
    assert len([path for path in (copy / "cache" / "inrushlib-compiled").iterdir() if path.is_dir()]) == 2


def test_an_edited_constant_takes_effect_too(copy):
    before = float(python(ONE_PIXEL, copy).stdout)
    edit(copy / "inrushlib" / "laws" / "constants.py", "WAKE_WIDTH = 0.08", "WAKE_WIDTH = 0.2")
    after = float(python(ONE_PIXEL, copy).stdout)
    assert after / before == pytest.approx((1 + math.exp(5)) / (1 + math.exp(2)), rel=1e-9)


def test_importing_takes_no_compiler_and_no_drawing():
    done = subprocess.run([sys.executable, "-c", IMPORTS], capture_output=True, text=True, check=True, timeout=300)
    assert "numba" not in done.stdout
    assert "matplotlib" not in done.stdout


def test_importing_the_package_takes_little():
    program = "import sys, inrushlib; print(sorted({'numba', 'matplotlib', 'pandas', 'scipy'} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=300)
    assert done.stdout == "[]\n"
