"""The adapter: its label, its limit, its class, its voltage, the least load that it wants."""

import pytest

from inrushlib.panel import solve_panel
from inrushlib.safety.display import safety_findings
from inrushlib.safety.finding import Question
from inrushlib.severity import Severity

from .tiles import findings, tiles


@pytest.mark.parametrize(
    ("rated", "style", "severity", "words"),
    [
        (4.0, "constant-current", Severity.FINE, ""),
        (2.9, "constant-current", Severity.CAUTION, "bigger adapter"),
        (2.2, "constant-current", Severity.DANGER, "bigger adapter"),
        (
            1.5,
            "constant-current",
            Severity.DANGER,
            "It is in its limit of 1.8 A and cannot hold its 5.1 V: it gives 3.5",
        ),
        (1.5, "hiccup", Severity.DANGER, "trips"),
    ],
)
def test_adapter_against_its_label(rated: float, style: str, severity: Severity, words: str) -> None:
    # The panel takes 2.4 A; NEC 210.20(A): a continuous load is at most 80 % of a rating.
    found = findings(tiles(adapter__rated_current=rated, adapter__limit_style=style))[
        "adapter: current against its label"
    ]
    assert found.severity is severity
    assert found.limit == rated
    assert words in found.remedy


def test_a_display_that_stays_lit_loads_the_adapter() -> None:
    build = tiles(adapter__rated_current=2.0)
    dark = {each.what: each for each in safety_findings(build, solve_panel(build, (0, 0, 0)))}
    assert dark["adapter: current against its label"].severity is Severity.FINE
    stalled = dark["adapter: current against its label while the display stays in its power-on colour"]
    assert stalled.severity is Severity.CAUTION


@pytest.mark.parametrize("style", ["constant-current", "foldback", "hiccup", "latch-off"])
def test_an_adapter_in_its_limit_is_never_fine(style: str) -> None:
    # Folded back it gives less than its label, and only some 3 V; the others give more than the label.
    build = tiles(adapter__rated_current=3, adapter__limit_style=style, wiring__pixels_per_section=140)
    state = solve_panel(build)
    assert state.limiting
    # The law's own: at or above 0.97 of the limit.
    assert state.adapter_current == pytest.approx(state.adapter_limit, rel=0.03)
    assert (state.adapter_limit < 3.0) == (style == "foldback")
    found = findings(build)
    for name in ("", " while the display stays in its power-on colour"):
        each = found[f"adapter: current against its label{name}"]
        assert each.severity.rank >= Severity.CAUTION.rank
        assert each.remedy.startswith("It is in its limit of ")
        assert not each.sentence.rstrip().endswith(":")
        assert ("trips after 20 ms" in each.remedy) == (style in ("hiccup", "latch-off"))
        assert ("folded back" in each.remedy) == (style == "foldback")
    if style == "foldback":
        words = found["adapter: current against its label"].remedy
        assert f"it gives {state.adapter_voltage:.2f} V, the bus stands at {state.bus_voltage:.2f} V" in words
        assert "needs 2.88 V to come out of reset, does not start" in words


def test_a_lit_display_in_the_limit_is_told_where_the_picture_is_not() -> None:
    build = tiles(adapter__rated_current=3, adapter__limit_style="foldback", wiring__pixels_per_section=140)
    dark = {each.what: each for each in safety_findings(build, solve_panel(build, (0, 0, 0)))}
    assert dark["adapter: current against its label"].severity is Severity.FINE
    lit = dark["adapter: current against its label while the display stays in its power-on colour"]
    assert lit.severity is Severity.CAUTION
    assert "It is in its limit of 2.8" in lit.remedy
    assert lit.remedy.endswith("do not leave it alone")


def test_an_adapter_with_something_to_spare_is_not_in_its_limit() -> None:
    state = solve_panel(tiles())
    assert not state.limiting
    assert state.adapter_limit == pytest.approx(4.8)


def test_adapter_class() -> None:
    # IEC 62368-1 annex Q: 8 A and 100 VA; IEC 60950-1 section 2.5 table 2B: 5 x Uoc, 25.5 VA at 5.1 V.
    current = "adapter: largest output current against a limited power source"
    older = "adapter: largest output power against the older form of a limited power source"
    small, middle, large = (findings(tiles(adapter__rated_current=amps)) for amps in (4.0, 6.0, 10.0))
    assert small[current].severity is Severity.FINE
    assert older not in small
    assert middle[current].severity is Severity.FINE
    assert middle[older].severity is Severity.NOTE
    assert large[current].severity is Severity.CAUTION


def test_a_supply_that_is_too_high_for_pixels_or_controller() -> None:
    found = findings(tiles(adapter__rated_voltage=6.0))
    assert found["pixels: supply voltage without load"].severity is Severity.DANGER  # they stand 5.5 V
    assert found["controller: supply voltage without load"].severity is Severity.FINE  # it stands 6 V
    own = findings(tiles(adapter__rated_voltage=5.0, controller__feed="own", controller__own_voltage=7.0))
    assert own["controller: supply voltage without load"].severity is Severity.DANGER
    assert own["pixels: supply voltage without load"].severity is Severity.FINE


@pytest.mark.parametrize(("pixels", "severity"), [(16, Severity.CAUTION), (64, Severity.FINE)])
def test_a_power_bank_that_sees_too_little_load_is_told(pixels: int, severity: Severity) -> None:
    # Dark: 0.6 mA a pixel; the controller has its own supply here, so the pixels are all there is.
    build = tiles(
        **{"adapter__rated_current": None, "adapter__class": "power bank 2.1 A", "adapter__minimum_load": "50 mA"},
        wiring__pixels_per_section=pixels,
        controller__feed="own",
    )
    (found,) = (each for each in safety_findings(build, solve_panel(build)) if each.question is Question.MINIMUM_LOAD)
    assert found.value == pytest.approx(2 * pixels * 0.6e-3, rel=0.02)
    assert found.limit == 0.05
    assert found.severity is severity
    assert not any(each.question is Question.MINIMUM_LOAD for each in safety_findings(tiles(), solve_panel(tiles())))
