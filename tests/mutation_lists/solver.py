"""The checks that hold the default tolerance: at a step's end, and the second look at a crossing."""

from .mutation import mutation

ADVANCE = "model/advance.py"
STEPPER = "model/stepper.py"
TESTS = ("tests/startup/test_default_tolerance.py", "tests/model/test_stepper.py", "tests/test_reference.py")


def rule(name, file, *texts):
    return mutation(name, file, *texts, tests=TESTS)


MUTATIONS = [
    rule("no check at a step's end", ADVANCE,
         "    if error <= 1.0:\n        st.end_error", "    if error < 0.0:\n        st.end_error"),
    rule("the end is checked with the old slopes", STEPPER, "y_new, p, s, m, slopes_1, w, chain, border)",
         "y_new, p, s, m, work[4], w, chain, border)"),
    rule("no second look at a crossing", ADVANCE, "SECOND_LOOK, BEYOND = 0.9", "SECOND_LOOK, BEYOND = 0.0"),
    rule("the regulated current does not count", STEPPER,
         "if p.adapter_trips > 0.0 or p.adapter_peak_time < np.inf:", "if p.adapter_trips < 0.0:"),
    rule("the next step starts with the slopes of the last", STEPPER,
         "    copy(slopes_1, slopes_0)\n", ""),
]  # fmt: skip
