"""One mutation: where, what is taken out, what is put in its place, and which tests should notice."""

from dataclasses import dataclass

RULES = "tests/startup"
RULE_FILES = tuple(
    f"{RULES}/test_{name}.py"
    for name in (
        "rules_adapter",
        "rules_controller",
        "rules_firmware",
        "rules_sections",
        "rules_hold_and_peak",
        "verdict",
    )
)


@dataclass(frozen=True)
class Mutation:
    """A rule broken by replacing text, each piece of which has to be found exactly once."""

    name: str
    file: str  # inside the package
    pieces: tuple[tuple[str, str], ...]  # old text, new text
    tests: tuple[str, ...] = RULE_FILES


def mutation(name, file, *texts, first=None, tests=None):
    """A mutation from old, new, old, new ...; the rule file that should notice runs ``first``."""
    pieces = tuple(zip(texts[::2], texts[1::2], strict=True))
    if tests is None:
        leading = tuple(path for path in RULE_FILES if first is not None and path.endswith(f"{first}.py"))
        tests = leading + tuple(path for path in RULE_FILES if path not in leading)
    return Mutation(name, file, pieces, tuple(tests))
