"""Rules of fuses and of the classes of supplies."""

from .mutation import mutation

FUSE, CLASSES = "safety/fuse.py", "safety/limited_power.py"
FUSES = ("tests/published/test_fuse.py",)
ADAPTER = ("tests/safety/test_limited_power.py", "tests/safety/test_supplies.py::test_adapter_class")

MUTATIONS = [
    mutation("fuse at 80 % of its rating", FUSE, "HIGHEST_LOAD_SHARE = 0.75", "HIGHEST_LOAD_SHARE = 0.8", tests=FUSES),
    mutation("fuse opens at 1.8 times", FUSE, "OPENS = 2.0", "OPENS = 1.8", tests=FUSES),
    mutation("fuse opens slowly from 1.5 times", FUSE, "OPENS_SLOWLY = 1.35", "OPENS_SLOWLY = 1.5", tests=FUSES),
    mutation(
        "what a wire just carries harms it", FUSE, "if fault > wire_limit]", "if fault >= wire_limit]", tests=FUSES
    ),
    mutation(
        "largest harmful current blows the fuse", FUSE, "fault = min(harmful)", "fault = max(harmful)", tests=FUSES
    ),
    mutation("fuse needs more than its pulse", FUSE, "0.0) >= needed]", "0.0) > needed]", tests=FUSES),
    mutation(
        "fuse below what the wire carries", FUSE, "<= rating <= wire_limit]", "<= rating < wire_limit]", tests=FUSES
    ),
    mutation("largest fuse that survives", FUSE, "smallest = survive[0]", "smallest = survive[-1]", tests=FUSES),
    mutation("ladder ends at its first", FUSE, "if lowest > max(ratings)", "if lowest > min(ratings)", tests=FUSES),
    mutation(
        "fuse where nothing is harmful", FUSE, "is not None and not harmful", "is None and not harmful", tests=FUSES
    ),
    mutation("supply class up to 10 A", CLASSES, "LARGEST_CURRENT = 8.0", "LARGEST_CURRENT = 10.0", tests=ADAPTER),
    mutation("supply class up to 120 VA", CLASSES, "LARGEST_POWER = 100.0", "LARGEST_POWER = 120.0", tests=ADAPTER),
    mutation("older class six times", CLASSES, "_FACTOR = 5.0", "_FACTOR = 6.0", tests=ADAPTER),
    mutation(
        "supply class without the peak",
        CLASSES,
        "max(adapter.limit_current, adapter.peak_current or 0.0)",
        "adapter.limit_current",
        tests=ADAPTER,
    ),
]
