"""The steady panel: its linear solve, and what is read off it."""

from .mutation import mutation

LINEAR, STATE = "panel/linear.py", "panel/state.py"
SOLVE = ("tests/panel/test_solve.py", "tests/panel/test_figures.py")

MUTATIONS = [
    mutation(
        "current towards the front is lost",
        LINEAR,
        "right[-1] += self.feed",
        "right[-1] += 0.0 * self.feed",
        tests=SOLVE,
    ),
    mutation("a pixel has no wire before it", LINEAR, "self.diagonal[1:] += conductance", "pass", tests=SOLVE),
    mutation("a link conducts one way", LINEAR, "[g, g, -g, -g, self", "[g, g, -g, 0.0 * g, self", tests=SOLVE),
    mutation(
        "limit counts from 99 %",
        STATE,
        ">= OVER_SHARE * self.adapter_limit",
        "> 0.999 * self.adapter_limit",
        tests=SOLVE,
    ),
    mutation("hops have a sign", STATE, "np.abs(self.hop_currents).max(", "self.hop_currents.max(", tests=SOLVE),
    mutation("last of equals is named", STATE, "<= TIE)[0])", "<= TIE)[-1])", tests=SOLVE),
    mutation(
        "colour shift counts twice",
        STATE,
        ".sum(axis=1) / 2.0",
        ".sum(axis=1)",
        tests=("inrushlib/panel/state.py", *SOLVE),
    ),
    mutation("a dark pixel has no colour", STATE, ", 1.0), 1.0 / 3.0)", ", 1.0), 0.0)", tests=SOLVE),
    mutation(
        "limiter's heat counts as the lead's",
        STATE,
        "PlaceKind.LEAD: in_lead - in_limiter",
        "PlaceKind.LEAD: in_lead",
        tests=SOLVE,
    ),
    mutation("ties by remainder", STATE, "np.abs(values - target)", "np.abs(values % target)", tests=SOLVE),
    mutation(
        "lowest pixel printed is the highest",
        STATE,
        '"lowest_pixel": self.worst_pixel',
        '"lowest_pixel": self.best_pixel',
        tests=SOLVE,
    ),
    mutation(
        "joints' heat counts as the rail's",
        STATE,
        "in_hops = float((along[hops] * hop_shares).sum())",
        "in_hops = float((0.5 * along[hops] * hop_shares).sum())",
        tests=SOLVE,
    ),
    mutation(
        "imbalance of the front is left out",
        STATE,
        "max(float(np.abs(surplus).max()), float(np.abs(at_front).max()))",
        "float(np.abs(surplus).max())",
        tests=SOLVE,
    ),
    mutation(
        "limiter nearly settled",
        "panel/limiter.py",
        "CLOSE = 1e-10",
        "CLOSE = 1e-3",
        tests=("tests/panel/test_new_parts.py",),
    ),
    mutation(
        "no pixel's capacitor",
        "panel/supply.py",
        "build.wiring.capacitance_per_pixel",
        "1e-9",
        tests=SOLVE,
    ),
    mutation(
        "circles are looked for at the start only",
        "panel/newton.py",
        "kept, keep_next = at, 2 * keep_next",
        "kept, keep_next = at, 0",
        tests=SOLVE,
    ),
    mutation(
        "a limiter that warms by less than a kelvin",
        "panel/limiter.py",
        "if high > 0.0",
        "if high > 1.0",
        tests=("tests/panel/test_new_parts.py",),
    ),
    mutation("steps of the run-down are not counted", "panel/settle.py", "taken + more", "taken", tests=SOLVE),
]
