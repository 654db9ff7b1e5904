"""A title, a file and a folder that hold HTML are shown as text by every page."""

import sys
from html.parser import HTMLParser
from pathlib import Path

import ipywidgets as w
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "workbook"))

from widgets.boot_page import BootPage
from widgets.delay_page import DelayPage
from widgets.panel_page import PanelPage
from widgets.question_page import SupplyPage
from widgets.scope_page import ScopePage

from .. import hostile


class Reader(HTMLParser):
    """Collects elements, attributes and words."""

    def __init__(self, html):
        super().__init__()
        self.elements, self.attributes, self.words = [], set(), ""
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.elements.append(tag)
        self.attributes |= {name for name, _ in attrs}

    def handle_data(self, data):
        self.words += data


@pytest.fixture
def folder(tmp_path, monkeypatch):
    found = tmp_path / hostile.FOLDER
    found.mkdir()
    (found / hostile.FILE).write_text(hostile.BUILD, encoding="utf-8")
    monkeypatch.setenv("INRUSH_FOLDER", str(found))
    return found


def html_of(widget, found):
    if isinstance(widget, w.HTML):
        found.append(widget.value)
    for child in getattr(widget, "children", ()):
        html_of(child, found)
    return found


@pytest.mark.parametrize("make", [BootPage, SupplyPage, DelayPage, PanelPage, ScopePage])
def test_no_element_of_the_builders_is_in_a_page(folder, make):
    page = make(folder / hostile.FILE, threaded=False)
    values = []
    for name in page.frame.chain.nodes:
        page.frame.chain.open(name)
        html_of(page.box, values)
    for name in page.frame.rail.toggles:
        page.frame.rail.show(name)
        html_of(page.box, values)
    page.state.problem = hostile.TITLE
    html_of(page.box, values)
    page.state.problem = ""
    page.state.message = hostile.TITLE
    html_of(page.box, values)
    readers = [Reader(value) for value in values if "<style>" not in value]
    words = "".join(reader.words for reader in readers)
    assert hostile.SCRIPT in words
    assert "<i>\\x1b[31m.toml" in words
    assert hostile.FOLDER in words
    assert "\x1b" not in words
    for reader in readers:
        assert not {"script", "i"} & set(reader.elements)
        assert not {name for name in reader.attributes if name.startswith("on")}
