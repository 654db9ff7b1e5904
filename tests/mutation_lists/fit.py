"""Errors of a fit, and samples that only bound a curve."""

from .mutation import mutation

SQUARES, BOUNDS = "trace/fit/least_squares.py", "trace/fit/censoring.py"
ALARM, SEEN, SAID = "trace/fit/alarm.py", "trace/fit/observation.py", "trace/fit/status.py"
REPORT, PROBLEM, PROFILE, ROW = (f"trace/fit/{name}.py" for name in ("report", "problem", "profile", "neighbours"))
ALARMS, INSTRUMENT = ("tests/trace/test_alarm.py",), ("tests/trace/test_instrument.py",)
WORDS, TOLD = ("tests/trace/test_fit_words.py",), ("tests/trace/test_report.py",)
MISFIT, WALK = ("tests/trace/test_problem.py",), ("tests/trace/test_profile.py",)
LEAST = ("tests/trace/test_least_squares.py",)
CUT = ("tests/trace/test_censoring.py",)

MUTATIONS = [
    mutation("errors by the count of residuals", SQUARES, "max(len(r) - len(fit.x), 1)", "max(len(r), 1)", tests=LEAST),
    mutation(
        "known noise is measured",
        SQUARES,
        "scatter = 1.0 if noise_known else",
        "scatter = 1.0 if False else",
        tests=LEAST,
    ),
    mutation("autocorrelations count once", SQUARES, "1.0 + 2.0 * float(rho", "1.0 + 1.0 * float(rho", tests=LEAST),
    mutation(
        "every direction is told",
        SQUARES,
        "told = singular > NOTHING * singular[0]",
        "told = singular >= 0.0",
        tests=LEAST,
    ),
    mutation("bounds are open", SQUARES, "bounds=(lower, upper)", "bounds=(-np.inf, np.inf)", tests=LEAST),
    mutation(
        "variance for a deviation",
        SQUARES,
        "deviation = np.sqrt(np.diag(covariance))",
        "deviation = np.diag(covariance)",
        tests=LEAST,
    ),
    mutation("every loss is linear", SQUARES, "loss=loss,", 'loss="linear",', tests=LEAST),
    mutation("clipped from three in a row", BOUNDS, "IN_A_ROW = 8", "IN_A_ROW = 3", tests=CUT),
    mutation("clipped from 30 in a row", BOUNDS, "IN_A_ROW = 8", "IN_A_ROW = 30", tests=CUT),
    mutation("top rail alone", BOUNDS, "found[at] = side", "found[at] = max(side, 0)", tests=CUT),
    mutation("glitches stay", BOUNDS, "GLITCH = 8.0", "GLITCH = 8e9", tests=CUT),
    mutation("steps of the curve are glitches", BOUNDS, "+ 2.0 * near, np.nan", "+ 0.0 * near, np.nan", tests=CUT),
    mutation(
        "bounds on the wrong side",
        BOUNDS,
        "((1, above, below), (-1, below, above))",
        "((1, below, above), (-1, above, below))",
        tests=CUT,
    ),
    mutation(
        "averages beside a cut are believed",
        BOUNDS,
        "(share > 0.0) | (_neighbours(side * means) > level)",
        "share > 0.999",
        tests=CUT,
    ),
    mutation(
        "what is cut off has its noise",
        BOUNDS,
        "in self._bare.curves.items():",
        "in self.measured.curves.items():",
        tests=CUT,
    ),
    mutation("a hum of 61 Hz", ALARM, "(50.0, 60.0,", "(50.0, 61.0,", tests=ALARMS),
    mutation("an alarm from twice the noise", ALARM, "OFF = 1.5", "OFF = 2.0", tests=ALARMS),
    mutation("twenty times is not far", ALARM, "np.log(10.0)", "np.log(20.0)", tests=ALARMS),
    mutation("no difference is a drift", ALARM, "(all_of_it - float", "1.0 - (float", tests=ALARMS),
    mutation("zero of any size", SEEN, "zero: float = 0.01", "zero: float = 1.01", tests=INSTRUMENT),
    mutation(
        "what is sampled elsewhere is taken",
        SEEN,
        "float(times[-1]) + 1e-3)",
        "float(times[0]))",
        tests=INSTRUMENT,
    ),
    mutation(
        "a disturbance has no slope",
        SEEN,
        "slopes[:, i, at : at + columns.shape[1]] = columns",
        "pass",
        tests=INSTRUMENT,
    ),
    mutation(
        "differences in a row begin at one",
        ROW,
        "np.append(0.0, np.cumsum",
        "np.append(-1.0, np.cumsum",
        tests=INSTRUMENT,
    ),
    mutation("an error is half of it", SAID, "/ (2 * 1.96)", "/ (4 * 1.96)", tests=WORDS),
    mutation("what stays does not say so", SAID, "self.value == self.start", "False", tests=WORDS),
    mutation("low ends stay", REPORT, "ends[:, 0], ends[:, 1] = np", "_, ends[:, 1] = np", tests=TOLD),
    mutation(
        "one bettered fit is not left", REPORT, "- LOWER and not to_the_end", "- LOWER and to_the_end", tests=TOLD
    ),
    mutation(
        "what is open does not count",
        REPORT,
        "if not ends[i, 1] - ends[i, 0] <",
        "if not ends[i, 0] - ends[i, 0] <",
        tests=TOLD,
    ),
    mutation("runs end at the capture's end", PROBLEM, "LONGER = 0.1", "LONGER = 0.0", tests=MISFIT),
    mutation("values without a bound", PROBLEM, "REACH = 30.0", "REACH = 3e3", tests=MISFIT),
    mutation(
        "a walk does not see past a crossing",
        PROFILE,
        "BEYOND, BEYOND_LEAST = 3.0",
        "BEYOND, BEYOND_LEAST = 1.0",
        tests=WALK,
    ),
]
