"""How sections are cut into lumps, and what a section makes of what its lumps do."""

from .mutation import mutation

LUMPS = "startup/lumps.py"
SWITCHINGS = "startup/switchings.py"
TESTS = ("tests/startup/test_lumps.py",)
OWN = "    return [*_equal(before, -(-count * before // n)), Fraction(1), *_equal(behind, -(-count * behind // n))]\n"


def rule(name, file, *texts, tests=TESTS):
    return mutation(name, file, *texts, tests=tests)


MUTATIONS = [
    rule("half the drop along a lump", LUMPS, "LARGEST_DROP = 10e-3", "LARGEST_DROP = 5e-3"),
    rule("lumps by the whole lump's drop", LUMPS, "current / (8 * count**2)", "current / (2 * count**2)"),
    rule("even numbers of lumps", LUMPS, "        count += 2\n", "        count += 1\n"),
    rule("no bound on all lumps", LUMPS, "min(MOST_LUMPS, MOST_IN_ALL // sections, pixels)", "min(MOST_LUMPS, pixels)"),
    rule("content counts though it is never sent", LUMPS, "if build.firmware.content_delay is not None:", "if True:"),
    rule("the power-on colour alone cuts", LUMPS, "[build.pixel.power_on, build.firmware.first_frame]",
         "[build.pixel.power_on]"),
    rule("a feed has no lump of its own", LUMPS, OWN, "    return [Fraction(n, count)] * count\n"),
    rule("lumps beside a feed rounded down", LUMPS, OWN,
         OWN.replace("-(-count * before // n)", "max(1, count * before // n)")),
    rule("a centre on a boundary in the earlier lump", LUMPS, "if centre < end:", "if centre <= end:"),
    rule("sections read at their first lump", LUMPS, "_holding(sizes, n // 2)", "_holding(sizes, 0)"),
    rule("lumps move with the values", LUMPS,
         "    if build.held_lumps is not None:\n        return build", "    if False:\n        return build"),
    rule("the first lump speaks for its section", SWITCHINGS,
         "if len(having) < self.size[section] or (complete", "if len(having) > 1 or (complete"),
    rule("the first section shown is enough", "model/firmware.py",
         "    for k in range(q.shape[0]):\n        if q[k, at.SHOWS] == at.SHOWS_POWER_ON:\n",
         "    for k in range(1):\n        if q[k, at.SHOWS] == at.SHOWS_POWER_ON:\n",
         tests=("tests/startup/test_rules_sections.py", "tests/startup/test_lumps.py")),
]  # fmt: skip
