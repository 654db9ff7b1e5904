"""Start-up of chained RGB pixel displays: will this adapter boot it, and what to change if not.

All that a program of one's own needs. Each name is imported when first asked for, so that importing is quick.

``load_build``, ``parse_build``, ``new_build``, ``save_build``, ``Build``, ``build_keys``
    a build from a file, a text or values, changed (``Build.with_values``), compared (``Build.differences``), saved
``simulate``, ``Startup``, ``Verdict``
    the start-up run and its result; ``screen`` and ``screen_many`` give verdict and end values alone, for many builds
``solve_panel``, ``PanelState``
    the steady panel, every pixel a node
``recommend_remedies``, ``compare_remedies``
    what to change: over all levers at once and by odds, or one at a time
``smallest_adapter``, ``smallest_reservoir``, ``delay_window``, ``gate_map``, ``switch_stress``,
``brightness_caps``, ``verdict_map`` (over each ``Axis``), ``compare_feeds``, ``place_feeds``, ``wire_plan``,
``wire_list``
    the sizing questions
``nearest_edges``
    which single value, moved how far, turns a verdict; how close each rule came is in ``Startup.slack``
``spread``
    how sure a verdict is: the odds over the ranges of all values
``safety_findings``, ``Severity``
    what can get hot, blow or burn
``read_trace``, ``Trace``, ``measure``, ``find_shift``, ``compare``, ``fit_build``
    a capture: read, taken as the model's quantities, lined up, compared, fitted
``read_bench``, ``fit_bench``
    a pixel's law from bench readings
``draw_startup``, ``draw_voltage``, ``draw_map``, ``draw_gate_map``, ``draw_remedies``, ``draw_comparison``
    pictures, on the figure or axes that they are given
``InrushError``, ``BuildError``, ``TraceError``, ``SolverError``
    what can go wrong

The packages hold the rest, result classes among it: :mod:`inrushlib.startup`, :mod:`inrushlib.panel`,
:mod:`inrushlib.search`, :mod:`inrushlib.odds`, :mod:`inrushlib.safety`, :mod:`inrushlib.remedies`,
:mod:`inrushlib.margins`, :mod:`inrushlib.trace`, :mod:`inrushlib.plots`, :mod:`inrushlib.parts`,
:mod:`inrushlib.copper`.
"""

# Nothing is imported here that takes time, and typing does. A type checker sees the imports and not the loader: were it
# to see a module's __getattr__, every misspelt name would pass.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from inrushlib import (
        build,
        copper,
        errors,
        margins,
        odds,
        panel,
        parts,
        plots,
        remedies,
        safety,
        search,
        startup,
        trace,
    )
    from inrushlib.build import Build, build_keys, load_build, new_build, parse_build, save_build
    from inrushlib.errors import BuildError, InrushError, SolverError, TraceError
    from inrushlib.margins import nearest_edges
    from inrushlib.odds.spread import spread
    from inrushlib.panel import PanelState, solve_panel
    from inrushlib.plots import draw_comparison, draw_gate_map, draw_map, draw_remedies, draw_startup, draw_voltage
    from inrushlib.remedies import compare_remedies, recommend_remedies
    from inrushlib.safety import Severity, safety_findings

    # A function that is named as its module has to come from that module: else mypy takes the module for it.
    from inrushlib.safety.switch_stress import switch_stress
    from inrushlib.search import (
        Axis,
        brightness_caps,
        compare_feeds,
        delay_window,
        place_feeds,
        smallest_adapter,
        smallest_reservoir,
        verdict_map,
        wire_list,
        wire_plan,
    )
    from inrushlib.search.gate_map import gate_map
    from inrushlib.startup import Startup, Verdict, screen, screen_many
    from inrushlib.startup.simulate import simulate
    from inrushlib.trace import Trace, find_shift, fit_bench, fit_build, measure, read_bench, read_trace
    from inrushlib.trace.compare import compare

__version__ = "0.1.0"

__all__ = [
    "Axis",
    "Build",
    "BuildError",
    "InrushError",
    "PanelState",
    "Severity",
    "SolverError",
    "Startup",
    "Trace",
    "TraceError",
    "Verdict",
    "brightness_caps",
    "build",
    "build_keys",
    "compare",
    "compare_feeds",
    "compare_remedies",
    "copper",
    "delay_window",
    "draw_comparison",
    "draw_gate_map",
    "draw_map",
    "draw_remedies",
    "draw_startup",
    "draw_voltage",
    "errors",
    "find_shift",
    "fit_bench",
    "fit_build",
    "gate_map",
    "load_build",
    "margins",
    "measure",
    "nearest_edges",
    "new_build",
    "odds",
    "panel",
    "parse_build",
    "parts",
    "place_feeds",
    "plots",
    "read_bench",
    "read_trace",
    "recommend_remedies",
    "remedies",
    "safety",
    "safety_findings",
    "save_build",
    "screen",
    "screen_many",
    "search",
    "simulate",
    "smallest_adapter",
    "smallest_reservoir",
    "solve_panel",
    "spread",
    "startup",
    "switch_stress",
    "trace",
    "verdict_map",
    "wire_list",
    "wire_plan",
]

_NAMES = {
    "build": "Build build_keys load_build new_build parse_build save_build",
    "copper": "",
    "errors": "BuildError InrushError SolverError TraceError",
    "margins": "nearest_edges",
    "odds": "spread",
    "panel": "PanelState solve_panel",
    "parts": "",
    "plots": "draw_comparison draw_gate_map draw_map draw_remedies draw_startup draw_voltage",
    "remedies": "compare_remedies recommend_remedies",
    "safety": "Severity safety_findings switch_stress",
    "search": "Axis brightness_caps compare_feeds delay_window gate_map place_feeds smallest_adapter "
    "smallest_reservoir verdict_map wire_list wire_plan",
    "startup": "Startup Verdict screen screen_many simulate",
    "trace": "Trace compare find_shift fit_bench fit_build measure read_bench read_trace",
}
_HOME = {name: home for home, names in _NAMES.items() for name in names.split()}

if not TYPE_CHECKING:

    def __getattr__(name):
        import importlib

        if name in _NAMES:
            return importlib.import_module(f"{__name__}.{name}")
        if name in _HOME:
            return getattr(importlib.import_module(f"{__name__}.{_HOME[name]}"), name)
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

    def __dir__():
        return sorted({*globals(), *__all__})
