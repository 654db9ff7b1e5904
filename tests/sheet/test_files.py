"""The command and its files: PDF and HTML, sizes of paper, refusals, words that try something."""

import base64
import io
import json
import re
from html.parser import HTMLParser

import pytest
from PIL import Image

from inrushlib.build import new_build, save_build
from inrushlib.cli import main
from inrushlib.sheet import Paper, sheet_answer
from inrushlib.sheet.page import page_of
from inrushlib.sheet.paper import paper_of
from tests.hostile import TITLE
from tests.sheet.shapes import BASE, SHAPES
from tests.sheet.test_layout import quick_facts

VOID = {"meta", "img", "br"}
NOT_IN = {"p": {"div", "table", "ul"}, "ul": {"div", "table", "p"}, "table": {"div", "p"}}  # HTML, content models
HOSTILE = [
    TITLE,
    "x" * 10_000,
    "word " * 2_000,
    "\u202eback שלום مرحبا",
    "$x_1$ ${}$ \\$5 %d {0}",
    "🌊🚋 中文",
    "</title></style><p>",
]


class Checker(HTMLParser):
    """Every element is closed in order and stands where it may; keeps tags and attributes."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.open, self.seen, self.attributes, self.text = [], [], [], []

    def handle_starttag(self, tag, attrs):
        self.seen.append(tag)
        self.attributes += attrs
        assert not (self.open and tag in NOT_IN.get(self.open[-1], set())), (self.open[-1], tag)
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open, tag
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text.append(data)


def checked(page):
    checker = Checker()
    checker.feed(page)
    checker.close()
    assert checker.open == []
    return checker


@pytest.fixture
def path(tmp_path):
    file = tmp_path / "board.toml"
    save_build(new_build({**BASE, **SHAPES["square of tiles"]}), file)
    return file


def test_html_is_one_whole_page_without_scripts_or_links():
    page = page_of(sheet_answer(quick_facts(new_build({**BASE, **SHAPES["square of tiles"]}))), Paper.LETTER)
    checker = checked(page)
    assert page.startswith("<!DOCTYPE html>")
    assert "size: letter" in page
    assert {"script", "link", "iframe", "object", "form"}.isdisjoint(checker.seen)
    assert not any(name.startswith("on") or name == "href" for name, _ in checker.attributes)
    sources = [value for name, value in checker.attributes if name == "src"]
    assert len(sources) == 2
    assert all(value.startswith("data:image/png;base64,") for value in sources)
    assert all(value for name, value in checker.attributes if name == "alt")


@pytest.mark.parametrize("title", HOSTILE, ids=range(len(HOSTILE)))
def test_no_title_does_anything(title):
    answer = sheet_answer(quick_facts(new_build({**BASE, **SHAPES["ring in one strip"], "title": title})))
    checker = checked(page_of(answer))
    assert {"script", "p"}.isdisjoint(checker.seen)
    assert checker.seen.count("img") == 2
    assert not any(name.startswith("on") for name, _ in checker.attributes)
    data, placed = paper_of(answer)
    assert max(each.page for each in placed) <= 2
    shown = "".join(each.words for each in placed)
    assert "\u202e" not in shown
    assert "\x1b" not in shown
    assert data.startswith(b"%PDF-")


def test_the_command_writes_both_kinds_and_its_status_is_that_of_the_start(path, tmp_path, capsys):
    for kind in ("pdf", "html"):
        assert main(["sheet", str(path), "-o", str(tmp_path / f"s.{kind}"), "--no-odds", "--paper", "letter"]) == 0
        assert f"s.{kind}" in capsys.readouterr().out
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF-")
    assert "MediaBox [0 0 612.00 792.00]" in (tmp_path / "s.pdf").read_bytes().decode("latin-1")  # 8.5 x 11 inch
    stuck = tmp_path / "stuck.toml"
    save_build(
        new_build({**BASE, "adapter.rated_current": 0.3, "wiring.sections": 1, "wiring.pixels_per_section": 250}), stuck
    )
    assert main(["sheet", str(stuck), "-o", str(tmp_path / "n.html"), "--no-odds"]) == 1
    assert "change it first" in (tmp_path / "n.html").read_text(encoding="utf-8")


def test_odds_stand_on_it_unless_they_are_left_out(path, tmp_path):
    assert main(["sheet", str(path), "-o", str(tmp_path / "with.html")]) in (0, 1)
    assert main(["sheet", str(path), "-o", str(tmp_path / "without.html"), "--no-odds"]) == 0
    assert "of 128 runs" in (tmp_path / "with.html").read_text(encoding="utf-8")
    assert "at the first try in" not in (tmp_path / "without.html").read_text(encoding="utf-8")


def test_what_can_burn_stands_on_it():
    thin = {
        "adapter.rated_current": "10 A",
        "lead.gauge": "26 AWG",
        "wiring.sections": 1,
        "wiring.pixels_per_section": 256,
    }
    page = page_of(sheet_answer(quick_facts(new_build({**BASE, **thin}))))
    assert "Dangers while every pixel is white" in page
    small = {"adapter.rated_current": "1 A", "wiring.sections": 1, "wiring.pixels_per_section": 4}
    assert "Dangers while" not in page_of(sheet_answer(quick_facts(new_build({**BASE, **small}))))


def test_json_has_the_build_and_the_parts(path, capsys):
    assert main(["sheet", str(path), "--json", "--no-odds"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["build"]["bus.bulk"] == pytest.approx(470e-6)
    parts = {each["part"]: each for each in found["parts"]}
    assert parts["bulk"]["ratings"]["rated"] == 10.0  # half more than 5.1 V, the next of 6.3, 10, 16 V
    assert parts["pixels"]["count"] == 256
    assert found["lengths_taken"] == {"feed": 0.5, "hop": 0.1}


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ([], "no file to write"),
        (["-o", "sheet.docx"], ".pdf or .html"),
        (["-o", "s.pdf", "--feed-length", "3 V"], "--feed-length"),
        (["-o", "missing/s.pdf", "--no-odds"], "s.pdf"),
    ],
)
def test_what_is_not_right_is_refused(path, more, words, capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["sheet", str(path), *more]) == 2
    assert words in capsys.readouterr().err


def test_drawings_of_the_page_are_white_and_as_wide_as_they_are_drawn():
    sheet = sheet_answer(quick_facts(new_build({**BASE, **SHAPES["square of tiles"]})))
    images = re.findall(r'max-width: (\d+)px; min-width: (\d+)px".*?base64,([^"]+)"', page_of(sheet))
    assert len(images) == 2
    for widest, least, data in images:
        image = Image.open(io.BytesIO(base64.b64decode(data))).convert("RGB")
        corners = [image.getpixel((x, y)) for x in (0, image.width - 1) for y in (0, image.height - 1)]
        assert min(min(corner) for corner in corners) >= 254  # of 256 colours the palette has one that near to white
        assert int(least) <= int(widest) <= 740
    # The circuit fills its width: no more than a tenth is blank at either side.
    circuit = Image.open(io.BytesIO(base64.b64decode(images[0][2]))).convert("L")
    left, _, right, _ = circuit.point(lambda level: 255 * (level < 128)).getbbox()
    assert left < circuit.width / 10
    assert right > circuit.width * 9 / 10
