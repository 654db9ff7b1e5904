"""Fuses against published charts and worked examples (source beside each check)."""

import pytest

from inrushlib.errors import UsageError
from inrushlib.safety.fuse import FUSE_FAMILIES, FuseOutcome, fuse_for
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


def test_ratings_of_both_families() -> None:
    # Miniature: the R10 series of ISO 3, ten steps a decade, rounded as it prints them; every step from 0.5 A to 10 A.
    # The most that a printed value is off its exact one is 1.26 % (ISO 3, from memory).
    miniature = FUSE_FAMILIES["miniature"]
    exact = [10 ** (step / 10) for step in range(-3, 11)]
    assert list(miniature) == pytest.approx(exact, rel=0.0127)
    # Blade: 1 to 30 A of ISO 8820-3 (from memory).
    assert FUSE_FAMILIES["blade"] == (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        # 3 / 0.75 = 4 A; 7.6 / 0.75 = 10.13 A; 3.8 / 0.75 = 5.07 A.
        (
            (3.0, 3.5, 0.0),
            "the running current over 75 % asks for 4 A or more, and the wire carries at most 3.5 A: a thicker wire,"
            " or less current through it",
        ),
        (
            (7.6, 20.0, 0.0),
            "the running current over 75 % asks for 10.1 A or more, and the ratings end at 10 A: share the current"
            " among more feeds, each with its fuse",
        ),
        (
            (3.8, 6.0, 0.0),
            "the running current over 75 % asks for 5.07 A or more, the wire carries at most 6 A, and no rating lies"
            " between: a thicker wire",
        ),
    ],
)
def test_why_none_fits_in_numbers(given: tuple[float, float, float], words: str) -> None:
    assert fuse_for(*given).why_not == words


def test_why_none_would_blow_in_numbers() -> None:
    melts = fuse_for(3.0, 7.0, 2.9, melting_i2t={4.0: 9.0}, wire="its plug", better="a larger plug")  # 2.9 / 0.29
    assert melts.why_not == (
        "no rating up to 7 A has a melting I2t of 10 A2s in the given data, and its plug carries at most 7 A: use a"
        " slower fuse, a larger plug, or a gentler start"
    )
    given = {"wire": "its plug", "better": "a larger plug", "fault_source": "the adapter's limit"}
    slow = fuse_for(3.0, 4.0, 0.0, faults=[6.0], **given)
    assert slow.why_not == (
        "a fuse here protects nothing: its plug carries at most 4 A, and 6 A (the adapter's limit) can flow for long,"
        " only 1.5 times a fuse of 4 A, so that it may take up to an hour to blow it. Take a larger plug, for 6 A,"
        " or let less current run, so that a smaller fuse will do"
    )
    never = fuse_for(3.0, 4.0, 0.0, faults=[5.0])
    assert "and 5 A can flow for long, only 1.2 times a fuse of 4 A, so that it may never blow it" in never.why_not
    unneeded = fuse_for(3.0, 7.0, 0.0, faults=[6.0, 2.0], **given)
    assert (unneeded.fault, unneeded.of_use) == (6.0, False)
    assert "no more than 6 A (the adapter's limit) can flow for long, and its plug carries at most 7 A" in (
        unneeded.why_not
    )


def test_what_a_choice_says_beside_its_rating() -> None:
    choice = fuse_for(3.0, 6.0, 0.58, ratings=(5.0, 2.0, 4.0), faults=[30.0, 9.0, 5.0], fault_source="a bench")
    assert (choice.rating, choice.smallest, choice.largest) == (4.0, 4.0, 5.0)
    assert (choice.lowest, choice.highest, choice.melting_i2t) == pytest.approx((4.0, 6.0, 2.0))  # 0.58 / 0.29
    assert (choice.fault, choice.fault_source, choice.of_use, choice.why_not) == (9.0, "a bench", True, "")
    # Where faults have no bound, nothing is said of them; fifteen times less often the pulse may be larger.
    free = fuse_for(3.0, 6.0, 0.58, starts=100)
    assert (free.outcome, free.fault, free.melting_i2t) == (FuseOutcome.FITS, None, pytest.approx(0.58 / 0.48))
