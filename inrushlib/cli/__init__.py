"""The command ``inrush``: one file a subcommand, :mod:`inrushlib.cli.commands` puts them together."""

from __future__ import annotations

import sys

# Nothing is imported here that takes time: until main is reached, a Ctrl-C ends in a traceback.
TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status, as :func:`inrushlib.cli.entry.run_command` does."""
    try:
        from inrushlib.cli.entry import run_command
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130
    return run_command(arguments)


__all__ = ["main"]
