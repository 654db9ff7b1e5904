"""The command ``inrush``: one file a subcommand, :mod:`inrushlib.cli.commands` puts them together."""

from __future__ import annotations

import sys

# Nothing is imported here that takes time: until main is reached, a Ctrl-C ends in a traceback.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status [1], as :func:`inrushlib.cli.entry.run_command` does.

    Parameters
    ----------
    arguments : sequence of str or None
        Words after the command's name; None for those of the process.

    Examples
    --------
    >>> main(["keys", "lead.gauge"])
    [lead]
      gauge: optional (default: 22 AWG)
          Copper of each of its two conductors. Accepted: above 0 m2, up to 500 mm2. Where to find it:
          print on the jacket, or a wire gauge on the stripped end.
    0
    """
    try:
        from inrushlib.cli.entry import run_command
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130
    return run_command(arguments)


__all__ = ["main"]
