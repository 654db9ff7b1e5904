"""A disk that is full or read-only, at every write of a page: nothing is lost, and the page says so."""

import ast
import errno
import sys
from datetime import date
from pathlib import Path

import pytest

from inrushlib.build import load_build
from inrushlib.measurements import How, Measurement, MeasurementLog, read_log
from inrushlib.trace import Fit
from tests.faults.disk import Disk, Step

WIDGETS = Path(__file__).resolve().parents[2] / "workbook" / "widgets"
sys.path.insert(0, str(WIDGETS.parent))

from widgets import working_copy  # noqa: E402
from widgets.scope_fit import Fitted  # noqa: E402
from widgets.scope_page import ScopePage  # noqa: E402
from widgets.state import BuildState  # noqa: E402

WRITERS = {"write_safely", "write_together", "save_build", "save_measured", "add_to_log", "write_text", "write_bytes"}
FAULTS = [(errno.ENOSPC, "No space left on device"), (errno.EROFS, "Read-only file system")]


def reading(value):
    """What was read of the adapter on the bench."""
    row = Measurement(
        key="adapter.rated_current", value=value, low=value - 0.1, high=value + 0.1, how=How.BENCH, source="meter",
        day=date(2026, 3, 1),
    )  # fmt: skip
    return {row.key: value}, MeasurementLog((row,))


LOG, BUILD, FITTED = "tiny.measured.toml", "tiny.toml", "fitted.toml"


def contents():
    """Every file below this folder, hidden ones included."""
    return {str(path): path.read_bytes() for path in Path().rglob("*") if path.is_file()}


@pytest.fixture
def state(desk):
    """A page's build with its file, its log, its working copy, and a change since."""
    state = BuildState(load_build(BUILD), threaded=False, copy=working_copy.WorkingCopy(Path()))
    state.change(*reading(2.9))
    assert state.save(BUILD)
    state.change(*reading(2.8))
    return state


@pytest.mark.parametrize("step", [Step.OPEN, Step.WRITE, Step.SYNC])
@pytest.mark.parametrize("number", [1, 2], ids=["the log", "the build"])
@pytest.mark.parametrize(("code", "words"), FAULTS)
def test_a_save_writes_build_and_log_or_neither(state, number, step, code, words, monkeypatch):
    before = contents()
    with monkeypatch.context() as patch:
        Disk(patch, number, step, code)
        assert not state.save(BUILD)
    assert f"cannot be written: {words}" in state.problem
    assert contents() == before
    assert (state.changed, state.build.adapter.rated_current) == (True, 2.8)
    assert state.save(BUILD)
    assert (state.problem, load_build(BUILD).adapter.rated_current) == ("", 2.8)
    assert len(read_log(LOG).rows) == 2


@pytest.mark.parametrize("step", Step)
@pytest.mark.parametrize(("code", "words"), FAULTS)
def test_what_cannot_be_kept_for_other_pages_is_told_and_goes_on_here(state, step, code, words, monkeypatch):
    before = contents()
    with monkeypatch.context() as patch:
        Disk(patch, None, step, code)
        assert state.change({"lead.length": 3.0})
    assert state.problem.startswith("changes live only as long as this page: ")
    assert words in state.problem
    assert contents() == before
    assert (state.build.lead.length, state.start.build) == (3.0, state.build)
    state.change({"lead.length": 4.0})
    assert state.copy.read().build.lead.length == 4.0


@pytest.mark.parametrize(("code", "words"), FAULTS)
def test_a_fitted_build_that_cannot_be_written_can_be_saved_again(desk, code, words, monkeypatch):
    monkeypatch.setenv("INRUSH_FOLDER", str(desk))
    page = ScopePage(threaded=False)
    fit, laid = page.questions["Fit"], page.questions["Capture over the model"].task.result
    fit.task.result = Fitted(Fit(keys={}, build=page.state.build, shift=0.0, name="seen.csv"), laid)
    with monkeypatch.context() as patch:
        Disk(patch, None, Step.WRITE, code)
        fit.save.click()
    assert f"{FITTED}: cannot be written: {words}" in fit.saved.value
    assert not Path(FITTED).exists()
    fit.save.click()
    assert load_build(FITTED) == page.state.build


def called(path):
    """Names of the functions that a source calls."""
    calls = [node.func for node in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(node, ast.Call)]
    return {ast.unparse(each).rpartition(".")[2] for each in calls}


def test_no_other_widget_writes():
    """What writes is called above, by way of the state or of a fit; a new writer has to come here, too."""
    writing = {path.stem: called(path) & WRITERS for path in WIDGETS.glob("*.py")}
    assert {name: found for name, found in writing.items() if found} == {
        "state": {"save_measured"},
        "build_files": {"write_together"},
        "working_copy": {"write_safely"},
        "scope_fit": {"write_safely"},
    }
