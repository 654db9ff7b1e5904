"""Standard values, ratings, boundaries of maps, brightness, adapters, feeds and wires, and what is told of each."""

from .mutation import mutation

SERIES, RATINGS, LINES = "search/preferred.py", "search/ratings.py", "search/boundary.py"
BRIGHTNESS = "search/brightness.py"
LADDERS = ("inrushlib/search/preferred.py", "tests/search/test_ladders.py")
ROWS = ("inrushlib/search/ratings.py", "tests/search/test_ladders.py")
BOUNDARY = ("tests/search/test_boundary.py",)
SIZE, ADAPTER = "search/adapter_size.py", ("tests/search/test_adapter.py",)
COUNTS, RERUNS = ("tests/search/test_starts_run.py",), ("tests/search/test_reruns.py",)
FEEDS = ("tests/search/test_feeds.py",)
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
    mutation(
        "saddle's corner with a wrong side",
        LINES,
        "[where[sides[i - 1]], corner",
        "[where[sides[i >> 1]], corner",
        tests=BOUNDARY,
    ),
    mutation(
        "picture's current without a picture",
        SIZE,
        "running and running.current",
        "running or running.current",
        tests=ADAPTER,
    ),
    mutation("the largest rating is the second", SIZE, "{RATINGS[-1]:g} A", "{RATINGS[1]:g} A", tests=ADAPTER),
    mutation("starts of bisection are not counted", "search/window.py", "runs += 1", "runs += 0", tests=COUNTS),
    mutation("first look is not counted", "search/quiet.py", "runs += 1", "runs += 0", tests=COUNTS),
    mutation(
        "first scan is not counted", "search/adapter.py", "runs += islands.runs", "runs = islands.runs", tests=COUNTS
    ),
    mutation(
        "coarse points around are not looked at",
        "search/map.py",
        "for r in (_coarse_at(rows, ny",
        "for r in () and (_coarse_at(rows, ny",
        tests=RERUNS,
    ),
    mutation(
        "coarse point too far back",
        "search/map.py",
        'for c in (_coarse_at(columns, nx, "right") - 1',
        'for c in (_coarse_at(columns, nx, "right") - 2',
        tests=RERUNS,
    ),
    mutation(
        "thinnest gauge told as the thickest",
        "search/wires.py",
        "what {gauges[-1]} AWG",
        "what {gauges[1]} AWG",
        tests=FEEDS,
    ),
    mutation(
        "a way that boots only later comes first", "search/feeds.py", "(each[0], -each[1]", "(0, -each[1]", tests=FEEDS
    ),
    mutation(
        "feeds may drop ten times as much",
        "search/wire_needs.py",
        "highest_feed_drop: float = 0.1,",
        "highest_feed_drop: float = 1.0,",
        tests=("tests/search/test_wire_list.py",),
    ),
    mutation("table counts from dark only", BRIGHTNESS, "*range(0, FULL, TABLE_STEP)", "0", tests=CAPS),
    mutation(
        "delays are scanned in large steps",
        "search/window.py",
        "math.log(factor)) + 1)",
        "math.log(factor)))",
        tests=("tests/search/test_window.py",),
    ),
]
