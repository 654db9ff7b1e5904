"""Fuses against published charts and worked examples (source beside each check)."""

import pytest

from inrushlib.errors import UsageError
from inrushlib.safety.fuse import FuseOutcome, fuse_for
from inrushlib.safety.fuse_pulse import pulse_share, required_melting_i2t


@pytest.mark.parametrize(("starts", "share"), [(100, 0.48), (1_000, 0.38), (10_000, 0.29), (100_000, 0.22)])
def test_pulse_derating(starts: int, share: float) -> None:
    # Fuse catalogue "Fuseology" (2017), chart 2, page 12: at least 10 s between pulses.
    assert pulse_share(starts) == share
    if starts > 100:
        assert pulse_share(starts // 10 + 1) == share  # between two rows, the harder one


def test_another_makers_chart_is_not_ours() -> None:
    # A micro-fuse data sheet, formula 4: a pulse of 60 A2s at a load ratio of 35 %, that maker's for 100,000 pulses,
    # wants 171.4 A2s or more. The chart used here has 22 % for as many pulses and so asks for more: the makers do
    # not agree, and ours is on the safe side of this one.
    assert required_melting_i2t(60.0, 100_000) == pytest.approx(60 / 0.22)
    assert required_melting_i2t(60.0, 100_000) > 171.4


def test_run_a_fuse_at_75_percent() -> None:
    # A fuse maker in EDN, 26 September 1996: no more than 75 % of the rating at 25 C.
    assert fuse_for(3.0, 100.0, 0.0).rating == 4.0
    assert fuse_for(3.01, 100.0, 0.0).rating == 5.0


def test_fuse_protects_the_wire() -> None:
    choice = fuse_for(3.0, 3.5, 0.0)
    assert choice.rating is None
    assert "thicker wire" in choice.why_not


@pytest.mark.parametrize(
    ("load", "wire", "outcome"),
    [
        (3.0, 3.5, FuseOutcome.TOO_WEAK),  # 4 A or more on a wire for 3.5 A
        (3.8, 6.0, FuseOutcome.NONE_BETWEEN),  # 5.07 A or more; the family has 5 A and 6.3 A
        (7.6, 20.0, FuseOutcome.LADDER_ENDS),  # 10.1 A or more; the family ends at 10 A
        (0.3, 0.45, FuseOutcome.NONE_BETWEEN),  # 0.4 A or more; the family begins at 0.5 A
    ],
)
def test_why_there_is_no_fuse(load: float, wire: float, outcome: FuseOutcome) -> None:
    # Ratings of the R10 series as used by IEC 60127 (from memory).
    assert fuse_for(load, wire, 0.0).outcome is outcome


def test_fuse_survives_the_starts() -> None:
    melting = {4.0: 2.0, 5.0: 5.0, 6.3: 12.0}
    assert fuse_for(3.0, 7.0, 0.5, melting_i2t=melting).rating == 4.0
    assert fuse_for(3.0, 7.0, 1.0, melting_i2t=melting).rating == 5.0  # 1 / 0.29 = 3.4 A2s
    none = fuse_for(3.0, 7.0, 10.0, melting_i2t=melting)
    assert none.rating is None
    assert "slower fuse" in none.why_not
    assert none.melting_i2t == pytest.approx(10 / 0.29)


@pytest.mark.parametrize(
    ("times", "outcome"),
    [
        (2.0, FuseOutcome.FITS),
        (1.99, FuseOutcome.TOO_SLOW),
        (1.35, FuseOutcome.TOO_SLOW),
        (1.34, FuseOutcome.NEVER_BLOWS),
    ],
)
def test_what_blows_a_fuse(times: float, outcome: FuseOutcome) -> None:
    # UL 248-14, as the fuse catalogue "Fuseology" prints it: opens at 135 % of its rating within one hour, at 200 %
    # within two minutes (up to 30 A). A fuse of 4 A for 3 A, on a wire that stands 4 A.
    choice = fuse_for(3.0, 4.0, 0.0, faults=[4.0 * times])
    assert choice.outcome is outcome
    assert choice.rating == (4.0 if outcome is FuseOutcome.FITS else None)
    assert bool(choice.why_not) == (outcome is not FuseOutcome.FITS)


def test_no_fuse_is_needed_where_nothing_can_be_too_much() -> None:
    assert fuse_for(3.0, 7.0, 0.0, faults=[7.0, 0.0]).outcome is FuseOutcome.NOT_NEEDED
    # Folded back into a dead short it would not blow: 7.5 A are 1.9 times 4 A.
    assert fuse_for(3.0, 7.0, 0.0, faults=[20.0, 7.5]).outcome is FuseOutcome.TOO_SLOW
    assert fuse_for(3.0, 7.0, 0.0, faults=[20.0, 8.0]).rating == 4.0


@pytest.mark.parametrize("starts", [0, 100_001])
def test_starts_outside_the_chart(starts: int) -> None:
    with pytest.raises(UsageError, match="accepted: 1 to 100000"):
        pulse_share(starts)


def test_a_fuse_that_has_just_the_melting_i2t_survives() -> None:
    needed = fuse_for(3.0, 7.0, 0.5).melting_i2t
    assert fuse_for(3.0, 7.0, 0.5, melting_i2t={4.0: needed}).rating == 4.0
    assert fuse_for(3.0, 7.0, 0.5, melting_i2t={4.0: 0.999 * needed}).outcome is FuseOutcome.MELTS
