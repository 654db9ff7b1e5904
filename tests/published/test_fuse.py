"""Fuses against published charts and worked examples (source beside each check)."""

import pytest

from inrushlib.errors import BuildError
from inrushlib.sizing.fuse import fuse_for, pulse_i2t, pulse_share, required_melting_i2t


@pytest.mark.parametrize(
    ("shape", "i2t"),
    [
        ("square", 0.1),
        ("sine", 0.05),
        ("ramp", 0.0333),
        ("trapezoid", 0.0583),
        ("parabola", 0.02),
        ("exponential", 0.05),
    ],
)
def test_pulse_shapes(shape: str, i2t: float) -> None:
    # Fuse catalogue "Fuseology" (2017), chart 1, for 10 A and 1 ms, a trapezoid down to 5 A.
    assert pulse_i2t(10.0, 1e-3, shape, base=5.0) == pytest.approx(i2t, abs=5e-5)


@pytest.mark.parametrize(("starts", "share"), [(100, 0.48), (1_000, 0.38), (10_000, 0.29), (100_000, 0.22)])
def test_pulse_derating(starts: int, share: float) -> None:
    # Fuse catalogue "Fuseology" (2017), chart 2, page 12: at least 10 s between pulses.
    assert pulse_share(starts) == share
    assert required_melting_i2t(share, starts) == pytest.approx(1.0)
    if starts > 100:
        assert pulse_share(starts // 10 + 1) == share  # between two rows, the harder one


def test_another_makers_example() -> None:
    # A micro-fuse data sheet, formula 4: a pulse of 60 A2s at a load ratio of 35 % wants 171.4 A2s or more. Its
    # ratio lies between this table's rows for 1,000 and 10,000 pulses, and so does the answer.
    assert pytest.approx(171.4, abs=0.05) == 60 / 0.35
    assert required_melting_i2t(60.0, 1_000) < 171.4 < required_melting_i2t(60.0, 10_000)


def test_run_a_fuse_at_75_percent() -> None:
    # A fuse maker in EDN, 26 September 1996: no more than 75 % of the rating at 25 C.
    assert fuse_for(3.0, 100.0, 0.0).rating == 4.0
    assert fuse_for(3.01, 100.0, 0.0).rating == 5.0


def test_fuse_protects_the_wire() -> None:
    choice = fuse_for(3.0, 3.5, 0.0)
    assert choice.rating is None
    assert "thicker wire" in choice.why_not


def test_fuse_survives_the_starts() -> None:
    melting = {4.0: 2.0, 5.0: 5.0, 6.3: 12.0}
    assert fuse_for(3.0, 7.0, 0.5, melting_i2t=melting).rating == 4.0
    assert fuse_for(3.0, 7.0, 1.0, melting_i2t=melting).rating == 5.0  # 1 / 0.29 = 3.4 A2s
    none = fuse_for(3.0, 7.0, 10.0, melting_i2t=melting)
    assert none.rating is None
    assert "slower fuse" in none.why_not
    assert none.melting_i2t == pytest.approx(10 / 0.29)


@pytest.mark.parametrize("starts", [0, 100_001])
def test_starts_outside_the_chart(starts: int) -> None:
    with pytest.raises(BuildError, match="accepted: 1 to 100000"):
        pulse_share(starts)


def test_unknown_shape() -> None:
    with pytest.raises(BuildError, match="pulse shape"):
        pulse_i2t(1.0, 1.0, "blob")
