"""What a page says while it is not there yet, and what a kernel does before a page asks for it."""

import pytest
from widgets import ready

from inrushlib.errors import BuildError
from inrushlib.serve.loading import PROGRAM, STAGES, page_of
from inrushlib.serve.settings import READY, write_settings
from inrushlib.startup import simulate


class Collector:
    """In the place of the garbage collector, which these tests leave alone."""

    def __init__(self):
        self.asked = []

    def collect(self):
        self.asked.append("collect")

    def freeze(self):
        self.asked.append("freeze")


@pytest.fixture(autouse=True)
def collector(monkeypatch):
    found = Collector()
    monkeypatch.setattr(ready, "gc", found)
    monkeypatch.setattr(ready, "_ready", False)
    return found


def test_a_page_says_what_is_loading_and_fetches_nothing_from_elsewhere(tmp_path):
    write_settings(tmp_path, "token", ahead=True)
    page = (tmp_path / "share/voila/templates/inrush/index.html.j2").read_text()
    assert all(stage in page for stage in STAGES)
    assert "spinner.html" not in page
    assert "//cdn." not in page
    assert "prefers-color-scheme: dark" in page


def test_a_template_that_is_made_otherwise_is_refused():
    with pytest.raises(BuildError, match="page template has no"):
        page_of("<html></html>")


def test_a_kernel_of_the_pages_gets_ready_one_of_the_editor_does_not(tmp_path):
    for name, ahead in (("pages", True), ("editor", False)):
        write_settings(tmp_path / name, "token", ahead=ahead)
        assert (tmp_path / name / "ipython/profile_default/startup/0_ready.py").exists() is ahead
    names = {}
    exec(compile(READY, "0_ready.py", "exec"), names)
    assert set(names) == {"__builtins__"}  # it leaves nothing behind


def test_getting_ready_compiles_nothing(monkeypatch):
    monkeypatch.setattr(ready, "is_compiled", lambda: False)
    monkeypatch.setattr(ready, "simulate", None)  # would raise
    ready.get_ready()


def test_the_pages_program_is_asked_for_before_the_cells_are_run(tmp_path):
    write_settings(tmp_path, "token", ahead=True)
    page = (tmp_path / "share/voila/templates/inrush/index.html.j2").read_text()
    program, cells = page.index(PROGRAM), page.index("cell_generator(")
    assert page.index('id="jupyter-config-data"') < program < cells
    assert page.count(PROGRAM) == 1


def test_a_kernel_that_got_ready_has_what_pages_load_later_and_never_looks_through_it_for_garbage(
    monkeypatch, collector
):
    loaded = collector.asked
    monkeypatch.setattr(ready, "import_module", loaded.append)
    monkeypatch.setattr(ready, "is_compiled", lambda: False)
    ready.get_ready()
    assert loaded == ["collect", "freeze", *ready.LATER, "collect", "freeze"]


def test_what_some_pages_need_later_is_loaded_in_a_second_step(monkeypatch, collector):
    monkeypatch.setattr(ready, "import_module", collector.asked.append)
    steps = ready.in_steps()
    next(steps)
    assert not set(ready.LATER) & set(collector.asked)
    assert next(steps, None) is None
    assert collector.asked[-len(ready.LATER) - 2 :] == [*ready.LATER, "collect", "freeze"]


def test_what_is_ready_stays_so_and_a_model_that_is_compiled_later_is_loaded_then(monkeypatch, collector):
    starts = []
    monkeypatch.setattr(ready, "simulate", lambda build: starts.append(build) or simulate(build))
    for compiled in (False, True, True):
        monkeypatch.setattr(ready, "is_compiled", lambda compiled=compiled: compiled)
        ready.get_ready()
    assert len(starts) == 1
    assert collector.asked == 4 * ["collect", "freeze"]
