"""How far curves scatter: against curves that are known, and what is counted."""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.errors import Cancelled, SolverError, UsageError
from inrushlib.odds import Which, curve_bands
from inrushlib.startup import BUS_VOLTAGE, LEAD_CURRENT, RAIL_VOLTAGE, simulate

DARK = {
    "title": "dark", "adapter.rated_current": 3, "wiring.sections": 1, "wiring.pixels_per_section": 8,
    "pixel.power_on": [0, 0, 0], "pixel.quiescent_current": 0, "run.duration": 0.3,
}  # fmt: skip


def test_settled_bus_is_spread_as_the_adapters_voltage_is():
    """With next to no load the bus is the adapter's voltage, even over 4.9 V to 5.3 V: 5, 50, 95 % are known."""
    found = curve_bands(
        new_build(DARK | {"tolerance.adapter.rated_voltage": {"low": 4.9, "high": 5.3}}), which=Which.STATED
    )
    drop = 5.1 - found.nominal[BUS_VOLTAGE][-1]
    bus = found.bands[BUS_VOLTAGE]
    ends = [float(each[-1]) for each in (bus.low, bus.middle, bus.high)]
    assert ends == pytest.approx([4.92 - drop, 5.1 - drop, 5.28 - drop], abs=6e-3)
    assert set(found.bands) == {BUS_VOLTAGE, RAIL_VOLTAGE, LEAD_CURRENT}
    assert (found.runs, found.failed) == (128, 0)


def test_where_nothing_scatters_the_band_is_the_nominal_curve():
    build = new_build(DARK | {"tolerance.controller.burst_length": {"low": 1e-3, "high": 2e-3}})  # no burst: no effect
    found = curve_bands(build, runs=64, which=Which.STATED)
    for curve, band in found.bands.items():
        assert band.low == pytest.approx(found.nominal[curve], abs=2e-3)
        assert band.high == pytest.approx(found.nominal[curve], abs=2e-3)
    assert band.time[-1] == pytest.approx(1.6 * simulate(build).ready_at)
    assert np.all(np.diff(band.time) > 0)


def test_a_run_that_fails_is_counted(monkeypatch):
    from inrushlib.odds import bands

    real, count = bands.run_curves, iter(range(1000))

    def failing(every):
        def run(build, *, tolerance):
            if next(count) % every == 0:
                raise SolverError("hit a bound")
            return real(build, tolerance=tolerance)

        return run

    monkeypatch.setattr(bands, "run_curves", failing(8))
    assert curve_bands(new_build(DARK), runs=64).failed == 8
    monkeypatch.setattr(bands, "run_curves", failing(1))
    with pytest.raises(UsageError, match="none of 64 runs"):
        curve_bands(new_build(DARK), runs=64)


def test_stopped_and_refused():
    with pytest.raises(Cancelled):
        curve_bands(new_build(DARK), runs=64, cancelled=lambda: True)
    with pytest.raises(UsageError, match="nothing to spread"):
        curve_bands(new_build(DARK), which=Which.STATED)
