"""What folds out at the end of each page: how it is computed, with its equations and a picture; the glossary.

The equations are those of ``inrushlib/model/NOTES.md``, shortened to what a page is about.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import ipywidgets as w

from widgets.glossary import glossary_html, linked
from widgets.sketches import Curve, Sketch

PHYSICS, WORDS = "wb-physics", "wb-words-of-the-trade"
_BELL = tuple((x / 40, 0.9 * math.exp(-(((x / 40 - 0.6) / 0.18) ** 2) / 2)) for x in range(41))
_BELL_AFTER = tuple((x / 40, 0.85 * math.exp(-(((x / 40 - 0.4) / 0.05) ** 2) / 2)) for x in range(41))


@dataclass(frozen=True)
class Lesson:
    """What a page computes.

    Attributes
    ----------
    words : str
        Sentences, words of the glossary in brackets.
    equations : tuple of str
        One a line, HTML.
    sketch : Sketch
        Its picture.
    """

    words: str
    equations: tuple[str, ...]
    sketch: Sketch


LESSONS: dict[str, Lesson] = {
    "Boot": Lesson(
        "The adapter charges the [bus] through its lead until it gives what pixels and controller draw: the "
        "[operating point]. Lit pixels draw almost the same current down to a low voltage, so beyond the [current "
        "limit] the bus falls far. If it stays below what the [rail] needs to come out of [reset], the program "
        "never runs and the [power-on colour] never goes: the display sticks. If it only dips later, the "
        "controller has a [brown-out]. An adapter with [foldback] or [hiccup] gives even less, one with "
        "[constant-current] holds on; its [soft start] spreads the [inrush], and a [bulk capacitor] lends some "
        "milliseconds. The model cuts each [section] into [lump|lumps] and solves these equations over time.",
        (
            "adapter: i = min((V<sub>set</sub> − v<sub>o</sub>) / R<sub>o</sub>, i<sub>limit</sub>), "
            "C<sub>o</sub> dv<sub>o</sub>/dt = i − i<sub>lead</sub>",
            "lead: L di<sub>lead</sub>/dt = v<sub>o</sub> − v<sub>bus</sub> − R i<sub>lead</sub>",
            "pixel, each colour: i = duty · min((v − V<sub>f</sub>) / R<sub>ch</sub>, I<sub>ch</sub>)",
            "reset ends: v<sub>rail</sub> ≥ V<sub>release</sub> for the hold; needs v<sub>bus</sub> ≥ "
            "V<sub>release</sub> + V<sub>dropout</sub>",
        ),
        Sketch(
            "Adapter voltage over current: flat, then falling at the limit; the pixels' curve crosses it below "
            "the level that the controller needs.",
            "current", "bus voltage",
            (
                Curve(((0, 0.9), (0.6, 0.83), (0.64, 0.7), (0.64, 0)), "adapter", (0.2, 0.93)),
                Curve(((0, 0.2), (0.35, 0.32), (0.64, 0.46), (0.86, 0.62), (0.88, 0.95)), "pixels lit", (0.89, 0.7)),
                Curve(((0, 0.55), (1, 0.55)), "needed to leave reset", (0.02, 0.6), "5 3"),
            ),
        ),
    ),
    "Supply": Lesson(
        "Two things size an adapter: the start, with every pixel in its [power-on colour], and the running "
        "[content]. The smallest rating that starts is found by search over the model, its ratios of [current "
        "limit] to label kept; then comes the next standard rating. Other ways are a [switch] that keeps the "
        "display off until the program runs, or a [reservoir] that carries the controller on. The brightness cap "
        "is the level at which adapter and wires carry the worst picture.",
        (
            "start: i<sub>limit</sub> ≥ n · i<sub>pixel</sub>(v<sub>needed</sub>) + i<sub>controller</sub>",
            "reservoir by hand: C = i · t / ΔV",
            "brightness cap: level = 255 · (i<sub>allowed</sub> − n · i<sub>quiescent</sub>) / "
            "(n · i<sub>colours</sub>)",
        ),
        Sketch(
            "Lead current over time: a high plateau while all pixels are white, a lower one while the picture "
            "runs; the rating must lie above both.",
            "time", "lead current",
            (
                Curve(((0, 0), (0.03, 0.95), (0.06, 0.8), (0.45, 0.8), (0.46, 0.4), (1, 0.4)), "running", (0.7, 0.46)),
                Curve(((0, 0.86), (1, 0.86)), "limit that starts it", (0.55, 0.91), "5 3"),
            ),
        ),
    ),
    "First frame": Lesson(
        "When the program closes the [switch], its [gate] falls slowly, so that the [inrush] stays small; then "
        "the pixels light. A [first frame] that comes before their supply has reached the [minimum supply for data] is "
        "lost. One that comes too late finds the controller in a [brown-out], or the switch too hot. Between the "
        "two lies the window.",
        (
            "gate: C<sub>gate</sub> dv<sub>g</sub>/dt = (v<sub>bus</sub> − v<sub>g</sub>) / R<sub>pull-up</sub> − "
            "v<sub>g</sub> / R<sub>gate</sub>",
            "slope at the display: dv/dt ≈ i<sub>gate</sub> / C<sub>gd</sub>, so i<sub>inrush</sub> ≈ "
            "C<sub>panel</sub> · dv/dt",
            "heat of the switch: P = v<sub>ds</sub> · i; junction: T = T<sub>air</sub> + Σ R<sub>th</sub> P "
            "(1 − e<sup>−t/τ</sup>)",
        ),
        Sketch(
            "Display voltage rising after the switch closes, the controller's rail falling; the window lies "
            "between the supply for data and the brown-out.",
            "time after closing", "voltage",
            (
                Curve(((0, 0), (0.1, 0.02), (0.3, 0.6), (0.42, 0.7), (1, 0.66)), "display", (0.44, 0.74)),
                Curve(((0, 0.9), (0.3, 0.86), (0.55, 0.6), (0.85, 0.35), (1, 0.28)), "rail", (0.62, 0.56)),
                Curve(((0.28, 0), (0.28, 1)), "", (0, 0), "5 3"),
                Curve(((0.85, 0), (0.85, 1)), "", (0, 0), "5 3"),
            ),
            ((0.28, 0.0), (0.85, 0.0), (0.85, 0.1), (0.28, 0.1)),
        ),
    ),
    "Feed and wire": Lesson(
        "With every pixel lit, current flows along the copper of each [section] and the drop adds up towards its "
        "end: it grows with the square of the length. A [feed] in the middle quarters it, one at each end too. "
        "Every pixel is a node here, every [jumper] and feed a resistance. A wire's [ampacity] and its fuse come "
        "from tables; at small [duty] all this shrinks.",
        (
            "one end fed: ΔV = R′ · i′ · ℓ² / 2; both ends or the middle: ΔV / 4",
            "wire: R = 2 ρ ℓ / A, heat: P = R i²",
            "each node: Σ (v<sub>neighbour</sub> − v) / R = i<sub>pixel</sub>(v)",
        ),
        Sketch(
            "Voltage along the chain: fed at one end it falls towards the other; fed in the middle it falls a "
            "quarter as far to both sides.",
            "pixel along the chain", "voltage",
            (
                Curve(tuple((x / 20, 0.95 - 0.8 * (1 - (1 - x / 20) ** 2)) for x in range(21)), "one end",
                      (0.62, 0.27)),
                Curve(tuple((x / 20, 0.95 - 0.2 * (1 - (1 - abs(x / 10 - 1)) ** 2)) for x in range(21)), "middle",
                      (0.72, 0.9), "6 3"),
            ),
        ),
    ),
    "How sure": Lesson(
        "No value is known exactly. Each has a [range]: stated, measured, or typical of its class. What turns the "
        "answer is found one value at a time: the nearest value at which the [margin] is zero. The [odds] let "
        "all values vary together: the share of runs that boot, with the interval that the number of runs allows. "
        "What matters most is what moves the margin most; measure that first.",
        (
            "odds: p = booting runs / all runs; interval at 95 % after Wilson",
            "share of a value: S = Var(E[margin | value]) / Var(margin)",
        ),
        Sketch(
            "How often each margin occurs over the runs: a hill, of which the part below zero fails.",
            "margin", "runs",
            (Curve(_BELL), Curve(((0.35, 0), (0.35, 1)), "no margin", (0.12, 0.9), "5 3")),
            (*(point for point in _BELL if point[0] <= 0.35), (0.35, 0.0)),
        ),
    ),
    "Scope": Lesson(
        "A [capture] is lined up with the model at its edges, then the difference is measured minus modelled. A "
        "fit moves the chosen values until the [misfit] is smallest, and tells how far each may lie off: where "
        "the misfit rises by a set amount. What the capture does not determine is said and left as it was. "
        "Probes, time base and the [output resistance] of what is measured are part of it.",
        (
            "misfit: χ² = Σ ((measured − modelled) / σ)²",
            "interval of a value: where the least χ² of all others rises by 3.84 (95 %)",
        ),
        Sketch(
            "A measured curve over the modelled one, the difference between them small and noisy.",
            "time", "voltage",
            (
                Curve(((0, 0), (0.1, 0.75), (0.5, 0.7), (0.52, 0.9), (1, 0.88)), "model", (0.7, 0.94)),
                Curve(((0, 0.02), (0.11, 0.7), (0.3, 0.74), (0.5, 0.68), (0.54, 0.86), (0.8, 0.9), (1, 0.86)),
                      "measured", (0.7, 0.76), "2 3"),
            ),
        ),
    ),
    "Bench": Lesson(
        "A reading is worth what it settles: how much of the doubt in the outcome hangs on the values that it tells, "
        "less what is left because no instrument is exact. The card that settles most comes first. What is read goes "
        "through a formula to values of the build, and so do the limits of the instruments; the [range] that is left "
        "takes the place of the one that was assumed, and the [odds] are run anew. A reading far beyond its range "
        "means another part, or a slip: read it again.",
        (
            "channel: I<sub>ch</sub> = (i<sub>white</sub> − i<sub>dark</sub>) / (3 n); adapter: R<sub>o</sub> = "
            "(v<sub>light</sub> − v<sub>heavy</sub>) / (i<sub>heavy</sub> − i<sub>light</sub>)",
            "what a value takes over from its readings: u² = Σ (∂value/∂reading · u<sub>reading</sub>)²",
            "what a card settles: Σ S<sub>value</sub> · (1 − u²<sub>after</sub> / u²<sub>before</sub>)",
        ),
        Sketch(
            "How likely each value is: wide and low before a reading, narrow and high after it.",
            "value", "how likely",
            (
                Curve(((0.08, 0), (0.08, 0.22), (0.92, 0.22), (0.92, 0)), "range before", (0.7, 0.27), "5 3"),
                Curve(_BELL_AFTER, "after the reading", (0.5, 0.86)),
            ),
        ),
    ),
    "Start": Lesson(
        "Every page works on one build: the adapter, its lead, the [bus], the controller, the pixels, in the order in "
        "which the current flows. Change it on one page and the others follow. Each page answers one question about "
        "it and says by which [margin]. What you have not measured is typical of the trade, and marked so; "
        "measuring narrows its [range] and steadies the [odds].",
        (
            "will it boot: v<sub>bus</sub> where adapter and pixels meet, against what the controller needs",
            "how close: margin = value − need, in volts, seconds or amperes",
            "how sure: odds = booting runs / all runs",
        ),
        Sketch(
            "Bus voltage over time: it rises, stays below the level that the controller needs on a small adapter, "
            "and above it on a larger one.",
            "time", "bus voltage",
            (
                Curve(((0, 0), (0.12, 0.5), (0.2, 0.42), (1, 0.42)), "sticks", (0.8, 0.34)),
                Curve(((0, 0), (0.1, 0.7), (0.4, 0.7), (0.43, 0.86), (1, 0.86)), "boots", (0.8, 0.92)),
                Curve(((0, 0.58), (1, 0.58)), "needed to leave reset", (0.55, 0.63), "5 3"),
            ),
        ),
    ),
}  # fmt: skip


def help_box(place: str) -> w.HTML:
    """Return what folds out at the end of a page.

    Parameters
    ----------
    place : str
        Name of the page in the rail.
    """
    box = w.HTML(help_html(place))
    box.add_class("wb-lesson")
    return box


def help_html(place: str) -> str:
    """Return the lesson and the glossary of a page as HTML.

    Parameters
    ----------
    place : str
        Name of the page in the rail.
    """
    words = f'<details id="{WORDS}"><summary>Glossary</summary>{glossary_html()}</details>'
    lesson = LESSONS[place]
    lines = "".join(f"<li>{line}</li>" for line in lesson.equations)
    return (
        f'<details id="{PHYSICS}"><summary>How this is computed</summary><div class="wb-taught"><div>'
        f'<p>{linked(lesson.words)}</p><ul class="wb-equations">{lines}</ul></div>{lesson.sketch.svg()}</div></details>'
        f"{words}"
    )
