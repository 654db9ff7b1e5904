"""Rules of controller, firmware and lumps."""

from .mutation import mutation

FIRMWARE = "model/firmware.py"
CROSSING = "model/crossing.py"
PACK = "startup/pack.py"
LUMPS = "startup/lumps.py"
TIMERS = "(at.RELEASE_AT, at.BOOT_AT, at.GATE_AT, at.BURST_AT, at.FRAME_END, at.FRAME_DUE, at.CONTENT_DUE, at.T_RUN)"
HEARD = """        if q[k, at.HEARS] != at.LISTENING:
            heard = 0.0
        q[k, at.REACHED] = heard
"""
FRAME_GOES = "    m[at.FRAME] = 0.0\n    m[at.BURST] = 0.0\n"
STARTS = "    m[at.FRAME_END] = t + p.firmware_frame_time\n"
LATE_LEFT_OUT = """    while m[at.FRAME_DUE] < m[at.FRAME_END] - 1e-12:
        m[at.FRAME_COUNT] += 1.0
        m[at.FRAME_DUE] += p.firmware_refresh_interval
"""
BY_REAL_START = "if t >= m[at.T_RUN] + p.firmware_content_delay - CONTENT_SLACK:"
PLANNED = "p.firmware_first_frame_delay + (m[at.FRAME_COUNT] - 1.0) * p.firmware_refresh_interval"
BY_PLAN = f"if {PLANNED} >= p.firmware_content_delay - CONTENT_SLACK:"
HEARS_GONE = "    q[k, at.HEARS] = at.BELOW\n    q[k, at.HEARS_AT] = inf\n"


def kept_timer(name):
    """A brown-out that leaves one timer running."""
    return mutation(
        f"{name} timer survives a brown-out", FIRMWARE, TIMERS, TIMERS.replace(f"at.{name}, ", ""), first="controller"
    )


MUTATIONS = [
    mutation(
        "released at the lower brown-out level",
        CROSSING,
        "first_of(at.V_3, p.controller_brownout_rising, 1.0",
        "first_of(at.V_3, p.controller_brownout_falling, 1.0",
        first="controller",
    ),
    mutation(
        "browns out at the upper level",
        CROSSING,
        "first_of(at.V_3, p.controller_brownout_falling, -1.0",
        "first_of(at.V_3, p.controller_brownout_rising, -1.0",
        first="controller",
    ),
    mutation(
        "no boot time", FIRMWARE, "m[at.BOOT_AT] = t + p.controller_boot_time", "m[at.BOOT_AT] = t", first="controller"
    ),
    mutation(
        "reset current in boot",
        FIRMWARE,
        "        i = p.controller_boot_current",
        "        i = p.controller_reset_current",
        first="controller",
    ),
    mutation(
        "boot current in run",
        FIRMWARE,
        "        i = p.controller_run_current",
        "        i = p.controller_boot_current",
        first="controller",
    ),
    mutation(
        "a brown-out in boot is not counted",
        FIRMWARE,
        "    m[at.STATE] = at.RESET\n    m[at.BROWN_OUTS] += 1.0\n",
        "    if m[at.STATE] == at.RUN:\n        m[at.BROWN_OUTS] += 1.0\n    m[at.STATE] = at.RESET\n",
        first="controller",
    ),
    mutation("the gate stays low over a brown-out", FIRMWARE, "        m[at.GATE_LOW] = 0.0\n", "", first="controller"),
    mutation(
        "a frame on the line survives a brown-out",
        FIRMWARE,
        FRAME_GOES,
        "    m[at.BURST] = 0.0\n",
        TIMERS,
        TIMERS.replace("at.FRAME_END, ", ""),
        first="controller",
    ),
    mutation("a burst survives a brown-out", FIRMWARE, FRAME_GOES, "    m[at.FRAME] = 0.0\n", first="controller"),
    *(kept_timer(name) for name in ("BOOT_AT", "GATE_AT", "BURST_AT", "FRAME_DUE", "CONTENT_DUE")),
    mutation(
        "no radio bursts",
        FIRMWARE,
        "if p.controller_burst_current > 0.0:",
        "if p.controller_burst_current < 0.0:",
        first="controller",
    ),
    mutation(
        "bursts without current happen",
        FIRMWARE,
        "if p.controller_burst_current > 0.0:",
        "if p.controller_burst_current >= 0.0:",
        first="controller",
    ),
    mutation("bursts draw nothing", FIRMWARE, "i += p.controller_burst_current", "i += 0.0", first="controller"),
    mutation(
        "first burst right away",
        FIRMWARE,
        "m[at.BURST_AT] = t + p.controller_burst_period",
        "m[at.BURST_AT] = t",
        first="controller",
    ),
    mutation(
        "bursts counted from the end of the last",
        FIRMWARE,
        "m[at.T_RUN] + (n + 1.0) * p.controller_burst_period",
        "t + p.controller_burst_period",
        first="controller",
    ),
    mutation(
        "bursts half as long",
        FIRMWARE,
        "n * p.controller_burst_period + p.controller_burst_length",
        "n * p.controller_burst_period + 0.5 * p.controller_burst_length",
        first="controller",
    ),
    mutation(
        "gate without its delay",
        FIRMWARE,
        "m[at.GATE_AT] = t + p.firmware_gate_delay",
        "m[at.GATE_AT] = t",
        first="controller",
    ),
    mutation("late frames left out instead of queued", FIRMWARE, STARTS, STARTS + LATE_LEFT_OUT, first="firmware"),
    mutation(
        "refresh counted from the end of the last frame",
        FIRMWARE,
        "m[at.T_RUN] + p.firmware_first_frame_delay + m[at.FRAME_COUNT] * p.firmware_refresh_interval",
        "t + p.firmware_frame_time + p.firmware_refresh_interval",
        first="firmware",
    ),
    mutation("content by the planned start", FIRMWARE, BY_REAL_START, BY_PLAN, first="firmware"),
    mutation(
        "content without a nanosecond's grace",
        FIRMWARE,
        "CONTENT_SLACK = 1e-9",
        "CONTENT_SLACK = 0.0",
        first="firmware",
    ),
    mutation("content a microsecond early", FIRMWARE, "CONTENT_SLACK = 1e-9", "CONTENT_SLACK = 1e-6", first="firmware"),
    mutation(
        "no content frame without refresh",
        FIRMWARE,
        "if p.firmware_refresh_interval == 0.0:",
        "if p.firmware_refresh_interval < 0.0:",
        first="firmware",
    ),
    mutation(
        "a content frame beside the refresh",
        FIRMWARE,
        "if p.firmware_refresh_interval == 0.0:",
        "if p.firmware_refresh_interval >= 0.0:",
        first="firmware",
    ),
    mutation(
        "pixels change before the gap",
        PACK,
        "firmware.bit_time + firmware.reset_gap",
        "firmware.bit_time",
        first="firmware",
    ),
    mutation("a frame as long as all pixels", PACK, "max(pixels)", "sum(pixels)", first="firmware"),
    mutation("the last lanes one longer", LUMPS, "(lane < extra)", "(lane >= lanes - extra)", first="sections"),
    mutation(
        "lanes dealt in turn",
        LUMPS,
        "[lane for lane in range(lanes) for _ in range(size + (lane < extra))]",
        "[k % lanes for k in range(size * lanes + extra)]",
        first="sections",
    ),
    mutation(
        "lane order ignored",
        FIRMWARE,
        HEARD,
        "        heard = 1.0 if q[k, at.HEARS] == at.LISTENING else 0.0\n        q[k, at.REACHED] = heard\n",
        first="sections",
    ),
    mutation(
        "a deaf section hides those of other lanes",
        FIRMWARE,
        "        if k > 0 and s[k, at.LANE] != s[k - 1, at.LANE]:\n            heard = 1.0\n",
        "",
        first="sections",
    ),
    mutation(
        "listening at a frame's start only",
        FIRMWARE,
        "            q[j, at.REACHED] = 0.0\n",
        "            q[j, at.REACHED] += 0.0\n",
        first="sections",
    ),
    mutation(
        "listening at a frame's end only",
        FIRMWARE,
        HEARD,
        "        q[k, at.REACHED] = heard\n",
        "if q[k, at.REACHED] > 0.0 and",
        "if q[k, at.HEARS] == at.LISTENING and",
        first="sections",
    ),
    mutation(
        "falling deaf hides nobody behind",
        FIRMWARE,
        "for j in range(k, q.shape[0]):",
        "for j in range(k, k + 1):",
        first="sections",
    ),
    mutation(
        "falling deaf hides other lanes",
        FIRMWARE,
        "if s[j, at.LANE] == s[k, at.LANE]:",
        "if s[j, at.LANE] >= 0.0:",
        first="sections",
    ),
    mutation(
        "listens without its delay",
        FIRMWARE,
        "q[k, at.HEARS_AT] = t + p.pixel_listen_delay",
        "q[k, at.HEARS_AT] = t",
        first="sections",
    ),
    mutation(
        "the listen delay runs on below the level",
        FIRMWARE,
        HEARS_GONE,
        HEARS_GONE.splitlines()[0] + "\n",
        first="sections",
    ),
    mutation(
        "forget ignored",
        CROSSING,
        "if q[k, at.SHOWS] != at.SHOWS_POWER_ON:",
        "if q[k, at.SHOWS] < 0.0:",
        first="sections",
    ),
    mutation(
        "forgets at the listen voltage",
        CROSSING,
        "first_of(j, p.pixel_forget_voltage",
        "first_of(j, p.pixel_listen_voltage",
        first="sections",
    ),
    mutation(
        "content shows the first frame's colour",
        FIRMWARE,
        "q[k, at.SHOWS] = m[at.FRAME_KIND]",
        "q[k, at.SHOWS] = at.SHOWS_FIRST",
        first="firmware",
    ),
]
