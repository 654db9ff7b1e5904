"""A small share of the fuzzing, the same files in every run; the script beside runs the rest."""

from .fuzz_reader import fuzz


def test_mutated_captures_give_a_trace_or_a_trace_error() -> None:
    tally = fuzz(1500, seed=11)
    assert tally.broken == []
    assert tally.outcomes["trace"] > 200
    assert tally.outcomes["TraceError"] > 200
