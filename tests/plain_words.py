"""What no page and no picture says: the spellings of a file or of a program, where there is a word or a sign."""

import re

from inrushlib.parts import build_keys
from inrushlib.startup import Verdict

SPELLINGS = {
    "a key of the build file": re.compile(
        rf"(?<![\w.\"“/])(?:{'|'.join(re.escape(key) for key in build_keys() if '.' in key)})(?![\w/]|\.\w)"
    ),
    "a name with underscores": re.compile(r"(?<![\w./])[a-z]+(?:_[a-z]+)+(?![\w(]|\.(?:toml|csv|ipynb))"),
    "per cent without a blank": re.compile(r"\d%"),
    "a micro by its letter": re.compile(r"\d u[FHsVAWJm]\b"),
    "an ohm by its letters": re.compile(r"\d [kmMu]?ohm\b"),
    "a power of ten": re.compile(r"(?<![\w.])\d+(?:\.\d+)?e[+-]?\d+(?!\w)"),
    "a verdict with hyphens": re.compile("|".join(verdict.value for verdict in Verdict if "-" in verdict.value)),
    "an ugly possessive": re.compile(r"s's\b"),
}


def unsaid(text: str) -> list[tuple[str, str]]:
    """What of a text should be said otherwise, and why."""
    return [(why, text[max(0, found.start() - 40) : found.end() + 20]) for why, each in SPELLINGS.items()
            for found in each.finditer(text)]  # fmt: skip
