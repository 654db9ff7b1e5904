"""Rules of the adapter, of the mains and of the order at one instant."""

from .mutation import mutation

SWITCHING = "model/switching.py"
CIRCUIT = "model/circuit.py"
CONSTANTS = "laws/constants.py"
RETESTED = "        return True\n    return False\n\n\n@compiled\ndef cross_over"
RESTARTED = "    if m[at.OVER] > 0.0:\n        begin_over(t, p, m)\n    return False"
LAST = "        busy |= retest_over(t, y, p, m, log)\n"
OFF = "    m[at.JOLT] = 1.0\n    end_over(p, m)\n"
NO_END = """    m[at.OVER] = 0.0
    m[at.SPENT_AT] = inf
    m[at.TRIP_AT] = inf
"""
BETWEEN = """        busy |= adapter_timers(t, p, m, log)
        busy |= fw.reset_release(t, p, m, log)
        busy |= fw.boot_peak(t, p, m, log)
        busy |= fw.frame_end(t, m, q, log)
"""
RETRY = """        m[at.RETRY_AT] = inf
        if m[at.MAINS] > 0.0:
            switch_on(t, p, m)
            fw.log"""

MUTATIONS = [
    mutation("over from 0.99 of the limit", CONSTANTS, "OVER_SHARE = 0.97", "OVER_SHARE = 0.99"),
    mutation("over until 0.93 of the limit", CONSTANTS, "NOT_OVER_SHARE = 0.90", "NOT_OVER_SHARE = 0.93"),
    mutation("over without hysteresis", SWITCHING, "return i - NOT_OVER_SHARE", "return i - OVER_SHARE"),
    mutation(
        "over against the limit with allowance",
        SWITCHING,
        "regulated(v_ref, v_o, p.adapter_limit_current, p)",
        "regulated(v_ref, v_o, m[at.TOP], p)",
    ),
    mutation("allowance never restored", SWITCHING, "if m[at.TOP] != p.adapter_peak_current:", "if m[at.TOP] < 0.0:"),
    mutation(
        "allowance never spent", SWITCHING, "m[at.TOP] = p.adapter_limit_current", "m[at.TOP] = p.adapter_peak_current"
    ),
    mutation(
        "allowance timer runs on when no longer over",
        SWITCHING,
        NO_END,
        NO_END.replace("    m[at.SPENT_AT] = inf\n", ""),
    ),
    mutation(
        "trip timer runs on when no longer over",
        SWITCHING,
        NO_END,
        NO_END.replace("    m[at.TRIP_AT] = inf\n", ""),
        OFF,
        OFF + "    m[at.TRIP_AT] = inf\n",
    ),
    mutation("trip timer restarted while over", SWITCHING, RETESTED, RETESTED.replace("    return False", RESTARTED)),
    mutation("adapters that do not trip do", SWITCHING, "if p.adapter_trips > 0.0:", "if p.adapter_trips >= 0.0:"),
    mutation("hiccup does not retry", SWITCHING, "m[at.RETRY_AT] = t + p.adapter_retry_delay", "m[at.RETRY_AT] = inf"),
    mutation("latch-off retries", SWITCHING, "if p.adapter_latches == 0.0:", "if p.adapter_latches >= 0.0:"),
    mutation(
        "retry delay counted from becoming over",
        SWITCHING,
        "t + p.adapter_retry_delay",
        "t + p.adapter_retry_delay - p.adapter_trip_delay",
    ),
    mutation("no soft start", SWITCHING, "m[at.KINK] = t + p.adapter_soft_start", "m[at.KINK] = inf"),
    mutation(
        "soft start from the first switching on only",
        SWITCHING,
        "m[at.T_ON] = t\n",
        "m[at.T_ON] = min(t, max(m[at.T_ON], 0.0))\n",
    ),
    mutation(
        "mains return keeps a pending retry",
        SWITCHING,
        "    m[at.RETRY_AT] = inf\n    m[at.JOLT] = 1.0\n",
        "    m[at.JOLT] = 1.0\n",
    ),
    mutation(
        "a retry switches on while the mains is away", SWITCHING, RETRY, RETRY.replace("MAINS] > 0.0", "MAINS] >= 0.0")
    ),
    mutation(
        "going off does not restore the allowance",
        SWITCHING,
        OFF,
        OFF.replace("end_over(p, m)", "m[at.OVER] = 0.0\n    m[at.SPENT_AT] = inf\n    m[at.TRIP_AT] = inf"),
    ),
    mutation("only one interruption", SWITCHING, "if i + 1 < interruptions.shape[0]:", "if i + 1 < 1:"),
    mutation("mains never returns", SWITCHING, "m[at.MAINS_AT] = interruptions[i, 1]", "m[at.MAINS_AT] = inf"),
    mutation("a trip is not counted", SWITCHING, "m[at.TRIP_COUNT] += 1.0", "m[at.TRIP_COUNT] += 0.0"),
    mutation(
        "plugging in starts softly",
        SWITCHING,
        "    if p.run_plugged > 0.0:\n        m[at.KINK] = inf\n",
        "    if p.run_plugged > 0.0:\n",
    ),
    mutation("plugged in with an empty adapter", SWITCHING, "y[at.V_O] = p.adapter_rated_voltage", "y[at.V_O] = 0.0"),
    mutation(
        "adapter timers before the mains",
        SWITCHING,
        "        busy = mains(t, p, m, interruptions, log)\n        busy |= adapter_timers(t, p, m, log)\n",
        "        busy = adapter_timers(t, p, m, log)\n        busy |= mains(t, p, m, interruptions, log)\n",
        first="firmware",
    ),
    mutation(
        "end of a frame before the adapter timers",
        SWITCHING,
        BETWEEN,
        "        busy |= fw.frame_end(t, m, q, log)\n"
        + BETWEEN.removesuffix("        busy |= fw.frame_end(t, m, q, log)\n"),
        first="firmware",
    ),
    mutation(
        "start of a frame before boot and gate",
        SWITCHING,
        "        busy |= fw.boot(t, p, m, q, log)\n        busy |= fw.gate(t, m, log)\n",
        "        busy |= fw.boot(t, p, m, q, log)\n"
        "        busy |= fw.frame_start(t, p, s, m, q, log)\n        busy |= fw.gate(t, m, log)\n",
        first="firmware",
    ),
    mutation(
        "sections start to listen after what starts then",
        SWITCHING,
        "    fw.listen_timers(t, m, q, log)\n    busy = True\n",
        "    busy = True\n",
        LAST,
        LAST + "    fw.listen_timers(t, m, q, log)\n",
        first="sections",
    ),
    mutation(
        "what was ready stays ready over a mains return", SWITCHING, "    m[at.READY_SEEN] = 0.0\n", "", first="verdict"
    ),
    mutation("a relapse outlives a power-up", SWITCHING, "    m[at.RELAPSE] = at.NO_RELAPSE\n", "", first="verdict"),
    mutation("a trip is no relapse", SWITCHING, "        fw.relapse(at.RELAPSE_TRIP, m)\n", "", first="verdict"),
    mutation("own supply ramps over 2 ms", CONSTANTS, "OWN_RAMP = 0.001", "OWN_RAMP = 0.002"),
    mutation(
        "own supply goes with the mains",
        CIRCUIT,
        "        return p.controller_own_voltage, 0.0",
        "        return p.controller_own_voltage * m[at.ON], 0.0",
    ),
    mutation(
        "own supply drawn from the bus",
        CIRCUIT,
        "    if p.controller_own_feed > 0.0:\n        return 0.0\n    return i_ctrl",
        "    return i_ctrl",
    ),
    mutation(
        "an adapter that is off goes on regulating",
        CIRCUIT,
        "    if m[at.ON] == 0.0:\n        return 0.0, 0.0, 0.0\n",
        "    if m[at.ON] < 0.0:\n        return 0.0, 0.0, 0.0\n",
        "    if m[at.ON] == 0.0:\n        return 0.0, 0.0\n",
        "    if m[at.ON] < 0.0:\n        return 0.0, 0.0\n",
    ),
]
