"""A title that names another current than the adapter's label."""

from __future__ import annotations

import re

from inrushlib.build import Build

# A current in a title as a builder writes it: "5 A", "2.5A".
_AMPERES = re.compile(r"(?<![\w.])(\d+(?:\.\d+)?)(\s?)A\b")


def title_that_fits(build: Build) -> str | None:
    """Return the title with the adapter's own current in it; None where the title fits, or names none.

    Parameters
    ----------
    build : Build
        The build.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "Harbour board, 5 A", "adapter.rated_current": "1 A", "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8})
    >>> title_that_fits(build)
    'Harbour board, 1 A'
    """
    found = list(_AMPERES.finditer(build.title))
    rated = build.adapter.rated_current
    if len(found) != 1 or abs(float(found[0][1]) - rated) < 1e-9:
        return None
    begin, end = found[0].span()
    return f"{build.title[:begin]}{rated:g}{found[0][2]}A{build.title[end:]}"
