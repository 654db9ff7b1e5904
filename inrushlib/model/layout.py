"""What every index of the compiled run's arrays means. All quantities SI.

``p``   the parts, a record of numbers
``s``   one row a lump: constants. A lump is a node of the panel: a section, or one of the pieces it is cut into
``y``   the state: the core, a limiter's temperature rise (idle where there is none), then the lumps' voltages
``m``   the mode: flags (0 or 1), timers (instant, or infinity for none), counters
``q``   one row a lump: its mode
"""

from __future__ import annotations

import numpy as np

# State: the core, then the lump voltages.
(V_O, I_L, V_B, V_BB, V_G, V_R, V_RB, V_H, V_3, LIMITER_RISE) = range(10)
CORE = 10

# Parts: a record whose fields are named as the keys of a build file, ``adapter_rated_voltage`` for
# "adapter.rated_voltage". What a build leaves out is infinity; a part that it does not have is zeros.
KEYS = {
    "adapter": (
        "rated_voltage", "limit_current", "peak_current", "peak_time", "foldback_current", "foldback_knee",
        "output_resistance", "output_capacitance", "soft_start", "trip_delay", "retry_delay", "bleed_resistance",
    ),
    "lead": ("resistance", "inductance"),
    "limiter": ("cold_resistance", "beta", "dissipation", "heat_capacity"),
    "bus": ("ceramic", "bulk", "bulk_esr"),
    "switch": (
        "threshold_voltage", "gate_source_capacitance", "gate_drain_capacitance", "pullup_resistance",
        "gate_resistance", "on_resistance", "slew_rate", "current_limit",
    ),
    "panel": ("ceramic", "bulk", "bulk_esr"),
    "controller": (
        "own_voltage", "feed_resistance", "feed_diode", "diode_drop", "reservoir", "rail_voltage", "dropout_voltage",
        "dropout_resistance", "regulator_limit", "rail_capacitance", "brownout_rising", "brownout_falling",
        "reset_hold", "boot_time", "boot_peak_current", "boot_peak_at", "boot_peak_length", "reset_current",
        "boot_current", "run_current", "burst_current", "burst_length", "burst_period",
    ),
    "firmware": ("gate_delay", "first_frame_delay", "refresh_interval", "content_delay"),
    "pixel": (
        "quiescent_current", "channel_current", "channel_resistance", "wake_voltage", "listen_voltage",
        "listen_delay", "forget_voltage",
    ),
    "run": ("duration",),
}  # fmt: skip
# What is no key: flags (0 or 1), the kind of switch, and what is worked out once.
WORKED_OUT = (
    "adapter_folds", "adapter_trips", "adapter_latches", "limiter_fitted", "limiter_ambient_kelvin", "switch_kind",
    "switch_gain", "switch_on_pin", "controller_own_feed", "firmware_frame_time", "run_plugged",
)  # fmt: skip
_FIELDS = (
    [(f"{table}_{key}", np.float64) for table, keys in KEYS.items() for key in keys]
    + [(name, np.float64) for name in WORKED_OUT]
    + [("pixel_forward_voltages", np.float64, 3)]
    + [("colours", np.float64, (3, 3))]  # power-on, first frame, content: three duties each
)
# A record whose fields are attributes, too. This very object is the type of all of them: two that are only equal are
# compared field by field at each call of the compiled code.
PARTS = np.dtype((np.record, _FIELDS))

# Lump constants.
(COUNT, CAPACITANCE, FEED, HOP, LANE) = range(5)  # pixels; [F]; [S], 0 unfed; [S] to the next, 0 last; lane
LUMP_CONSTANTS = 5

# Mode.
(
    ON, T_ON, OVER, TOP, SPENT_AT, TRIP_AT, RETRY_AT, MAINS, MAINS_AT, MAINS_INDEX,
    STATE, RELEASE_AT, BOOT_AT, BOOT_PEAK, BOOT_PEAK_AT,
    GATE_LOW, GATE_AT, GATE_SINCE, T_RUN, BURST, BURST_AT, BURST_COUNT,
    FRAME, FRAME_KIND, FRAME_END, FRAME_DUE, FRAME_COUNT, CONTENT_DUE,
    LOAD, KINK, OWN_KINK,
    BROWN_OUTS, TRIP_COUNT, RUNNING_AT, SHOWN_AT, READY_SEEN, RELAPSE, SWITCHINGS, JOLT,
) = range(39)  # fmt: skip
MODES = 39
TIMERS = np.array(
    [
        SPENT_AT, TRIP_AT, RETRY_AT, MAINS_AT, RELEASE_AT, BOOT_AT, BOOT_PEAK_AT, GATE_AT, GATE_SINCE, T_RUN,
        BURST_AT, FRAME_END, FRAME_DUE, CONTENT_DUE, KINK, OWN_KINK, RUNNING_AT, SHOWN_AT,
    ]
)  # fmt: skip

# A kept step: start, size, share used; the modes below; then the state's four rows and what is shown.
KEPT_MODES = np.array([ON, TOP, GATE_LOW, GATE_SINCE, LOAD, KINK, T_ON, OWN_KINK])
KEPT_STATE = 3 + len(KEPT_MODES)

# What the first relapse since the last power-up was.
(NO_RELAPSE, RELAPSE_BROWN_OUT, RELAPSE_TRIP) = (0.0, 1.0, 2.0)

# Kinds of switch.
(JOINT, P_CHANNEL, LOAD_SWITCH) = (0.0, 1.0, 2.0)

# Controller states.
(RESET, BOOT, RUN) = (0.0, 1.0, 2.0)

# Lump modes: what it shows, whether it listens, when it will, whether the frame still reaches it.
(SHOWS, HEARS, HEARS_AT, REACHED) = range(4)
LUMP_MODES = 4
(BELOW, WAITING, LISTENING) = (0.0, 1.0, 2.0)

# How a run ended.
(DONE, STEPS_SPENT, SWITCHINGS_SPENT, STEP_VANISHED) = range(4)

# What a lump shows, and what a frame carries.
(SHOWS_POWER_ON, SHOWS_FIRST, SHOWS_CONTENT) = (0.0, 1.0, 2.0)

# Switchings as recorded: time, code, index (lump, frame kind, or none).
NO_INDEX = -1
(
    E_OVER, E_NOT_OVER, E_ALLOWANCE_SPENT, E_TRIP, E_RETRY, E_MAINS_OFF, E_MAINS_ON, E_RESET_RELEASE, E_BROWN_OUT,
    E_RUN, E_GATE_LOW, E_BURST_START, E_BURST_END, E_FRAME_START, E_FRAME_END, E_FRAME_LOST,
    E_ABOVE, E_LISTENS, E_DEAF, E_SHOWS, E_FORGETS, E_RAIL_UP, E_RAIL_DIP, E_BOOT_PEAK_START, E_BOOT_PEAK_END,
) = range(25)  # fmt: skip
