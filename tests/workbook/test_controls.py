"""Controls: a slider or field that changes changes the build, and the build shows in them."""

import pytest

from inrushlib.build import Build


def control(page, key):
    """The control of a key; its group is opened."""
    for name in page.frame.controls.names:
        page.frame.chain.open(name)
        group = page.frame.controls.groups[name]
        if key not in group.keys and key in [item.key for item in group.rest]:
            group.more.value = True
        if key in group.keys:
            return group.keys[key]
    raise KeyError(key)


def test_a_slider_changes_build_field_verdict_and_picture(page):
    rated = control(page, "adapter.rated_current")
    verdict, picture = page.frame.reading.box.value, page.view.image.value
    assert "wb-short" in verdict
    assert picture[:8] == b"\x89PNG\r\n\x1a\n"
    rated.slider.value = 85.0
    assert page.state.build.adapter.rated_current == pytest.approx(0.3 * (40 / 0.3) ** 0.85, rel=5e-3)
    assert rated.field.value == "19.2 A"
    assert "wb-short" not in page.frame.reading.box.value
    assert page.view.image.value != picture


def test_what_follows_from_a_value_follows_in_its_control(page):
    control(page, "adapter.rated_current").field.value = "10 A"
    limit = control(page, "adapter.limit_current")
    assert limit.field.value == "12 A"
    limit.field.value = "11"
    assert page.state.build.adapter.limit_current == 11.0
    limit.field.value = ""
    assert page.state.build.adapter.limit_current == 12.0
    assert limit.field.value == "12 A"


def test_an_exact_value_stays_exact_beside_its_slider(page):
    rated = control(page, "adapter.rated_current")
    rated.field.value = "2.371 A"
    rated.slider.value = rated.slider.value  # the page echoes where it put the handle
    assert page.state.build.adapter.rated_current == 2.371


def test_a_refused_field_keeps_what_was_typed(page):
    length = control(page, "lead.length")
    length.field.value = "1.5 V"
    assert length.field.value == "1.5 V"
    assert page.state.build.lead.length == 1.5
    assert "Lead length" in page.frame.rail.told.value
    assert 'role="alert"' in page.frame.rail.told.value
    assert "Lead length" in length.why.value
    assert "wb-refused" in length.box._dom_classes
    control(page, "lead.inductance").field.value = "2u"
    assert page.state.build.lead.inductance == 2e-6
    page.frame.chain.open("Run")  # the part that was left says so
    assert "1 not accepted" in page.frame.chain.nodes["Lead"].sum.value
    assert "wb-amiss" in page.frame.chain.nodes["Lead"].box._dom_classes
    assert length.field.value == "1.5 V"
    length.field.value = "1.6"
    assert page.frame.rail.told.value == ""
    assert "wb-amiss" not in page.frame.chain.nodes["Lead"].box._dom_classes
    assert "wb-refused" not in length.box._dom_classes


def test_the_switch_can_be_put_in_and_taken_out(page):
    resistance = control(page, "switch.gate_resistance")
    assert resistance.slider.disabled
    assert page.state.build.switch is None
    tick = page.frame.controls.groups["Switch"].parts["switch"].tick
    tick.value = True
    assert page.state.build.switch is not None
    assert not resistance.slider.disabled
    resistance.field.value = "4.7k"
    assert page.state.build.switch.gate_resistance == 4700.0
    tick.value = False
    assert page.state.build.switch is None
    assert resistance.field.disabled


@pytest.mark.parametrize("table", [name for name, field in Build.model_fields.items() if field.default is None])
def test_every_part_that_a_build_may_lack_can_be_put_in(page, table):
    ticks = {}
    for name in page.frame.controls.names:
        page.frame.chain.open(name)
        ticks |= page.frame.controls.groups[name].parts
    ticks[table].tick.value = True
    assert getattr(page.state.build, table) is not None


@pytest.mark.parametrize(
    ("key", "text", "said"), [("lead.length", "2,5", "2.5 m"), ("lead.gauge", "1,5 mm²", "1.5 mm")]
)
def test_a_comma_is_answered_with_what_to_write_at_the_field(page, key, text, said):
    field = control(page, key)
    field.field.value = text
    assert f"write &quot;{said}" in field.why.value
    assert field.field.value == text


def test_sections_and_how_many_stand_side_by_side_are_settled_in_one_place(page):
    sections, across = (control(page, f"wiring.{name}") for name in ("sections", "sections_across"))
    assert across.box in page.frame.controls.groups["Wiring"].box.children[0].children
    sections.field.value = "5"  # 4 stand side by side
    assert "5 sections can be divided by" in sections.why.value
    across.field.value = "5"
    assert (page.state.build.wiring.sections, page.state.build.wiring.sections_across) == (5, 5)
    assert sections.why.value == ""


def test_choices_yes_no_and_lists(page):
    control(page, "adapter.limit_style").field.value = "hiccup"
    control(page, "controller.feed_diode").field.value = True
    control(page, "wiring.feeds").field.value = "0, 1, 3"
    build = page.state.build
    assert (build.adapter.limit_style, build.controller.feed_diode, build.wiring.feeds) == ("hiccup", True, (0, 1, 3))
    control(page, "wiring.feeds").field.value = "0, 9"
    assert page.state.build.wiring.feeds == (0, 1, 3)
    assert "Fed sections" in page.frame.rail.told.value


def test_values_needed_less_often_are_made_when_asked_for(page):
    page.frame.chain.open("Controller")
    group = page.frame.controls.groups["Controller"]
    assert "controller.rail_voltage" not in group.keys
    control(page, "controller.rail_voltage").field.value = "3.2"
    assert page.state.build.controller.rail_voltage == 3.2
    group.more.value = False
    assert "controller.rail_voltage" not in group.keys


def test_open_and_save_through_the_rail(page, work):
    rail = page.frame.rail
    rail.open.pick.value = dict(rail.open.pick.options)["example: tide_board_with_switch.toml"]
    assert page.state.build.switch is not None
    assert page.state.path is None  # an example is no file of the builder's own
    assert "not saved yet" in rail.title.value
    rail.save.title.value = "Board in the shed"
    rail.save.path.value = "shed"
    rail.save.button.click()
    assert "Invented" not in (work / "shed.toml").read_text()  # nor are its comments
    assert "saved in shed.toml" in rail.title.value
    assert "shed.toml" in dict(rail.open.pick.options)
    rail.open.path.value = "tide_board_boots.toml"
    rail.open.button.click()
    assert "tide_board_boots.toml" in rail.told.value  # not in this folder


def test_an_example_is_opened_again_after_a_change_and_seen_as_a_whole(page):
    pick = page.frame.rail.open.pick
    example = dict(pick.options)["example: tide_board_with_switch.toml"]
    pick.value = example
    before = page.state.build
    page.state.change({"adapter.rated_current": "12 A"})
    page.time.zoom(0.1, 0.2)
    pick.value = example
    assert page.state.build == before
    assert page.time.span is None


def test_a_file_of_another_build_is_replaced_only_when_asked_twice(page, work):
    (work / "other.toml").write_text("mine")
    save, told = page.frame.rail.save, page.frame.rail.told
    save.path.value = "other.toml"
    save.button.click()
    assert (work / "other.toml").read_text() == "mine"
    assert "once more" in told.value
    save.button.click()
    assert (work / "other.toml").read_text().startswith("format = 1")
    save.button.click()  # its own file now
    assert told.value.endswith("Saved " + str(work / "other.toml") + ".</div>")


def test_a_class_at_the_head_of_a_group_takes_the_place_of_what_was_given(page):
    control(page, "adapter.rated_current").field.value = "2.371 A"
    page.frame.chain.open("Adapter")
    choice = page.frame.controls.groups["Adapter"].classes["adapter"]
    assert choice.field.value == ""
    choice.field.value = "desktop 8 A"
    assert page.state.build.class_of("adapter") == "desktop 8 A"
    assert page.state.build.adapter.rated_current == 8.0
    assert control(page, "adapter.rated_current").field.value == "8 A"
    control(page, "adapter.soft_start").field.value = "30 ms"  # what is given later wins over it
    assert page.state.build.adapter.soft_start == 30e-3
    kept = page.state.build
    choice.field.value = ""
    assert page.state.build.class_of("adapter") is None
    assert page.state.build == kept


def test_there_is_no_class_of_a_switch_that_is_not_there(page):
    page.state.change({"switch": None})
    page.frame.chain.open("Switch")
    group = page.frame.controls.groups["Switch"]
    assert group.classes["switch"].field.disabled
    group.parts["switch"].tick.value = True
    group.classes["switch"].field.value = "P-channel, large"
    assert page.state.build.switch.on_resistance == 10e-3
    assert {table for g in page.frame.controls.names for table in _classes(page, g)} == {
        "adapter", "lead", "bus", "panel", "switch", "controller", "pixel", "wiring",
    }  # fmt: skip


def _classes(page, name):
    page.frame.chain.open(name)
    return page.frame.controls.groups[name].classes
