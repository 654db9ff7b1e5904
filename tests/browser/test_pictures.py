"""The README's pictures can be made anew, and are those that it shows."""

import re
from pathlib import Path

import pytest
from PIL import Image

from tests.pictures import FOLDER, SHOTS, take

pytestmark = pytest.mark.browser
README = Path(__file__).resolve().parents[2] / "README.md"


def test_the_readme_shows_what_the_script_makes():
    shown = set(re.findall(r"workbook/pictures/(\w+)\.png", README.read_text()))
    assert shown == {shot.name for shot in SHOTS} == {path.stem for path in FOLDER.glob("*.png")}
    for shot in SHOTS:
        with Image.open(FOLDER / f"{shot.name}.png") as image:
            assert image.size == (shot.width, shot.height)


def test_a_picture_is_taken_of_a_page_that_is_all_there(browser, served, tmp_path):
    server, work = served
    shot = SHOTS[0]
    take(browser, server, work, shot, tmp_path)
    with Image.open(tmp_path / f"{shot.name}.png") as image:
        assert image.size == (shot.width, shot.height)
        assert len(image.convert("RGB").getcolors(100_000)) > 20  # not a page that is still empty
