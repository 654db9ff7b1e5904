"""What every index of the compiled run's arrays means. All quantities SI.

``p``   the parts, one number each
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

# Parts.
(
    RATED_VOLTAGE, LIMIT, PEAK, PEAK_TIME, FOLDBACK, TRIPS, LATCHES, FOLDBACK_CURRENT, FOLDBACK_KNEE,
    OUTPUT_RESISTANCE, OUTPUT_CAPACITANCE, SOFT_START, TRIP_DELAY, RETRY_DELAY, BLEED,
    LEAD_RESISTANCE, LEAD_INDUCTANCE,
    LIMITER, LIMITER_COLD, LIMITER_BETA, LIMITER_DISSIPATION, LIMITER_HEAT, LIMITER_AMBIENT,
    BUS_CERAMIC, BUS_BULK, BUS_BULK_ESR,
    SWITCH, SLEW, SWITCH_LIMIT, SWITCH_RESISTANCE,
    THRESHOLD, BETA, GATE_SOURCE, GATE_DRAIN, PULLUP, GATE_RESISTANCE, PIN,
    ROOT_CERAMIC, ROOT_BULK, ROOT_BULK_ESR,
    OWN, OWN_VOLTAGE, CTRL_RESISTANCE, DIODE, DIODE_DROP, RESERVOIR, RAIL_VOLTAGE, DROPOUT,
    DROPOUT_RESISTANCE, REGULATOR_LIMIT, RAIL_CAPACITANCE, RISING, FALLING, RESET_HOLD, BOOT_TIME,
    BOOT_PEAK_CURRENT, BOOT_PEAK_AFTER, BOOT_PEAK_LENGTH,
    RESET_CURRENT, BOOT_CURRENT, RUN_CURRENT, BURST_CURRENT, BURST_LENGTH, BURST_PERIOD,
    GATE_DELAY, FIRST_FRAME_DELAY, REFRESH, FRAME_TIME, CONTENT_DELAY,
    QUIESCENT, CHANNEL_CURRENT, FORWARD_R, FORWARD_G, FORWARD_B, CHANNEL_RESISTANCE, WAKE,
    LISTEN, LISTEN_DELAY, FORGET, DURATION, PLUG,
) = range(81)  # fmt: skip
COLOURS = 81  # power-on, first frame, content: three duties each
PARTS = COLOURS + 9

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
