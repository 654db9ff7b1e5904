"""Help in place: each page's lesson, the glossary, the links between them."""

import json
import re
from pathlib import Path

import pytest
from widgets.glossary import GLOSSARY, glossary_html, linked
from widgets.help import LESSONS, help_html
from widgets.rail import PLACES

from inrushlib.build import build_keys

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize("place", [place.name for place in PLACES])
def test_every_link_of_a_lesson_leads_to_a_word_of_the_glossary(place):
    html = help_html(place)
    targets = re.findall(r'href="#([^"]+)"', html)
    assert targets
    assert set(targets) <= set(re.findall(r'id="([^"]+)"', html))
    assert html.count('class="wb-sketch"') == 1
    assert html.count("<li>") >= 2
    assert re.search(r'<svg[^>]*role="img" aria-label="[^"]{20,}"', html)


def test_each_page_has_a_lesson():
    assert {place.name for place in PLACES} == set(LESSONS)


def test_each_word_of_the_glossary_is_one_that_a_page_uses():
    lessons = " ".join(lesson.words for lesson in LESSONS.values())
    keys = " ".join(f"{key} {info.meaning}" for key, info in build_keys().items()).replace("_", " ")
    notebooks = " ".join(
        "".join(cell["source"])
        for path in (ROOT / "workbook").glob("*.ipynb")
        for cell in json.loads(path.read_text())["cells"]
    )
    used = f"{lessons} {keys} {notebooks}".lower()
    assert [word for word in GLOSSARY if word.lower() not in used] == []


def test_words_and_lessons_are_whole_sentences():
    for word, meaning in GLOSSARY.items():
        assert meaning.endswith("."), word
        assert meaning[0].isupper(), word
    assert glossary_html().count("<dt ") == len(GLOSSARY)


def test_a_word_that_the_glossary_does_not_have_is_found():
    with pytest.raises(KeyError, match="flux"):
        linked("the [flux]")
