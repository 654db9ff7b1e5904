"""Gauges, resistance and ratings of copper wire against published tables (source beside each check)."""

import math

import pytest

from inrushlib.copper import (
    COPPER_RESISTIVITY,
    METRIC_RESISTANCE,
    ampacity,
    ampacity_of_area,
    at_temperature,
    awg_area,
    awg_diameter,
    metric_resistance_per_metre,
    wire_resistance,
)
from inrushlib.errors import UsageError

INCH = 0.0254

# HyperPhysics "American Wire Gauge" table (data: Floyd, Electric Circuit Fundamentals, 2nd ed.; chassis
# current: Handbook of Electronic Tables and Formulas). Rows: AWG, inch, ohm/1000 ft, chassis A, 700 cmil/A.
SOLID_WIRE = [
    (10, 0.10189, 0.9989, 55, 15),
    (12, 0.0808, 1.588, 41, 9.3),
    (14, 0.06408, 2.525, 32, 5.9),
    (16, 0.05082, 4.016, 22, 3.7),
    (18, 0.0403, 6.385, 16, 2.3),
    (20, 0.03196, 10.15, 11, 1.5),
    (22, 0.02535, 16.14, 7, 0.92),
    (24, 0.0201, 25.67, 3.5, 0.577),
    (26, 0.01594, 40.81, 2.2, 0.361),
    (28, 0.01264, 64.9, 1.4, 0.226),
    (30, 0.01002, 103.2, 0.86, 0.142),
]


def ohm_per_kilofoot(gauge: int) -> float:
    return wire_resistance(1000 * 12 * INCH, awg_area(gauge))


def test_resistivity_is_the_iacs_value() -> None:
    # NBS Handbook 100 (1966): 0.017241 ohm mm2/m at 20 C; IACS fixes 1/58.
    ohm_mm2_per_m = wire_resistance(1.0, 1e-6)
    assert ohm_mm2_per_m == pytest.approx(0.017241, abs=5e-7)
    assert ohm_mm2_per_m == pytest.approx(1 / 58, rel=3e-5)


def test_mass_resistivity_and_density_agree_with_the_volume_resistivity() -> None:
    # NBS Handbook 100: 0.15328 ohm g/m2 and 8.89 g/cm3.
    ohm_metres = COPPER_RESISTIVITY
    assert ohm_metres == pytest.approx(0.15328 / 8.89e6, rel=1e-4)


def test_gauge_anchors_and_ratio() -> None:
    # ASTM B258: 36 AWG is 0.005 in, 0000 is 0.46 in, 39 equal ratios between them.
    assert awg_diameter(36) / INCH == pytest.approx(0.005, rel=1e-12)
    assert awg_diameter(-3) / INCH == pytest.approx(0.46, rel=1e-12)
    assert awg_diameter(20) / awg_diameter(21) == pytest.approx(1.1229322, abs=5e-8)


@pytest.mark.parametrize(
    ("gauge", "inch"),
    # Table AWG_inch of the open library "fluids" (fluids/piping.py).
    [
        *[(10, 0.1019), (12, 0.0808), (14, 0.0641), (16, 0.0508), (18, 0.0403), (20, 0.032)],
        *[(22, 0.0253), (24, 0.0201), (26, 0.0159), (28, 0.0126), (30, 0.01)],
    ],
)
def test_gauge_diameters(gauge: int, inch: float) -> None:
    assert awg_diameter(gauge) / INCH == pytest.approx(inch, abs=0.5e-4)


@pytest.mark.parametrize(("gauge", "inch", "ohm", "chassis", "transmission"), SOLID_WIRE)
def test_solid_wire_table(gauge: int, inch: float, ohm: float, chassis: float, transmission: float) -> None:
    assert ohm_per_kilofoot(gauge) == pytest.approx(ohm, rel=5e-4)
    assert awg_diameter(gauge) / INCH == pytest.approx(inch, rel=6e-4)
    assert ampacity(gauge, "chassis wiring") == chassis
    assert ampacity(gauge, "power transmission") == transmission


@pytest.mark.parametrize("gauge", [row[0] for row in SOLID_WIRE])
def test_power_transmission_is_700_circular_mils_per_ampere(gauge: int) -> None:
    # The Handbook of Electronic Tables and Formulas states the rule behind its column; two digits printed.
    circular_mils = (awg_diameter(gauge) / INCH * 1e3) ** 2
    assert ampacity(gauge, "power transmission") == pytest.approx(circular_mils / 700, rel=0.03)


@pytest.mark.parametrize(
    ("gauge", "bundled", "single"),
    # ARRL Handbook hook-up ratings, as cited in a published wire table.
    [(22, 5, 7), (20, 7.5, 11), (18, 10, 16), (16, 13, 22), (14, 17, 32)],
)
def test_hook_up_ratings(gauge: int, bundled: float, single: float) -> None:
    assert ampacity(gauge, "hook-up, bundled") == bundled
    assert ampacity(gauge, "hook-up, single") == single


@pytest.mark.parametrize(("gauge", "amperes"), [(30, 1.3), (24, 3.3), (22, 4.5), (20, 6.5), (18, 9.2)])
def test_ptfe_ratings(gauge: int, amperes: float) -> None:
    # A PTFE wire maker's ratings, as cited in the same published wire table.
    assert ampacity(gauge, "PTFE, single") == amperes


def test_ampacity_is_never_interpolated() -> None:
    with pytest.raises(UsageError, match=r"23 AWG.*not interpolated"):
        ampacity(23)
    assert ampacity_of_area(awg_area(23)) == ampacity(24)
    assert ampacity_of_area(awg_area(22)) == ampacity(22)
    with pytest.raises(UsageError, match="or thicker"):
        ampacity_of_area(awg_area(32))


@pytest.mark.parametrize(
    ("table", "rows"),
    [
        # IEC 60228 Table 3 (class 5), as reproduced by two cable makers.
        ("class 5 plain", {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95}),
        ("class 5 tinned", {0.5: 40.1, 0.75: 26.7, 1.0: 20.0, 1.5: 13.7, 2.5: 8.21}),
        # IEC 60228 class 1/2, as reproduced by a cable maker.
        ("class 1/2 plain", {0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41}),
        # DIN VDE 0295 small sizes.
        ("small plain", {0.14: 134.0, 0.22: 96.0, 0.25: 76.0, 0.34: 53.0}),
        ("small tinned", {0.14: 138.0, 0.22: 99.0, 0.25: 79.0, 0.34: 56.0}),
    ],
)
def test_metric_maxima(table: str, rows: dict[float, float]) -> None:
    for size, ohm_per_km in rows.items():
        assert metric_resistance_per_metre(size, table) * 1e3 == pytest.approx(ohm_per_km, rel=1e-12)


def test_metric_values_are_maxima_not_minima() -> None:
    # A cable site captions the IEC 60228 column "minimum resistance": ideal copper of the nominal area lies
    # below every entry, so the printed values can only be maxima.
    for rows in METRIC_RESISTANCE.values():
        for size, ohm_per_km in rows.items():
            assert ohm_per_km * 1e-3 > wire_resistance(1.0, size * 1e-6)


def test_class_5_excess_over_ideal_copper() -> None:
    # Derived from IEC 60228 Table 3 and the IACS value: 13.1 % up to 1 mm2, 15.7 % from 1.5 mm2.
    for size, excess in [(0.5, 0.131), (1.0, 0.131), (1.5, 0.157), (2.5, 0.157)]:
        ratio = metric_resistance_per_metre(size) / wire_resistance(1.0, size * 1e-6)
        assert ratio - 1 == pytest.approx(excess, abs=1.5e-3)


@pytest.mark.parametrize(("celsius", "to_20"), [(25, 0.980), (40, 0.926), (60, 0.862), (75, 0.820), (100, 0.758)])
def test_iec_temperature_correction(celsius: float, to_20: float) -> None:
    # IEC 60228 annex, factors to 20 C, as reproduced by a cable maker.
    assert 1 / at_temperature(1.0, celsius, "IEC 60228") == pytest.approx(to_20, abs=5.1e-4)


@pytest.mark.parametrize(("celsius", "to_20"), [(25, 0.9807), (40, 0.9271), (60, 0.8642), (75, 0.8223), (100, 0.7608)])
def test_iacs_temperature_correction(celsius: float, to_20: float) -> None:
    # 254.5 / (234.5 + t): alpha 0.00393 / K at 20 C (NBS Handbook 100).
    assert 1 / at_temperature(1.0, celsius, "IACS") == pytest.approx(to_20, abs=5.1e-5)
    assert at_temperature(1.0, 21.0) - 1 == pytest.approx(3.93e-3, abs=5e-6)


@pytest.mark.parametrize(("gauge", "ohm_per_km"), [(18, 25.5), (16, 16.0), (14, 10.1), (12, 6.34)])
def test_solid_wire_at_75_degrees(gauge: int, ohm_per_km: float) -> None:
    # NEC (NFPA 70) chapter 9 table 8, uncoated solid copper at 75 C (transcription).
    assert wire_resistance(1000.0, awg_area(gauge), 75.0) == pytest.approx(ohm_per_km, rel=3e-3)


@pytest.mark.parametrize(("gauge", "milliohm_per_foot"), [(10, 1.028), (14, 2.624), (18, 6.636), (20, 10.54)])
def test_stranded_wire_lies_a_little_above_solid(gauge: int, milliohm_per_foot: float) -> None:
    # A published design handbook's table 38, 7-strand wire at 20 C: 3-4 % above solid.
    assert 1.025 < milliohm_per_foot / ohm_per_kilofoot(gauge) < 1.045


@pytest.mark.parametrize(("gauge", "metres"), [(28, 0.81), (26, 1.31), (24, 2.08), (22, 3.33), (20, 5.00)])
def test_usb_power_pair_lengths_have_one_loop_resistance(gauge: int, metres: float) -> None:
    # Maximum cable lengths by gauge from the USB-IF FAQ: the loop comes to 0.33-0.36 ohm for every gauge.
    assert 0.33 < wire_resistance(2 * metres, awg_area(gauge)) < 0.36


def test_known_bad_resistances_are_not_ours() -> None:
    # A hobby blog prints 0.00639 ohm per metre for 18 AWG; it is per foot.
    assert wire_resistance(1.0, awg_area(18)) == pytest.approx(0.02095, rel=1e-3)
    assert wire_resistance(1.0, awg_area(18)) > 3 * 0.00639
    # A 1992 newsgroup table prints 0.8441 and 0.6529 ohm/1000 ft for 10 and 8 AWG; right: 0.9989, 0.6282.
    assert ohm_per_kilofoot(10) == pytest.approx(0.9989, rel=5e-4)
    assert ohm_per_kilofoot(8) == pytest.approx(0.6282, rel=5e-4)
    assert abs(ohm_per_kilofoot(10) / 0.8441 - 1) > 0.1
    assert abs(ohm_per_kilofoot(8) / 0.6529 - 1) > 0.03


@pytest.mark.parametrize("gauge", [-4, 41, math.nan])
def test_gauge_outside_the_table(gauge: float) -> None:
    with pytest.raises(UsageError, match=r"AWG; accepted: -3 \(4/0\) to 40 AWG"):
        awg_diameter(gauge)
