"""The first notebook, worked by keyboard."""

import re

import pytest
from playwright.sync_api import expect

from inrushlib.build import load_build
from inrushlib.startup import simulate
from inrushlib.startup.switchings import Kind, Switching

from .rules import (
    breaks_no_rule,
    cuts_nothing_off,
    findings,
    landed,
    lists_cut_nothing_off,
    picture_with_all_below_it_in_the_first_screen,
    says_it_plainly,
)

pytestmark = pytest.mark.browser


def test_sliders_by_keyboard_change_field_picture_and_verdict(visit):
    visit.verdict("stuck")
    visit.slider("rated current [A]")
    before = visit.picture()
    assert before.startswith("data:image/png;base64,")  # an address that only points to the picture is slower
    visit.page.keyboard.press("ArrowRight")
    visit.changed(before)
    expect(visit.page.get_by_role("textbox", name="rated current [A]", exact=True)).to_have_value("5.12 A")
    visit.page.keyboard.press("End")
    visit.verdict("boots")
    expect(visit.page.get_by_role("textbox", name="current limit [A]", exact=True)).to_have_value("48 A")
    visit.page.keyboard.press("Home")
    visit.verdict("stuck")
    visit.shoot("slider")


def test_a_held_slider_ends_at_its_last_position(visit):
    visit.slider("soft-start time [s]")
    for _ in range(30):
        visit.page.keyboard.press("ArrowRight")
    expect(visit.page.get_by_role("textbox", name="soft-start time [s]", exact=True)).to_have_value("15.8 ms")
    visit.turn("Save")
    visit.enter("title", "Held")
    visit.page.get_by_role("textbox", name="file", exact=True).select_text()
    visit.page.keyboard.type("held")  # as fast as that, letter by letter: enter saves what was typed to its end
    visit.page.keyboard.press("Enter")
    expect(visit.page.get_by_role("status").filter(has_text="Saved")).to_be_visible()
    assert load_build(visit.work / "held.toml").adapter.soft_start == 15.8e-3  # 1 ms * 100^0.6


def test_all_parts_are_reached_by_keyboard_and_every_control_has_a_name(visit):
    page = visit.page
    parts = page.locator(".wb-node-head").all_inner_texts()
    assert {"Adapter", "Lead", "Capacitors", "Switch", "Controller", "Firmware", "Pixels", "Wiring"} <= set(parts)
    for part in reversed(parts):
        head = page.get_by_role("button", name=part, exact=True)
        head.focus()
        page.keyboard.press("Enter")
        expect(head).to_have_attribute("aria-expanded", "true")
        expect(page.locator(".wb-node-head[aria-expanded=true]")).to_have_count(1)
        expect(page.locator(".wb-node .wb-tools")).to_have_count(1)
        more = page.get_by_role("button", name="more values")
        if more.count():
            more.click()
        page.wait_for_function(
            "() => [...document.querySelectorAll('.wb-key')].every(row => [...row.querySelectorAll("
            "'.noUi-handle, input[type=text], select')].every(e => e.getAttribute('aria-label')))"
        )
        says_it_plainly(visit)
        visit.shoot(f"part {part}")
    # Names are given shortly after a control is shown; every slider must get one.
    assert page.get_by_role("slider").count() > 3
    page.wait_for_function(
        "() => [...document.querySelectorAll('.noUi-handle')].every(e => e.getAttribute('aria-label'))"
    )


def test_a_control_says_what_it_means_when_it_is_reached(visit):
    visit.slider("output capacitance [F]")
    expect(visit.page.locator(".wb-help")).to_contain_text("Where to find it")
    expect(visit.page.get_by_role("slider", name="output capacitance [F]")).to_have_attribute(
        "aria-valuetext", "1000 µF"
    )


def test_exact_values_are_typed_and_refused_ones_are_said(visit):
    before = visit.picture()
    visit.turn("Capacitors")
    field = visit.page.locator(".wb-key", has_text="bulk capacitor [F]").first.locator("input[type=text]")
    field.fill("2.2m")
    field.press("Enter")
    expect(field).to_have_value("2200 µF")
    visit.changed(before)
    before = visit.picture()
    field.fill("5 V")
    field.press("Enter")
    alert = visit.page.get_by_role("alert")
    expect(alert).to_contain_text('Bulk capacitor at the bus: value "5 V"')
    expect(field).to_have_value("5 V")
    expect(visit.page.locator(".wb-key .wb-why").filter(has_text="5 V")).to_be_visible()
    visit.shoot("refused")
    visit.turn("Run")  # the part that was left goes on saying so
    expect(visit.page.locator(".wb-amiss")).to_contain_text("1 not accepted")
    visit.turn("Capacitors")
    field.fill("")
    field.press("Enter")
    expect(alert).to_have_count(0)
    expect(field).to_have_value("0 F")


def test_a_wrong_file_shows_its_problems_and_nothing_is_lost(visit):
    (visit.work / "wrong.toml").write_text('title = "x"\n[adapter]\nrated_current = "2 V"\n[lead]\ncolour = "red"\n')
    visit.settled()
    before = visit.picture()
    visit.turn("Open")
    visit.enter("or file", "wrong.toml")
    alert = visit.page.get_by_role("alert")
    expect(alert).to_contain_text('adapter.rated_current: value "2 V"')
    expect(alert).to_contain_text("lead.colour")
    visit.verdict("stuck")
    assert visit.picture() == before
    visit.shoot("wrong file")


def test_demo_builds_are_opened_and_shown(visit):
    visit.turn("Open")
    for name, words in (("boots", "boots"), ("with_switch", "boots"), ("never_starts", "stuck")):
        visit.pick("build", f"example: tide_board_{name}.toml")
        visit.verdict(words)
        visit.shoot(name)


def test_a_saved_build_lies_in_the_folder_of_the_start(visit):
    expect(visit.page.locator(".wb-title")).to_contain_text("not saved yet")
    visit.enter("rated current [A]", "8.25")
    visit.turn("Save")
    visit.enter("file", "mine")
    visit.press("Save file")
    expect(visit.page.locator(".wb-title")).to_contain_text("saved in mine.toml")
    assert load_build(visit.work / "mine.toml").adapter.rated_current == 8.25
    visit.enter("rated current [A]", "9")
    expect(visit.page.locator(".wb-title")).to_contain_text("changed, not saved in mine.toml")
    row = visit.page.get_by_role("row", name=re.compile("^adapter.s rated current"))
    expect(row).to_contain_text("8.25 A")
    expect(row).to_contain_text("9 A")
    visit.shoot("differences")
    visit.turn("Open")
    expect(visit.page.get_by_role("combobox", name="build").locator("option", has_text="mine.toml")).to_have_count(1)


def test_a_change_is_taken_back_and_done_again(visit):
    field = visit.page.get_by_role("textbox", name="rated current [A]", exact=True)
    visit.enter("rated current [A]", "12")
    visit.verdict("boots")
    visit.press("Undo")
    visit.verdict("stuck")
    expect(field).to_have_value("5 A")
    visit.press("Redo")
    visit.verdict("boots")
    visit.press("Change the title to “Tide board on a 12 A adapter”")
    expect(visit.page.locator(".wb-title")).to_contain_text("Tide board on a 12 A adapter")


def test_text_that_is_being_typed_is_not_written_over_by_a_value_that_arrives(visit):
    page = visit.page
    field = page.get_by_role("textbox", name="current limit [A]", exact=True)
    rated = page.get_by_role("textbox", name="rated current [A]", exact=True)
    visit.enter("rated current [A]", "7")
    expect(field).to_have_value("8.4 A")
    field.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("3.3")
    undo = page.get_by_role("button", name="Undo", exact=True)
    expect(undo).to_be_enabled()
    undo.evaluate("button => button.click()")  # the focus stays in the field
    expect(rated).to_have_value("5 A")
    visit.settled()  # all that follows from it has arrived
    expect(field).to_have_value("3.3")
    page.keyboard.press("Enter")
    expect(field).to_have_value("3.3 A")
    visit.press("Undo")
    expect(field).to_have_value("6 A")


def test_a_change_survives_a_reload_and_what_was_read_counts_as_measured_and_is_taken_back(visit):
    page = visit.page
    visit.enter("rated current [A]", "4")
    row = page.locator(".wb-key", has_text="channel current").first
    measured, counts = row.get_by_role("img", name="measured"), page.locator(".wb-counts")
    visit.turn("Pixels")
    page.get_by_role("button", name="From what one tile draws, all white").click()
    visit.enter("all white", "1.5 A")
    visit.enter("pixels lit", "64")
    visit.press("Put into the build")
    expect(measured).to_be_visible()
    expect(counts).to_contain_text("1 measured")
    visit.shoot("measured")
    visit.press("Undo")
    expect(measured).to_have_count(0)
    expect(counts).not_to_contain_text("measured")
    visit.press("Redo")
    expect(measured).to_be_visible()
    visit.kept("lit pixels")
    visit.kept("4 A")
    page.reload(wait_until="domcontentloaded")
    expect(page.get_by_role("textbox", name="rated current [A]", exact=True)).to_have_value("4 A")
    expect(counts).to_contain_text("1 measured")
    visit.turn("Pixels")
    expect(measured).to_be_visible()


def test_a_build_goes_along_to_the_next_page_and_back_even_what_is_being_typed(visit):
    page = visit.page
    field = page.get_by_role("textbox", name="rated current [A]", exact=True)
    visit.enter("rated current [A]", "12")
    visit.verdict("boots")
    visit.kept("12 A")
    page.get_by_role("link", name="Supply", exact=True).click()
    page.wait_for_url("**/2_*")
    visit.verdict("boots")
    expect(field).to_have_value("12 A")
    visit.enter("rated current [A]", "4")
    visit.verdict("stuck")
    expect(field).to_have_value("4 A")
    field.fill("3.5")  # and left: nothing else says that it is done
    page.get_by_role("link", name="Boot", exact=True).click()
    page.wait_for_url("**/1_*")
    expect(field).to_have_value("3.5 A")


def test_another_page_follows_and_says_so(visit, new_visit):
    other = new_visit(visit.server, visit.work)
    other.page.goto(visit.server.address, wait_until="domcontentloaded")
    other.verdict("stuck")
    visit.enter("rated current [A]", "12")
    visit.verdict("boots")
    other.verdict("boots")
    expect(other.page.get_by_role("status").filter(has_text="Changed on another page")).to_be_visible()
    other.shoot("followed")
    other.leave()
    assert other.errors == []


def test_a_build_of_ones_own_from_five_things(visit):
    visit.turn("New")
    visit.enter("adapter's label", "1 A")
    visit.enter("tiles", "6")
    visit.enter("pixels each", "64")
    visit.shoot("new")
    visit.press("Begin this build")
    visit.verdict("stuck")
    expect(visit.page.locator(".wb-title")).to_contain_text("6 tiles of 64 on a 1 A adapter")
    expect(visit.page.locator(".wb-title")).to_contain_text("not saved yet")
    # Its fields have made room, and a keyboard goes on from where it was.
    expect(visit.page.get_by_role("textbox", name="pixels each")).to_have_count(0)
    expect(visit.page.get_by_role("button", name="New", exact=True)).to_be_focused()
    visit.press("Undo")
    expect(visit.page.locator(".wb-title")).to_contain_text("Tide board")


def test_the_first_link_leads_past_the_values_to_the_answer(visit):
    link = visit.page.get_by_role("link", name="To the answer", exact=True)
    assert link.bounding_box()["x"] < 0  # not seen until it is reached
    link.focus()
    visit.page.wait_for_function("document.querySelector('.wb-skip a').getBoundingClientRect().x >= 0")
    visit.page.keyboard.press("Enter")
    visit.page.keyboard.press("Tab")
    visit.page.wait_for_function("document.activeElement.closest('.wb-stage') !== null")


def test_a_capture_is_laid_over_and_lined_up(visit):
    visit.turn("Open")
    visit.pick("build", "example: tide_board_with_switch.toml")
    visit.verdict("boots")
    visit.turn("Lay a capture over")
    before = visit.picture()
    visit.pick("capture", "example: tide_board_with_switch.csv")
    visit.changed(before)
    before = visit.picture()
    visit.page.get_by_role("button", name="Line up").click()
    visit.changed(before)
    visit.shoot("capture")


def test_upload_of_a_capture_larger_than_ten_megabytes(visit, tmp_path):
    rows, zeros = 200_000, "0" * 50  # few rows for their size: it is the way here that is tried
    text = "time [us],rail_voltage [V]\n" + "".join(f"{i},3.3{zeros}\n" for i in range(rows))
    path = tmp_path / "long.csv"
    assert path.write_text(text) > 10 * 2**20
    visit.turn("Lay a capture over")
    before = visit.picture()
    with visit.page.expect_file_chooser() as chooser:
        visit.page.get_by_role("button", name="Upload").click()
    chooser.value.set_files(path)  # by its path: handed over as bytes it takes seconds until the browser has it
    visit.changed(before)


def test_time_range_cursor_and_list(visit):
    visit.turn("Open")
    visit.pick("build", "example: tide_board_boots.toml")
    visit.verdict("boots")
    before = visit.picture()
    visit.slider("read at")
    visit.page.keyboard.press("PageUp")
    visit.changed(before)
    visit.enter("read at", "400 ms")
    build = load_build(visit.server.folder / "builds" / "tide_board_boots.toml")
    bus = float(simulate(build).at([0.4])["bus_voltage"][0])
    expect(visit.page.locator(".wb-channel").filter(has_text=re.compile("^bus"))).to_contain_text(f"{bus:.2f} V")
    before = visit.picture()
    visit.press("+")
    visit.changed(before)
    expect(visit.page.get_by_role("textbox", name="time shown, begin")).to_have_value("200 ms")
    lines = visit.page.get_by_role("listbox", name="everything that switched")
    lines.select_option(index=1)
    expect(visit.page.get_by_role("textbox", name="read at", exact=True)).not_to_have_value("400 ms")


def test_nothing_is_wider_than_the_page(visit):
    for width in (390, 800, 1280, 1700):
        visit.resize(width, 900)
        for group in ("Open", "Save", "New", "Lay a capture over", "Lead", "Controller"):
            visit.turn(group)
            assert visit.wider() == [], (width, group)
        visit.shoot(f"width {width}")


def test_help_of_any_length_leaves_the_page_as_long_as_it_was(visit):
    # At the end of the page what is pointed at would move from under the pointer, and its help with it, back and forth.
    visit.resize(800, 900)
    visit.turn("Controller")
    expect(visit.page.locator(".wb-key .wb-name").last).to_be_visible()
    heights, lines = visit.page.evaluate(
        "() => { const pages = new Set(), lines = new Set(), help = document.querySelector('.wb-help');"
        " document.querySelectorAll('.wb-key').forEach(row => {"
        " row.querySelector('.wb-name').dispatchEvent(new PointerEvent('pointerover', {bubbles: true}));"
        " pages.add(document.querySelector('#rendered_cells').scrollHeight); lines.add(help.offsetHeight); });"
        " return [[...pages], [...lines]]; }"
    )
    assert len(lines) > 1
    assert len(heights) == 1
    visit.page.get_by_text("A model, not an approval").click()
    assert visit.page.locator(".wb-foot details[open]").is_visible()
    visit.shoot("help and limits")


def test_answer_and_whole_picture_are_in_the_first_screen(visit):
    for amperes in ("6", "5"):  # a change takes away what was said of the file that was opened
        visit.enter("rated current [A]", amperes)
        expect(visit.page.get_by_role("textbox", name="current limit [A]", exact=True)).to_have_value(
            f"{1.2 * float(amperes):g} A"
        )
    expect(visit.page.locator(".wb-told")).to_have_count(0)
    picture_with_all_below_it_in_the_first_screen(visit)
    # Asked for in one step: the reading is replaced as a whole when it follows the picture.
    assert visit.page.evaluate("document.querySelector('.wb-answered').getBoundingClientRect().y") < 60
    visit.shoot("first screen")


def test_the_list_of_switchings_shows_its_lines_whole(visit):
    """Found at 1920 pixels: "reaches the supply for data" was cut."""
    instant, frames = f"{'8' * 5}.888 ms  ", (1, 2)
    lists_cut_nothing_off(visit, [instant + Switching(0.0, kind, 88).what for kind in Kind if "{frame}" not in kind])
    lists_cut_nothing_off(visit, [instant + Switching(0.0, Kind.FRAME_LOST, frame).what for frame in frames])


def test_a_long_title_and_a_long_sentence_leave_rail_and_picture_whole(visit):
    visit.turn("Open")
    visit.pick("build", "example: tide_board_with_switch.toml")
    visit.verdict("boots")
    visit.turn("Save")
    visit.enter("title", "Long sign over the workshop door, twelve panels of 128 pixels each on one adapter")
    expect(visit.page.locator(".wb-title")).to_contain_text("Long sign")
    visit.fold("Save")
    cuts_nothing_off(visit)
    visit.resize(1280, 720)
    expect(visit.page.locator(".wb-told")).to_have_count(0)
    visit.page.wait_for_function(
        "() => document.querySelector('.wb-channels').getBoundingClientRect().bottom"
        " <= document.querySelector('.wb-foot').getBoundingClientRect().top + 1"
    )


def test_the_page_breaks_no_rule_of_accessibility_and_can_be_enlarged(visit):
    breaks_no_rule(visit)


def test_what_the_buttons_of_the_rail_open_breaks_none_either(visit):
    for button in ("Open", "Save", "New"):
        visit.turn(button)
        landed(visit)
        assert findings(visit) == []
