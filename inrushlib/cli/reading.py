"""What a command can be told about a capture's file: an option for each setting of the reader."""

from __future__ import annotations

import argparse

from inrushlib.trace import SETTINGS, ReadChoices, choices_from

PREFIX = "read_"


def add_reading(parser: argparse.ArgumentParser) -> None:
    """Add the options to a ``parser``."""
    group = parser.add_argument_group("where the file does not say it itself")
    for setting, spec in SETTINGS.items():
        shape = f"NAME={spec.shape}" if spec.by_channel else spec.shape
        known = f": {', '.join(spec.values)}" if spec.values else ""
        again = "; may be repeated" if spec.many else ""
        group.add_argument(
            spec.option, dest=f"{PREFIX}{setting.value}", action="append", default=[], metavar=shape,
            help=f"{spec.about}{known}{again}".replace("%", "%%"),
        )  # fmt: skip


def told_of_file(options: argparse.Namespace) -> ReadChoices:
    """Return what the ``options`` of the command line say about the file."""
    return choices_from({setting: getattr(options, f"{PREFIX}{setting.value}") for setting in SETTINGS})
