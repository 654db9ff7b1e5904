"""How far a key can be from its value: the ends of its range around it.

``reach``          of one key
``typical_reach``  of many, by key
"""

from __future__ import annotations

from collections.abc import Iterable

from inrushlib.build import Build, build_keys
from inrushlib.odds import KeyRange


def reach(build: Build, known: KeyRange) -> tuple[float, float]:
    """Return the ends of a key's range; of a list those of its largest entry, for its entries move in proportion.

    Parameters
    ----------
    build : Build
        Any build.
    known : KeyRange
        The range of one of its keys.

    Returns
    -------
    (float, float)
        Low and high [unit of the key], the present value between them.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> from inrushlib.odds import key_ranges
    >>> build = new_build({"title": "t", "adapter.rated_current": 2, "wiring.sections": 1,
    ...                    "wiring.pixels_per_section": 8, "bus.ceramic": 1e-5})
    >>> low, high = next(reach(build, each) for each in key_ranges(build) if each.key == "bus.ceramic")
    >>> f"{low:.1e} {high:.1e}"
    '8.0e-06 1.2e-05'
    """
    value, info = build.get(known.key), build_keys()[known.key]
    own = float(max(value)) if isinstance(value, tuple) else float(value)
    low, high = known.range.around(own)
    return min(max(low, info.low), own), max(min(high, info.high), own)


def typical_reach(build: Build, ranges: Iterable[KeyRange]) -> dict[str, tuple[float, float]]:
    """Return the ends of many keys' ranges, by dotted key [unit of the key].

    Parameters
    ----------
    build : Build
        Any build.
    ranges : iterable of KeyRange
        Of its keys.
    """
    return {each.key: reach(build, each) for each in ranges}
