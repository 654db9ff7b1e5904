"""Standard values, ratings, boundaries of maps, brightness."""

from .mutation import mutation

SERIES, RATINGS, LINES = "search/preferred.py", "search/ratings.py", "search/boundary.py"
BRIGHTNESS = "search/brightness.py"
LADDERS = ("inrushlib/search/preferred.py", "tests/search/test_ladders.py")
ROWS = ("inrushlib/search/ratings.py", "tests/search/test_ladders.py")
BOUNDARY = ("tests/search/test_boundary.py",)
CAPS = ("tests/search/test_brightness.py",)

MUTATIONS = [
    mutation("next value nearest", SERIES, "found >= value * (1 - 1e-9)", "found >= value * 0.85", tests=LADDERS),
    mutation("a value of the series is passed", SERIES, "found >= value * (1 - 1e-9)", "found > value", tests=LADDERS),
    mutation("ladder without its end", SERIES, "while found[-1] <= high", "while found[-1] < high", tests=LADDERS),
    mutation("next rating is the nearest", RATINGS, "current * (1 - ROUNDING)", "current * 0.9", tests=ROWS),
    mutation("a rating is passed", RATINGS, "rating >= current * (1 - ROUNDING)", "rating > current", tests=ROWS),
    mutation("peak is kept", RATINGS, "max(limit, factor * a.peak_current)", "a.peak_current", tests=ROWS),
    mutation(
        "larger adapter keeps its foldback",
        RATINGS,
        "min(limit, factor * a.foldback_current)",
        "a.foldback_current",
        tests=ROWS,
    ),
    mutation(
        "larger adapter keeps a given limit",
        RATINGS,
        'if len(values) > 1 or "adapter.limit_current" in build.given:',
        "if len(values) > 1:",
        tests=ROWS,
    ),
    mutation("boundary at its near end", LINES, "0.5 * (low + high)[:, None]", "low[:, None]", tests=BOUNDARY),
    mutation("bisection one round short", LINES, "fineness) - 1e-9)", "fineness) - 1.0)", tests=BOUNDARY),
    mutation("whole axes are bisected", LINES, "[not fixed[side[2]] for", "[True for", tests=BOUNDARY),
    mutation("saddle asked at its corner", LINES, "dtype=float) + 0.5)", "dtype=float))", tests=BOUNDARY),
    mutation(
        "cap one level too high",
        BRIGHTNESS,
        "return cap(good, overloaded(bad))",
        "return cap(bad, overloaded(bad))",
        tests=CAPS,
    ),
    mutation("continuous load at 100 %", BRIGHTNESS, "in (1.0, CONTINUOUS_SHARE)", "in (1.0, 1.0)", tests=CAPS),
    mutation("no switch limit", BRIGHTNESS, '"load-switch":\n        limits', '"none":\n        limits', tests=CAPS),
    mutation("largest feed is the mean", BRIGHTNESS, "feed_currents).max()", "feed_currents).mean()", tests=CAPS),
]
