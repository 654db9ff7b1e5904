"""The pixels' currents side by side against the scalar law, and any number of lumps, with room for more and without."""

import numpy as np
import pytest

from inrushlib.build import new_build
from inrushlib.laws.pixel import pixel
from inrushlib.laws.smooth import FAR, soft
from inrushlib.model import circuit, pixels
from inrushlib.model import layout as at
from inrushlib.startup.pack import pack

COLOURS = ([1.0, 0.6, 0.9], [0.0, 0.0, 0.0], [0.3, 0.0, 0.8])
SUPPLY = np.linspace(-1.0, 12.0, 2600)  # through the waking, each channel's foot and its knee


def parts(**values):
    return pack(
        new_build(
            {
                "title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8,
                "pixel.power_on": COLOURS[0], "firmware.first_frame": COLOURS[1], "firmware.content": COLOURS[2],
                **{f"pixel.{key}": value for key, value in values.items()},
            }
        )
    ).parts  # fmt: skip


@pytest.mark.parametrize("values", [{}, {"channel_resistance": 5.0, "channel_current": 0.06}, {"wake_voltage": 0.5}])
def test_side_by_side(values):
    p = parts(**values)
    shows = np.arange(len(SUPPLY)) % 3
    current, slope = shows.astype(float), np.empty(len(SUPPLY))
    pixels.side_by_side(SUPPLY, p, current, slope)
    rest = (
        *p.pixel_forward_voltages, p.pixel_channel_resistance, p.pixel_channel_current, p.pixel_quiescent_current,
        p.pixel_wake_voltage,
    )  # fmt: skip
    expected = np.array([pixel(v, *COLOURS[i], *rest) for v, i in zip(SUPPLY, shows, strict=True)])
    for got, wanted in ((current, expected[:, 0]), (slope, expected[:, 1])):
        assert np.abs(got - wanted).max() <= 1e-13 * np.abs(wanted).max()
    # And in proportion, down to where hardly anything flows.
    seen = expected[:, 0] > 1e-12
    assert current[seen] == pytest.approx(expected[seen, 0], rel=1e-9)


def test_bend_is_the_smooth_maximum():
    # Beyond FAR the branch-free form stays a last bit away from its limit.
    for z in np.concatenate([np.linspace(-FAR, FAR, 4001), [0.0, -0.8814, -0.8813, 0.8813, 0.8814, -900.0, 900.0]]):
        assert pixels.bend(z) == pytest.approx(soft(z, 1.0), rel=1e-9, abs=1e-16)
    assert pixels.bend(0.0) == (pytest.approx(np.log(2.0), rel=1e-15), 0.5)


@pytest.mark.parametrize("shown", ["all alike, dark", "each another"])
@pytest.mark.parametrize("count", [1, 2, 3, 6, 8, 9, 17])
def test_any_number_of_lumps_with_room_and_without(count, shown):
    packed = pack(
        new_build(
            {
                "title": "t", "adapter.rated_current": 2, "wiring.sections": count, "wiring.pixels_per_section": 3,
                "firmware.first_frame": COLOURS[1], "firmware.content": COLOURS[2],
            }
        )
    )  # fmt: skip
    p, s = packed.parts, packed.lumps
    q = np.zeros((count, at.LUMP_MODES))
    q[:, at.SHOWS] = np.arange(count) % 3 if shown == "each another" else at.SHOWS_FIRST
    v = np.linspace(1.5, 4.5, count)
    expected = [circuit.section_pixel(v[k], q[k, at.SHOWS], p) for k in range(count)]
    for room in (count, pixels.padded(count)):
        assert room >= count
        y, f = np.zeros(at.CORE + room), np.full(at.CORE + room, np.nan)
        d = np.full(circuit.SLOPES + room, np.nan)
        y[at.CORE : at.CORE + count] = v
        circuit.pixel_currents(y, p, s, q, f, d)
        got = np.column_stack([f[at.CORE :][:count], d[circuit.SLOPES :][:count]])
        assert got == pytest.approx(np.array(expected), rel=1e-11, abs=1e-15)
        assert not f[at.CORE + count :].any()
