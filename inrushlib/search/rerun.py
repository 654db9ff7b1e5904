"""A recommended change is started again: both results, and whether the change is for the worse.

``rerun``   the start of a changed build beside that of the build as it is
``Rerun``   both
"""

from __future__ import annotations

from dataclasses import dataclass

from inrushlib.build import Build
from inrushlib.startup import Headline, simulate


@dataclass(frozen=True)
class Rerun:
    """How a build starts before and after a change.

    Attributes
    ----------
    before, after : Headline
        As it is, and with the change.
    """

    before: Headline
    after: Headline

    @property
    def worsens(self) -> bool:
        """Whether the change is for the worse; it is not recommended then."""
        return self.after.worse_than(self.before)

    @property
    def words(self) -> str:
        """Both results in a few words."""
        return f"as it is: {self.before.words}; with it: {self.after.words}"


def rerun(before: Headline, changed: Build) -> Rerun:
    """Start a changed build.

    Parameters
    ----------
    before : Headline
        Of the build as it is.
    changed : Build
        With the change.

    Returns
    -------
    Rerun
        Both results.

    Raises
    ------
    SolverError
        Where the start hits a bound.

    Examples
    --------
    >>> from inrushlib.build import new_build
    >>> build = new_build({"title": "row", "adapter.rated_current": 1, "wiring.sections": 6,
    ...                    "wiring.pixels_per_section": 64})
    >>> rerun(simulate(build).headline, build.with_values({"adapter.rated_current": 4})).words
    'as it is: stuck; with it: boots'
    """
    return Rerun(before, simulate(changed).headline)
