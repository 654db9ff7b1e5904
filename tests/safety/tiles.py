"""A build of two tiles, and what is found in it."""

from typing import Any

from inrushlib.build import Build, new_build
from inrushlib.panel import solve_panel
from inrushlib.safety.display import safety_findings
from inrushlib.safety.finding import Finding
from inrushlib.safety.hardware import Hardware
from inrushlib.severity import Severity


def tiles(**values: Any) -> Build:
    """A build of two tiles; ``a__b`` gives the key ``a.b``."""
    given = {
        "title": "two tiles",
        "adapter.rated_current": 4.0,
        "lead.gauge": "18 AWG",
        "wiring.sections": 2,
        "wiring.pixels_per_section": 32,
        "wiring.feeds": [0],
        "firmware.first_frame_delay": "5 ms",
    }
    return new_build(given | {key.replace("__", "."): value for key, value in values.items()})


def findings(build: Build, hardware: Hardware | None = None, **more: Any) -> dict[str, Finding]:
    """All findings of a build by what they are of, each with all that a finding has to say, the worst first."""
    found = safety_findings(build, solve_panel(build), hardware=hardware, **more)
    ranks = [each.severity.rank for each in found]
    assert ranks == sorted(ranks, reverse=True)
    for each in found:
        assert each.source
        assert each.sentence.startswith(each.severity.value.upper())
        assert bool(each.remedy) or each.severity is Severity.FINE
    return {each.what: each for each in found}
