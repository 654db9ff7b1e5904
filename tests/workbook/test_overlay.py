"""A capture over the model."""

import pytest
from widgets.captures import CaptureFiles
from widgets.overlay import NOT_SHOWN, OverlayState

from inrushlib.trace import SETTINGS, Setting

SAMPLE = "example: tide_board_with_switch.csv"


@pytest.fixture
def laid(page):
    """A page with the demo's build and capture."""
    page.frame.rail.open.pick.value = dict(page.frame.rail.open.pick.options)["example: tide_board_with_switch.toml"]
    page.captures.pick.value = dict(page.captures.pick.options)[SAMPLE]
    return page


def test_channels_named_as_curves_are_laid_over_at_once(laid):
    assert laid.overlay.mapping == {"bus_voltage": "bus_voltage", "lead_current": "lead_current"}
    assert [overlay.current for overlay in laid.overlay.overlays] == [False, True]
    assert [len(line.get_xdata()) > 100 for line in laid.view.picture.picture.measured] == [True, True]


def test_shift_moves_the_capture_and_line_up_finds_it(laid):
    assert laid.overlay.overlays[0].time[0] == pytest.approx(-318.3e-3)
    laid.captures.shift.value = "300"
    assert laid.overlay.overlays[0].time[0] == pytest.approx(300e-3 - 318.3e-3)
    laid.captures.line_up.click()
    # The recipe puts the trigger at 298.3 ms of its own run, whose controller boots 11 ms later than the build's.
    assert laid.overlay.shift == pytest.approx(298.3e-3 - 11e-3, abs=1e-3)


def test_units_and_mapping_can_be_chosen(laid):
    volts = laid.overlay.overlays[0].values.copy()
    laid.captures.channels.children[0].children[2].value = "mV"
    assert laid.overlay.overlays[0].values == pytest.approx(volts / 1000)
    laid.captures.time_unit.value = "ms"
    assert laid.overlay.overlays[0].time[0] == pytest.approx(-318.3)
    laid.captures.channels.children[0].children[1].value = NOT_SHOWN
    assert len(laid.overlay.overlays) == 1


def test_take_away(laid):
    laid.captures.clear.click()
    assert laid.overlay.overlays == ()
    assert [len(line.get_xdata()) for line in laid.view.picture.picture.measured] == [0, 0]


def test_upload(page):
    text = b"time [ms],CH1 [V]\n" + b"".join(b"%d,%d\n" % (i, i % 5) for i in range(100))
    page.captures.uploaded({"new": [{"content": memoryview(text), "name": "up.csv"}]})
    assert page.overlay.mapping == {"CH1": NOT_SHOWN}
    page.captures.channels.children[0].children[1].value = "rail_voltage"
    assert page.overlay.overlays[0].time[-1] == pytest.approx(99e-3)


def test_a_file_that_is_no_capture_leaves_what_was_there(laid, work):
    before = laid.overlay.overlays
    (work / "no.csv").write_text("hello\nworld\n")
    laid.captures.path.value = "no.csv"
    assert "no.csv" in laid.captures.note.value
    assert 'role="alert"' in laid.captures.note.value
    assert laid.overlay.overlays is before


def test_line_up_without_a_capture_says_so(page):
    overlay = OverlayState()
    captures = CaptureFiles(page.state, overlay)
    captures.line_up.click()
    assert "No capture" in captures.note.value


ODD = b"clock,t,CH1,state\n" + b"".join(b"12:00:%02d,%d,%d,run\n" % (i, i, 4000 + i) for i in range(60))


def test_a_refused_file_stays_open_with_its_lines_and_every_control(page, work):
    (work / "odd.csv").write_bytes(ODD)
    captures = page.captures
    assert captures.opened.layout.display == "none"
    captures.path.value = "odd.csv"
    assert captures.opened.layout.display == ""
    assert captures.reading.fold.value
    assert "12:00:00,0,4000,run" in captures.reading.lines.value
    assert "leave them out with" in captures.note.value
    assert "&quot;leave out&quot;: clock" in captures.note.value or '"leave out": clock' in captures.note.value
    assert "--" not in captures.note.value
    told = {*captures.reading.fields, Setting.TIME_UNIT}
    assert told == set(SETTINGS)
    captures.reading.fields[Setting.IGNORE].value = "clock, state"
    assert "time in" in captures.note.value
    captures.time_unit.value = "ms"
    captures.reading.fields[Setting.UNITS].value = "CH1=mV"
    assert captures.reading.lines.value == ""
    assert captures.mapped.layout.display == ""
    assert page.overlay.trace.time[-1] == pytest.approx(59e-3)
    assert page.overlay.trace.channels["CH1"].values[0] == pytest.approx(4.0)


def test_what_was_told_of_one_file_is_not_told_of_the_next(page, work):
    (work / "odd.csv").write_bytes(ODD)
    page.captures.path.value = "odd.csv"
    page.captures.reading.fields[Setting.IGNORE].value = "clock"
    page.captures.pick.value = dict(page.captures.pick.options)[SAMPLE]
    assert page.captures.reading.fields[Setting.IGNORE].value == ""
    assert page.overlay.problem == ""


def test_a_control_that_cannot_be_understood_says_what_is_accepted(laid):
    laid.captures.reading.fields[Setting.INTERVAL].value = "soon"
    assert "&quot;interval&quot;: soon: accepted: seconds" in laid.captures.note.value
    laid.captures.reading.fields[Setting.INTERVAL].value = ""
    assert 'role="status"' in laid.captures.note.value


def test_a_channel_named_by_its_place_is_guessed_with_its_unit(page):
    overlay = OverlayState()
    rows = "".join(f"{i}e-3,5.0,{i}e-2,1.0\n" for i in range(20))
    data = f"time [s],Bus [V],lead [A],rail [A]\n{rows}".encode()
    assert overlay.read(data, page.state.build, "mine.csv")
    assert overlay.mapping == {"Bus": "bus_voltage", "lead": "lead_current", "rail": NOT_SHOWN}


def two_channels(level):
    """A capture of a voltage, at a level but for its first samples, and of a current; named by numbers alone."""
    rows = "".join(f"{i}e-3,{level * (i > 5)},{0.02 * i}\n" for i in range(60))
    return {"new": [{"content": memoryview(f"time [s],CH1 (V),CH2 (A)\n{rows}".encode()), "name": "scope.csv"}]}


def test_a_guess_is_laid_over_at_once_and_says_so_until_the_builder_chooses(page):
    page.captures.uploaded(two_channels(5.1))
    assert page.overlay.mapping == {"CH1": "bus_voltage", "CH2": "lead_current"}
    assert len(page.overlay.overlays) == 2
    assert page.captures.note.value.count("a guess by its") == 2
    choice = page.captures.channels.children[0].children[1]
    assert choice.value == "bus_voltage"
    choice.value = "panel_voltage"
    assert page.captures.note.value.count("a guess by its") == 1
    assert page.overlay.mapping["CH1"] == "panel_voltage"


def test_what_the_builder_chose_stays_when_the_file_is_read_again(page):
    page.captures.uploaded(two_channels(5.1))
    page.captures.channels.children[1].children[1].value = NOT_SHOWN
    page.captures.change_unit({"CH1": "mV"})
    assert page.overlay.mapping == {"CH1": NOT_SHOWN, "CH2": NOT_SHOWN}  # 5.1 mV are no bus
    assert "What does CH1 show?" in page.captures.note.value  # of CH2 the builder said that it is not shown


def test_one_channel_of_which_nothing_is_known_is_asked_for(page):
    page.captures.uploaded(two_channels(2.6))
    assert page.overlay.mapping == {"CH1": NOT_SHOWN, "CH2": "lead_current"}
    assert "What does CH1 show? Choose it beside the name." in page.captures.note.value
    page.captures.channels.children[0].children[1].value = "bus_voltage"
    assert "Choose it" not in page.captures.note.value
