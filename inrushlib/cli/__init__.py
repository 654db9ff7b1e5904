"""The command ``inrush``: one file a subcommand, :mod:`inrushlib.cli.main` puts them together."""

from inrushlib.cli.main import main

__all__ = ["main"]
