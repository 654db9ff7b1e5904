"""Few rounds and small sizes where ``INRUSH_BENCH_QUICK`` is set: the suite's check that the benchmarks still run."""

import os

QUICK = bool(os.environ.get("INRUSH_BENCH_QUICK"))


def rounds(usual: int) -> int:
    """How often to repeat."""
    return 1 if QUICK else usual
