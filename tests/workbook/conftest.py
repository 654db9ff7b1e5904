"""The workbook's widgets without a browser: ``slider.value = x`` runs what a moved slider runs."""

import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from ipywidgets import Widget

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "workbook"))

from widgets.boot_page import BootPage  # noqa: E402
from widgets.worker import NAME  # noqa: E402


@pytest.fixture(autouse=True)
def no_page_works_on() -> Iterator[None]:
    """Wait for the threads of a test's pages: an interpreter that ends beneath one aborts; then let go of the pages."""
    made: list[Widget] = []
    Widget.on_widget_constructed(made.append)
    yield
    for thread in threading.enumerate():
        if thread.name == NAME:
            thread.join(timeout=120)
            assert not thread.is_alive()
    # A widget is kept until it is closed, and with it its page, starts and figures: gigabytes after some hundred tests.
    Widget.on_widget_constructed(None)
    for widget in made:
        widget.close()


@pytest.fixture
def work(tmp_path, monkeypatch):
    """The folder of the start."""
    monkeypatch.setenv("INRUSH_FOLDER", str(tmp_path))
    return tmp_path


@pytest.fixture
def page(work):
    """The first notebook's page, computing at once."""
    return BootPage(threaded=False)


@pytest.fixture
def builds():
    """The folder of the demo builds."""
    return ROOT / "workbook" / "builds"
