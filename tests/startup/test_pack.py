"""The record that the compiled model takes: its fields are the keys of a build."""

import math

import numpy as np
import pytest

from inrushlib.build import build_keys, new_build
from inrushlib.model import layout as at
from inrushlib.startup.pack import pack
from inrushlib.startup.pack_columns import pack_columns

BARE = {"title": "t", "adapter.rated_current": 2, "wiring.sections": 2, "wiring.pixels_per_section": 8}
GATE = {"switch.gate_source_capacitance": "3 nF", "switch.gate_drain_capacitance": "1 nF"}
FULL = BARE | GATE | {
    "switch.kind": "p-channel", "limiter.ambient": 40, "adapter.peak_current": 5, "adapter.peak_time": 1e-3,
    "firmware.content_delay": 0.3, "pixel.forward_voltages": [1.8, 2.6, 2.7], "pixel.power_on": [1, 0.5, 0.25],
}  # fmt: skip


def test_every_field_is_a_key_of_the_build_with_its_value():
    build = new_build(FULL)
    p = pack(build).parts
    keys = [(table, key) for table, names in at.KEYS.items() for key in names]
    assert {f"{table}.{key}" for table, key in keys} <= set(build_keys())
    assert {f"{table}_{key}" for table, key in keys}.isdisjoint(at.WORKED_OUT)
    for table, key in keys:
        assert p[f"{table}_{key}"] == pytest.approx(float(build.get(f"{table}.{key}")), rel=1e-15)
    assert p.pixel_forward_voltages.tolist() == [1.8, 2.6, 2.7]
    assert p.colours[0].tolist() == [1.0, 0.5, 0.25]
    assert p.limiter_ambient_kelvin == pytest.approx(313.15)


def test_what_a_build_leaves_out():
    p = pack(new_build(BARE)).parts
    # No allowance: the limit itself, for ever; never any content.
    assert p.adapter_peak_current == p.adapter_limit_current
    assert (p.adapter_peak_time, p.firmware_content_delay) == (math.inf, math.inf)
    assert p.switch_kind == at.JOINT
    assert [name for name in at.PARTS.names if name.startswith(("switch", "limiter")) and p[name] != 0.0] == []
    assert np.isfinite([p[name] for name in at.PARTS.names if p[name].ndim == 0]).sum() == len(at.PARTS.names) - 4


def test_a_load_switch_has_no_gate():
    p = pack(new_build(BARE | GATE | {"switch.kind": "load-switch"})).parts
    assert p.switch_kind == at.LOAD_SWITCH
    assert (p.switch_gate_source_capacitance, p.switch_gate_drain_capacitance, p.switch_on_pin) == (0.0, 0.0, 0.0)


def test_all_records_are_of_the_very_same_type():
    """Types that are only equal are compared field by field at each call of the compiled code."""
    packed = pack(new_build(FULL))
    assert packed.parts.dtype is at.PARTS
    assert packed.parts.copy().dtype is at.PARTS
    assert np.array([packed.parts, packed.parts]).dtype is at.PARTS
    assert pack_columns(new_build(FULL), {"adapter.limit_current": np.array([2.0, 3.0])}).parts.dtype is at.PARTS
