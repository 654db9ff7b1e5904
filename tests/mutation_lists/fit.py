"""Errors of a fit, and samples that only bound a curve."""

from .mutation import mutation

SQUARES, BOUNDS = "trace/fit/least_squares.py", "trace/fit/censoring.py"
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
    mutation(
        "error alone with the others", SQUARES, "alone = np.sqrt(scatter) / length", "alone = errors", tests=LEAST
    ),
    mutation("clipped from three in a row", BOUNDS, "IN_A_ROW = 8", "IN_A_ROW = 3", tests=CUT),
    mutation("clipped from 30 in a row", BOUNDS, "IN_A_ROW = 8", "IN_A_ROW = 30", tests=CUT),
    mutation("top rail alone", BOUNDS, "found[at] = side", "found[at] = max(side, 0)", tests=CUT),
    mutation("glitches stay", BOUNDS, "GLITCH = 8.0", "GLITCH = 8e9", tests=CUT),
    mutation("steps of the curve are glitches", BOUNDS, "+ 2.0 * near, np.nan", "+ 0.0 * near, np.nan", tests=CUT),
    mutation("bounds on the wrong side", BOUNDS, "((1, above), (-1, below))", "((1, below), (-1, above))", tests=CUT),
]
