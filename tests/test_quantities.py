import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inrushlib.build import new_build
from inrushlib.errors import BuildError
from inrushlib.quantities import accepted_forms, format_quantity, format_result, parse_gauge, parse_quantity, shown

UNITS = ("V", "A", "ohm", "F", "H", "s", "m", "C", "K/W", "H/m", "ohm/m", "W", "")


# SI Brochure (BIPM, 9th edition), table 7: names and factors of the SI prefixes.
@pytest.mark.parametrize(
    ("prefix", "factor"),
    [("T", 1e12), ("G", 1e9), ("M", 1e6), ("k", 1e3), ("c", 1e-2), ("m", 1e-3), ("u", 1e-6), ("n", 1e-9),
     ("p", 1e-12), ("f", 1e-15)],
)  # fmt: skip
@pytest.mark.parametrize("unit", ["V", "A", "ohm", "F", "H", "s", "m", "H/m", "ohm/m", "W"])
def test_prefixes_are_those_of_the_si(prefix, factor, unit):
    assert parse_quantity(f"3 {prefix}{unit}", unit) == pytest.approx(3 * factor, rel=1e-15)
    assert parse_quantity(f"3{prefix}{unit}", unit) == pytest.approx(3 * factor, rel=1e-15)


# The Unicode Standard: U+2126 OHM SIGN and U+03A9 are the same letter; U+00B5 MICRO SIGN is compatible
# with U+03BC; SI Brochure 5.4.3 writes a space between number and unit, data sheets a narrow one.
@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("470 \u00b5F", "F", 470e-6),
        ("470 \u03bcF", "F", 470e-6),
        ("34 m\u03a9", "ohm", 0.034),
        ("34 m\u2126", "ohm", 0.034),
        ("34\u202fmohm", "ohm", 0.034),
        ("4.7\u00a0kOhm", "ohm", 4700.0),
        ("25 degC", "C", 25.0),
        ("25 \u00b0C", "C", 25.0),
        ("\u221210 \u2103", "C", -10.0),
        ("3 \u00b0C/W", "K/W", 3.0),
        ("0.5 mm\u00b2", "m2", 5e-7),
        ("1.2 m", "m", 1.2),
        ("12 mm", "m", 0.012),
        ("1e-3 A", "A", 1e-3),
        (".5 A", "A", 0.5),
        ("  2  A ", "A", 2.0),
    ],
)
def test_spellings(text, unit, value):
    assert parse_quantity(text, unit) == pytest.approx(value, rel=1e-15)


@pytest.mark.parametrize("number", [2, 2.0, 0, -3.5])
def test_numbers_are_taken_as_si(number):
    assert parse_quantity(number, "A") == number


@pytest.mark.parametrize(
    ("value", "unit"),
    [
        ("3 V", "A"), ("3 ms", "m"), ("3 m", "s"), ("3 F", "H"), ("3 K", "K/W"), ("300 K", "C"), ("3", "A"),
        ("abc", "A"), ("", "A"), ("A", "A"), ("2,5 A", "A"), ("1 000 A", "A"), ("nan A", "A"), ("inf A", "A"),
        ("1e999 A", "A"), ("5 min", "s"), ("1 kC", "C"), ("2 kkA", "A"), ("2 hA", "A"), ("2 a", "A"), ("0 0", "V"),
        ("0.3", ""), ("0.3 V", ""), (True, "A"), (False, ""), (None, "A"), ([2], "A"), ({}, "A"), (2j, "A"),
        (math.nan, "A"), (math.inf, "A"), (-math.inf, "A"), (10**400, "A"), ("٣ A", "A"),
    ],
)  # fmt: skip
def test_everything_else_is_refused_with_what_is_accepted(value, unit):
    with pytest.raises(ValueError, match="accepted: ") as refusal:
        parse_quantity(value, unit)
    message, _, spelling = str(refusal.value).partition("; write ")
    assert message == f"value {shown(value)}; accepted: {accepted_forms(unit)}"
    assert not spelling or parse_quantity(spelling.strip('"'), unit) in (2.0, 2.5, 3.0)


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=30), st.sampled_from(UNITS))
def test_no_text_gives_anything_but_a_number_or_a_refusal(text, unit):
    try:
        value = parse_quantity(text, unit)
    except ValueError as refusal:
        value = str(refusal)
    assert "accepted: " in value if isinstance(value, str) else math.isfinite(value)


@settings(max_examples=200, deadline=None)
@given(st.floats(1e-14, 1e14), st.sampled_from([unit for unit in UNITS if unit]))
def test_what_is_formatted_reads_back(value, unit):
    assert parse_quantity(format_quantity(value, unit), unit) == pytest.approx(value, rel=6e-4)
    assert parse_quantity(format_quantity(-value, unit, digits=9), unit) == pytest.approx(-value, rel=1e-8)


# How the trade writes them: common practice, no source.
@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (4.7e-4, "F", "470 uF"), (2.2e-3, "F", "2200 uF"), (1e-7, "F", "100 nF"), (0.034, "ohm", "34 mohm"),
        (3e-4, "ohm", "0.3 mohm"), (1e4, "ohm", "10 kohm"), (0.0, "A", "0 A"), (-0.0, "A", "0 A"),
        (25.0, "C", "25 C"), (-5.5, "C", "-5.5 C"), (3.2553e-7, "m2", "0.3255 mm2"), (0.3, "", "0.3"),
        (1.25e-6, "s", "1.25 us"), (5.1, "V", "5.1 V"), (50.0, "K/W", "50 K/W"),
    ],
)  # fmt: skip
def test_format(value, unit, text):
    assert format_quantity(value, unit) == text


# Solid wire diameters in inches as printed in the open library "fluids", piping.AWG_inch; areas follow.
# The printed digits allow 0.5 % (0.00005 / 0.0100) on a diameter, twice that on an area.
@pytest.mark.parametrize(
    ("gauge", "inches"),
    [("10 AWG", 0.1019), ("16 AWG", 0.0508), ("20 AWG", 0.032), ("AWG 22", 0.0253), ("24awg", 0.0201),
     ("30 AWG", 0.01), ("4/0 AWG", 0.46), ("0000 AWG", 0.46)],
)  # fmt: skip
def test_gauges_against_printed_diameters(gauge, inches):
    assert parse_gauge(gauge) == pytest.approx(math.pi / 4 * (inches * 0.0254) ** 2, rel=0.01)


def test_zero_gauges_are_neighbours_in_the_right_order():
    names = ("4/0", "000", "2/0", "0", "1")
    areas = [parse_gauge(f"{name} AWG") for name in names]
    assert areas == sorted(areas, reverse=True)
    assert parse_gauge("1/0 AWG") == parse_gauge("0 AWG")
    # ASTM B258: each step of the gauge is a factor of 92 to the power of 1/39 in diameter.
    for wide, narrow in pairwise(areas):
        assert wide / narrow == pytest.approx(92 ** (2 / 39), rel=1e-12)


@pytest.mark.parametrize(
    "text",
    [22, 3.2e-7, "22", "22.5 AWG", "0/0 AWG", "41 AWG", "-1 AWG", "5/0 AWG", "0.5", "0.5 mm", "0 mm2", "-1 mm2",
     "nan mm2", "1e999 mm2", "AWG", "", None, True, "99999999999999 AWG"],
)  # fmt: skip
def test_gauges_refused(text):
    with pytest.raises(ValueError, match=r'accepted: text with its unit such as "22 AWG" or "0\.5 mm2"'):
        parse_gauge(text)


def test_shown_stays_on_one_short_line():
    nested = [[[[1]]]]
    for value in ("a\nb\x00" * 100, "9" * 5000, 10**5000, [10**30] * 90, nested, {"a": {"b": 1}}, {"a\n": 1}):
        assert len(shown(value)) <= 60
        assert shown(value).isprintable()


class TestResults:
    """What a run cannot tell from nothing is printed as nothing."""

    @pytest.mark.parametrize(
        ("value", "unit"), [(-675e-9, "A"), (7.28e-15, "V"), (-2.7e-6, "A"), (0.0, "V"), (-3e-12, "C"), (1e-13, "J")]
    )
    def test_below_what_a_run_can_tell(self, value, unit):
        assert format_result(value, unit) == f"0 {unit}"

    @pytest.mark.parametrize(
        ("value", "unit", "text"),
        [(0.6e-3, "A", "600 uA"), (-0.012, "A", "-12 mA"), (5e-3, "V", "5 mV"), (1.25e-6, "s", "1.25 us")],
    )
    def test_what_a_run_does_tell_stays(self, value, unit, text):
        assert format_result(value, unit) == text

    def test_a_resolution_of_its_own(self):
        assert format_result(3e-6, "A", resolution=0.0) == "3 uA"
        assert format_result(0.2, "A", resolution=0.5) == "0 A"


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    # IEC 60062 (from memory): the letter stands in place of the decimal point.
    [("10k", "ohm", 10e3), ("4k7", "ohm", 4.7e3), ("R47", "ohm", 0.47), ("4R7", "ohm", 4.7), ("1M", "ohm", 1e6),
     ("4u7", "F", 4.7e-6), ("100n", "F", 100e-9), ("4µ7", "F", 4.7e-6), ("2p2", "F", 2.2e-12)],
)  # fmt: skip
def test_values_as_they_are_printed_on_parts_are_read(text, unit, value):
    assert parse_quantity(text, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "spelling"),
    [("2,5 A", "A", "2.5 A"), ("2,5", "A", "2.5 A"), ("10k", "s", "10 ks"), ("5", "V", "5 V"), ("470uf", "F", "470 uF"),
     ("5 v", "V", "5 V"), ("0,125 A", "A", "0.125 A")],
)  # fmt: skip
def test_what_was_meant_is_refused_with_the_spelling_to_use(text, unit, spelling):
    with pytest.raises(ValueError, match=f'write "{spelling}"$'):
        parse_quantity(text, unit)
    assert parse_quantity(spelling, unit) > 0


@pytest.mark.parametrize(
    ("text", "unit"), [("1,000 A", "A"), ("3 V", "A"), ("1.5.2 A", "A"), ("1e999 A", "A"), ("k", "ohm")]
)
def test_nothing_is_guessed_where_it_could_be_two_things(text, unit):
    with pytest.raises(ValueError, match="accepted") as caught:
        parse_quantity(text, unit)
    assert "write" not in str(caught.value)


@pytest.mark.parametrize(("text", "spelling"), [("22", "22 AWG"), ("4/0", "4/0 AWG"), ("0,5 mm2", "0.5 mm2")])
def test_a_gauge_without_its_unit_is_refused_with_it(text, spelling):
    with pytest.raises(ValueError, match=f'write "{spelling}"$'):
        parse_gauge(text)
    assert parse_gauge(spelling) > 0


def test_a_build_says_the_spelling_too():
    with pytest.raises(BuildError, match=r'adapter.rated_current: value "2,5 A"; .*; write "2.5 A"'):
        new_build(
            {"title": "t", "adapter.rated_current": "2,5 A", "wiring.sections": 1, "wiring.pixels_per_section": 8}
        )
