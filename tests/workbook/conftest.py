"""The workbook's widgets without a browser: ``slider.value = x`` runs what a moved slider runs."""

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "workbook"))

from widgets.boot_page import BootPage  # noqa: E402


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
