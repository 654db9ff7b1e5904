"""How verdicts look in maps and tables: fill and hatch; each reads in grey."""

from __future__ import annotations

from inrushlib.startup import Headline, Verdict

# Fill and hatch of each verdict; what boots is plain, and no two share both lightness and hatch.
VERDICTS: dict[Verdict, tuple[str, str]] = {
    Verdict.BOOTS: ("#bfdcc6", ""),
    Verdict.BOOTS_AFTER_RESETS: ("#e3ead6", "//"),
    Verdict.ADAPTER_TRIPS: ("#8d9296", "xx"),
    Verdict.KEEPS_RESETTING: ("#f0c39a", ".."),
    Verdict.DISPLAY_STAYS_LIT: ("#f6df9c", "||"),
    Verdict.STUCK: ("#c9cdd1", "\\\\"),
}
OVERSTRESSED = ("#e2a39a", "oo")  # whatever the verdict
HATCH = "#5b656d"


def look(headline: Headline) -> tuple[str, str]:
    """Return fill and hatch of how a start is announced by its ``headline``."""
    return OVERSTRESSED if headline.overstressed else VERDICTS[headline.verdict]
