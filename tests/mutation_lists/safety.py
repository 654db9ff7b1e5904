"""Rules of fuses and of the classes of supplies."""

from .mutation import mutation

FUSE, CLASSES = "safety/fuse.py", "safety/limited_power.py"
FUSES = ("tests/published/test_fuse.py",)
EDGES, FAULTS, LINE = ("tests/safety/test_edges.py",), ("tests/safety/test_fault_current.py",), "safety/data_line.py"
COPPER, FAULT, SWITCH = "safety/conductors.py", "safety/fault_current.py", "safety/switch_findings.py"
SUPPLY, PULSE, FINDING = "safety/supply.py", "safety/pulse.py", "safety/finding.py"
SENTENCES = ("tests/safety/test_finding.py",)
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
    mutation("a rating that is no step of R10", FUSE, "3.15, 4.0", "3.35, 4.0", tests=FUSES),
    mutation("a blade fuse of 21 A", FUSE, "15.0, 20.0", "15.0, 21.0", tests=FUSES),
    mutation("a pulse from the level on", PULSE, "np.abs(current) > level", "np.abs(current) >= level", tests=EDGES),
    mutation("watched for an hour", PULSE, "LONGEST_WATCH = 2.0", "LONGEST_WATCH = 3600.0", tests=EDGES),
    mutation("a pulse without advice", COPPER, '"use a thicker wire or a gentler start"', '""', tests=EDGES),
    mutation("insulation up to its limit", COPPER, "COOLER = 10.0", "COOLER = 0.0", tests=EDGES),
    mutation("data high from 0.6 of the supply", LINE, "HIGH_SHARE = 0.7", "HIGH_SHARE = 0.6", tests=EDGES),
    mutation("a volt below its output is no sag", SUPPLY, "SAG = 0.02", "SAG = 1.02", tests=EDGES),
    mutation("a load that is just enough is too little", SUPPLY, "FINE if dark >=", "FINE if dark >", tests=EDGES),
    mutation("a switch that leaks a tenth is off", SWITCH, "LEAK_SHARE = 0.01", "LEAK_SHARE = 0.1", tests=EDGES),
    mutation("off at its threshold", SWITCH, "OFF_SHARE = 0.5", "OFF_SHARE = 1.0", tests=EDGES),
    mutation("hiccup by the mean", FAULT, "math.sqrt(on / (on + ", "(on / (on + ", tests=FAULTS),
    mutation("a feed without its own copper", FAULT, "place != LEAD", "place == LEAD", tests=FAULTS),
    mutation(
        "a limit without a word", FINDING, 'if self.minimum else "limit"', 'if self.minimum else ""', tests=SENTENCES
    ),
]
