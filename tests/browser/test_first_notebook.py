"""The first notebook, worked by keyboard."""

import pytest
from playwright.sync_api import expect

from inrushlib.build import load_build
from inrushlib.startup import simulate

pytestmark = pytest.mark.browser


def test_sliders_by_keyboard_change_field_picture_and_verdict(visit):
    visit.verdict("✗ NO")
    visit.slider("rated current [A]")
    before = visit.picture()
    visit.page.keyboard.press("ArrowRight")
    visit.changed(before)
    expect(visit.page.get_by_role("textbox", name="rated current [A]", exact=True)).to_have_value("5.12 A")
    visit.page.keyboard.press("End")
    visit.verdict("✓ YES")
    expect(visit.page.get_by_role("textbox", name="limit current [A]", exact=True)).to_have_value("48 A")
    visit.page.keyboard.press("Home")
    visit.verdict("✗ NO")
    visit.shoot("slider")


def test_a_held_slider_ends_at_its_last_position(visit):
    visit.slider("soft start [s]")
    for _ in range(30):
        visit.page.keyboard.press("ArrowRight")
    expect(visit.page.get_by_role("textbox", name="soft start [s]", exact=True)).to_have_value("15.8 ms")
    visit.turn("Build file")
    visit.enter("title", "Held")
    visit.enter("file", "held")
    visit.page.get_by_role("button", name="Save").click()
    expect(visit.page.get_by_role("status").filter(has_text="Saved")).to_be_visible()
    assert load_build(visit.work / "held.toml").adapter.soft_start == 15.8e-3  # 1 ms * 100^0.6


def test_all_groups_are_reached_by_keyboard_and_every_control_has_a_name(visit):
    page = visit.page
    groups = page.locator(".wb-tabs button").all_inner_texts()
    assert {"Adapter", "Lead", "Capacitors", "Switch", "Controller", "Firmware", "Pixels", "Wiring"} <= set(groups)
    for group in groups:
        page.get_by_role("button", name=group, exact=True).focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("button", name=group, exact=True)).to_have_attribute("aria-pressed", "true")
        # The button is pressed before the controls have changed.
        panel = page.locator(f".wb-panel .wb-group-{group.lower().replace(' ', '-')}")
        expect(panel).to_be_visible()
        more = panel.locator(".wb-more")
        if more.count():
            more.click()
        page.wait_for_function(
            "() => [...document.querySelectorAll('.wb-panel .wb-key')].every(row => [...row.querySelectorAll("
            "'.noUi-handle, input[type=text], select')].every(e => e.getAttribute('aria-label')))"
        )
        visit.shoot(f"group {group}")
    # Names are given shortly after a control is shown; every slider must get one.
    assert page.get_by_role("slider").count() > 3
    page.wait_for_function(
        "() => [...document.querySelectorAll('.noUi-handle')].every(e => e.getAttribute('aria-label'))"
    )


def test_a_control_says_what_it_means_when_it_is_reached(visit):
    visit.slider("output capacitance [F]")
    expect(visit.page.locator(".wb-help")).to_contain_text("Where to find it")
    expect(visit.page.get_by_role("slider", name="output capacitance [F]")).to_have_attribute(
        "aria-valuetext", "1000 uF"
    )


def test_exact_values_are_typed_and_refused_ones_are_said(visit):
    before = visit.picture()
    visit.turn("Capacitors")
    field = visit.page.locator(".wb-key", has_text="bulk [F]").first.locator("input[type=text]")
    field.fill("2.2m")
    field.press("Enter")
    expect(field).to_have_value("2200 uF")
    visit.changed(before)
    before = visit.picture()
    field.fill("5 V")
    field.press("Enter")
    alert = visit.page.get_by_role("alert")
    expect(alert).to_contain_text('bus.bulk: value "5 V"')
    expect(field).to_have_value("5 V")
    assert visit.picture() == before
    visit.shoot("refused")
    field.fill("")
    field.press("Enter")
    expect(alert).to_have_count(0)
    expect(field).to_have_value("0 F")


def test_a_wrong_file_shows_its_problems_and_nothing_is_lost(visit):
    (visit.work / "wrong.toml").write_text('title = "x"\n[adapter]\nrated_current = "2 V"\n[lead]\ncolour = "red"\n')
    before = visit.picture()
    visit.turn("Build file")
    visit.enter("file", "wrong.toml")
    visit.page.get_by_role("button", name="Load").click()
    alert = visit.page.get_by_role("alert")
    expect(alert).to_contain_text('adapter.rated_current: value "2 V"')
    expect(alert).to_contain_text("lead.colour")
    visit.verdict("✗ NO")
    assert visit.picture() == before
    visit.shoot("wrong file")


def test_demo_builds_are_loaded_and_shown(visit):
    visit.turn("Build file")
    for name, words in (("boots", "✓ YES"), ("with_switch", "✓ YES"), ("never_starts", "✗ NO")):
        visit.pick("build", f"example: tide_board_{name}.toml")
        expect(visit.page.locator(".wb-title")).to_contain_text(f"tide_board_{name}.toml")
        visit.verdict(words)
        visit.shoot(name)


def test_a_saved_build_lies_in_the_folder_of_the_start(visit):
    visit.enter("rated current [A]", "8.25")
    visit.turn("Build file")
    visit.enter("file", "mine")
    visit.page.get_by_role("button", name="Save").click()
    expect(visit.page.get_by_role("status").filter(has_text="Saved")).to_be_visible()
    assert load_build(visit.work / "mine.toml").adapter.rated_current == 8.25
    expect(visit.page.get_by_role("combobox", name="build").locator("option", has_text="mine.toml")).to_have_count(1)


def test_a_capture_is_laid_over_and_lined_up(visit):
    visit.turn("Build file")
    visit.pick("build", "example: tide_board_with_switch.toml")
    visit.verdict("✓ YES")
    visit.turn("Capture")
    before = visit.picture()
    visit.pick("capture", "example: tide_board_with_switch.csv")
    visit.changed(before)
    before = visit.picture()
    visit.page.get_by_role("button", name="Line up").click()
    visit.changed(before)
    visit.shoot("capture")


def test_upload_of_a_capture_larger_than_ten_megabytes(visit):
    rows = 800_000
    text = "time [us],rail_voltage [V]\n" + "".join(f"{i},3.3000\n" for i in range(rows))
    assert len(text) > 10 * 2**20
    visit.turn("Capture")
    before = visit.picture()
    with visit.page.expect_file_chooser() as chooser:
        visit.page.get_by_role("button", name="Upload").click()
    chooser.value.set_files({"name": "long.csv", "mimeType": "text/csv", "buffer": text.encode()})
    visit.changed(before)


def test_time_range_cursor_and_list(visit):
    visit.turn("Build file")
    visit.pick("build", "example: tide_board_boots.toml")
    visit.verdict("✓ YES")
    before = visit.picture()
    visit.slider("read at")
    visit.page.keyboard.press("PageUp")
    visit.changed(before)
    visit.enter("read at", "400 ms")
    build = load_build(visit.server.folder / "builds" / "tide_board_boots.toml")
    bus = float(simulate(build).at([0.4])["bus_voltage"][0])
    expect(visit.page.locator(".wb-readings")).to_contain_text(f"bus {bus:.2f} V")
    before = visit.picture()
    visit.page.get_by_role("button", name="Zoom in").click()
    visit.changed(before)
    expect(visit.page.get_by_role("textbox", name="time shown, begin")).to_have_value("200 ms")
    lines = visit.page.get_by_role("listbox", name="everything that switched")
    lines.select_option(index=1)
    expect(visit.page.get_by_role("textbox", name="read at", exact=True)).not_to_have_value("400 ms")


@pytest.mark.parametrize("width", [1280, 800, 1700])
def test_nothing_is_wider_than_the_page(new_visit, served, width):
    visit = new_visit(*served, width, 900)
    visit.open()
    for group in ("Build file", "Capture", "Adapter", "Controller"):
        visit.turn(group)
        wide = visit.page.evaluate(
            "() => [...document.querySelectorAll('.wb-page *')].filter(e => e.getClientRects().length && "
            "e.getBoundingClientRect().right > innerWidth + 1).map(e => e.className)"
        )
        assert wide == []
    visit.shoot(f"width {width}")
    visit.page.context.close()
    assert visit.errors == []
