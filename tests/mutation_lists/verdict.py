"""The verdict, and the figures that go with it."""

from .mutation import mutation

JUDGE = "model/judge.py"
FIRMWARE = "model/firmware.py"
LIT = "    if in_run and not shown:\n        return DISPLAY_STAYS_LIT\n"
RESETS = "    if m[at.BROWN_OUTS] > 0.0:\n        return KEEPS_RESETTING\n"
PEAK = "return max(known, cr.largest(y[j], y_new[j], dense[0, j], dense[1, j], until))"
SPOTLESS = "if m[at.BROWN_OUTS] == 0.0 and m[at.TRIP_COUNT] == 0.0:"
TRIPPED = "(not in_run or not on or m[at.RELAPSE] == at.RELAPSE_TRIP)"


def verdict(name, *texts, file=JUDGE):
    return mutation(name, file, *texts, first="verdict")


MUTATIONS = [
    verdict("done with the adapter off", "if in_run and shown and on and", "if in_run and shown and"),
    verdict("done without run", "if in_run and shown and on and", "if shown and on and"),
    verdict("done with sections unwritten", "if in_run and shown and on and", "if in_run and on and"),
    verdict("done in spite of a relapse", " and m[at.RELAPSE] == at.NO_RELAPSE:", ":"),
    verdict("boots in spite of a trip on the way", SPOTLESS, "if m[at.BROWN_OUTS] == 0.0:"),
    verdict("boots in spite of a brown-out on the way", SPOTLESS, "if m[at.TRIP_COUNT] == 0.0:"),
    verdict("trips: out of run does not count", TRIPPED, TRIPPED.replace("not in_run or ", "")),
    verdict("trips: being off does not count", TRIPPED, TRIPPED.replace("not on or ", "")),
    verdict("trips: a relapse does not count", TRIPPED, TRIPPED.replace(" or m[at.RELAPSE] == at.RELAPSE_TRIP", "")),
    verdict("trips: any relapse counts", "m[at.RELAPSE] == at.RELAPSE_TRIP", "m[at.RELAPSE] != at.NO_RELAPSE"),
    verdict("trips: without a trip", "if m[at.TRIP_COUNT] > 0.0 and", "if"),
    verdict("lit before resetting", RESETS, "", LIT, LIT + RESETS),
    verdict("lit though not in run", "if in_run and not shown:", "if not shown:"),
    verdict(
        "the last relapse decides",
        " and m[at.RELAPSE] == at.NO_RELAPSE:\n        m[at.RELAPSE] = kind",
        ":\n        m[at.RELAPSE] = kind",
        file=FIRMWARE,
    ),
    verdict("a relapse before ready", "if m[at.READY_SEEN] > 0.0 and", "if", file=FIRMWARE),
    verdict("a brown-out is no relapse", "    relapse(at.RELAPSE_BROWN_OUT, m)\n", "", file=FIRMWARE),
    verdict(
        "entering run with all showing is not ready",
        "    if all_shown(q):\n        m[at.READY_SEEN] = 1.0\n    set_load",
        "    set_load",
        file=FIRMWARE,
    ),
    verdict(
        "the end of a frame is not ready",
        "        m[at.READY_SEEN] = 1.0\n        m[at.SHOWN_AT]",
        "        m[at.SHOWN_AT]",
        file=FIRMWARE,
    ),
    verdict(
        "running_at of the last run",
        "m[at.RUNNING_AT] = min(m[at.RUNNING_AT], t)",
        "m[at.RUNNING_AT] = t",
        file=FIRMWARE,
    ),
    verdict(
        "ready_at of the last frame", "m[at.SHOWN_AT] = min(m[at.SHOWN_AT], t)", "m[at.SHOWN_AT] = t", file=FIRMWARE
    ),
    verdict("ready_at outlives forgetting", "    m[at.SHOWN_AT] = inf\n", "", file=FIRMWARE),
    verdict(
        "ready_at for every verdict",
        "ready_at=end.shown_at if verdict.starts else None,\n        switchings",
        "ready_at=end.shown_at,\n        switchings",
        file="startup/simulate.py",
    ),
    verdict("peak current at the ends of steps only", PEAK, "return max(known, y[j])", file="model/advance.py"),
]
