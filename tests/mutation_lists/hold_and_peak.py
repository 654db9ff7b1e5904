"""Rules of the hold before reset ends, and of the current peak while booting."""

from .mutation import mutation

FIRMWARE = "model/firmware.py"
CROSSING = "model/crossing.py"
SWITCHING = "model/switching.py"
DIP = "shares[1] = first_of(at.V_3, p.controller_brownout_rising - HYSTERESIS, -1.0, y, y_new, dense)"
HOLD_AND_PEAK = "        busy |= fw.reset_release(t, p, m, log)\n        busy |= fw.boot_peak(t, p, m, log)\n"
LOST = "    m[at.BURST] = 0.0\n    end_boot_peak(t, m, log)\n    for i in"
BOOTED = "    end_boot_peak(t, m, log)\n    m[at.STATE] = at.RUN\n"


def rule(name, *texts, file=FIRMWARE):
    return mutation(name, file, *texts, first="hold_and_peak")


MUTATIONS = [
    rule("no hold", "m[at.RELEASE_AT] = t + p.controller_reset_hold", "m[at.RELEASE_AT] = t"),
    rule("a dip does not touch the hold", DIP, "shares[1] = inf", file=CROSSING),
    rule("the hold is broken at the lower level only", DIP, DIP.replace("rising", "falling"), file=CROSSING),
    rule("boots at the upper level, the hold counted into the boot", "m[at.STATE] = at.BOOT\n    m[at.BOOT_AT] = t + p",
         "m[at.STATE] = at.BOOT\n    m[at.BOOT_AT] = t - p.controller_reset_hold + p"),
    rule("a peak without current happens", "if p.controller_boot_peak_current > 0.0:\n        m[at.BOOT_PEAK_AT]",
         "if p.controller_boot_peak_current >= 0.0:\n        m[at.BOOT_PEAK_AT]"),
    rule("the peak starts with the boot",
         "m[at.BOOT_PEAK_AT] = t + p.controller_boot_peak_at", "m[at.BOOT_PEAK_AT] = t"),
    rule("the peak lasts half as long", "m[at.BOOT_PEAK_AT] += p", "m[at.BOOT_PEAK_AT] += 0.5 * p"),
    rule("the peak draws nothing", "i += p.controller_boot_peak_current", "i += 0.0"),
    rule("the peak replaces the boot's draw",
         "i += p.controller_boot_peak_current", "i = p.controller_boot_peak_current"),
    rule("the peak outlives the boot", BOOTED, BOOTED.splitlines()[1] + "\n"),
    rule("the peak outlives a brown-out", LOST, LOST.replace("    end_boot_peak(t, m, log)\n", "")),
    rule("the next peak is never planned after a brown-out", "    m[at.BOOT_PEAK_AT] = inf\n    if m",
         "    if m"),
]  # fmt: skip
