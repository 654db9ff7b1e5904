"""The verdict for who reads it by ear or cannot tell colours apart; ``rules.py`` has what every page is held to."""

import io

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
# Machado, Oliveira, Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE TVCG
# 15(6), 2009, table 1: deuteranomaly of severity 1.0, for linear red, green, blue; from memory.
DEUTERANOPIA = np.array(
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
)
GREY = np.array([[0.2126, 0.7152, 0.0722]] * 3)  # ITU-R BT.709-6, item 3.2: luma from linear light


def test_a_reader_hears_the_verdict_once_when_it_changes(visit):
    page = visit.page
    said = page.locator(".wb-said[role=status]")
    expect(said).to_have_text("Will it boot? stuck.")
    page.evaluate(
        "() => { window.heard = []; const said = document.querySelector('.wb-said');"
        "new MutationObserver(() => heard.push(said.innerText))"
        ".observe(said, {childList: true, subtree: true, characterData: true}); }"
    )
    visit.enter("rated current [A]", "12")
    visit.verdict("boots")
    expect(page.locator(".wb-rests li").filter(has_text="fails").first).to_be_visible()  # all that follows is there
    visit.enter("soft-start time [s]", "9 ms")
    expect(page.get_by_role("textbox", name="soft-start time [s]", exact=True)).to_have_value("9 ms")
    expect(page.locator(".wb-rests li").filter(has_text="fails").first).to_be_visible()
    heard = [text for text in page.evaluate("heard") if text.strip()]
    assert list(dict.fromkeys(heard)) == ["Will it boot? boots."]
    assert heard.count("Will it boot? boots.") == 1
    visit.kept("9 ms")  # else it comes to the next page's working copy


def seen(png, matrix):
    """A picture as seen through a matrix on linear light, 0 to 1."""
    pixels = np.asarray(Image.open(io.BytesIO(png)).convert("RGB")) / 255.0
    linear = np.where(pixels <= 0.04045, pixels / 12.92, ((pixels + 0.055) / 1.055) ** 2.4)  # IEC 61966-2-1
    return np.clip(linear @ matrix.T, 0.0, 1.0)


def test_signs_of_the_verdict_differ_in_grey_and_without_red_and_green(visit):
    shots = {}
    for sign, edits in (
        ("short", {}),
        ("thin", {"rated current [A]": "12"}),
        ("holds", {"rated current [A]": "40", "current limit [A]": "48"}),
    ):
        for name, value in edits.items():
            visit.enter(name, value)
            # A field that follows another is filled only once it has followed.
            expect(visit.page.get_by_role("textbox", name=name, exact=True)).to_have_value(f"{value} A")
            followed = visit.page.get_by_role("textbox", name="current limit [A]", exact=True)
            expect(followed).to_have_value(f"{1.2 * float(edits['rated current [A]']):g} A")
        place = visit.page.locator(f".wb-{sign} .wb-line svg")
        expect(place).to_be_visible()
        for scheme in ("light", "dark"):
            visit.page.emulate_media(color_scheme=scheme)
            # By its place: its words are set anew once it is known what it rests on, and are in no place meanwhile.
            while (clip := place.bounding_box()) is None:
                expect(place).to_be_visible()
            shots[scheme, sign] = visit.page.screenshot(clip=clip)
    visit.kept("48")
    for scheme in ("light", "dark"):
        for matrix in (GREY, DEUTERANOPIA):
            found = {sign: seen(shots[scheme, sign], matrix) for sign in ("short", "thin", "holds")}
            for a, b in (("short", "thin"), ("short", "holds"), ("thin", "holds")):
                far = np.abs(found[a] - found[b]).max(axis=2)
                # More than an eighth of the sign's pixels differ by more than a tenth of full scale.
                assert (far > 0.1).mean() > 0.125, (scheme, a, b)
