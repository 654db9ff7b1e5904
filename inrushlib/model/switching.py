"""What changes at an instant: adapter, controller, firmware and lumps.

``start``         the mode at t = 0
``next_instant``  the earliest known instant; it ends a stretch
``settle``        everything that falls on an instant takes effect, in a fixed order
``retest_over``   whether the adapter is at its limit, tested anew after a change of mode

The order at one instant: thresholds, mains, adapter timers, end of the hold, boot peak, end of a frame, boot,
gate, start of a frame, radio bursts. Timers are instants; infinity stands for none.
:mod:`inrushlib.model.firmware` has the controller's and the pixels' side.
"""

from __future__ import annotations

from math import inf

from inrushlib.laws.constants import NOT_OVER_SHARE, OVER_SHARE, OWN_RAMP

from . import firmware as fw
from . import layout as at
from .circuit import reference_voltage, regulated
from .compiled import compiled


@compiled
def start(p, interruptions, y, m, q):
    """Set state and mode at t = 0."""
    for j in range(y.shape[0]):
        y[j] = 0.0
    for i in range(at.MODES):
        m[i] = 0.0
    for i in range(at.TIMERS.shape[0]):
        m[at.TIMERS[i]] = inf
    m[at.JOLT] = 1.0
    m[at.MAINS] = 1.0
    if interruptions.shape[0] > 0:
        m[at.MAINS_AT] = interruptions[0, 0]
    for k in range(q.shape[0]):
        q[k, at.SHOWS] = at.SHOWS_POWER_ON
        q[k, at.HEARS] = at.BELOW
        q[k, at.HEARS_AT] = inf
        q[k, at.REACHED] = 0.0
    m[at.LOAD] = p.controller_reset_current
    m[at.TOP] = p.adapter_peak_current
    if p.controller_own_feed > 0.0:
        m[at.OWN_KINK] = OWN_RAMP
    switch_on(0.0, p, m)
    if p.run_plugged > 0.0:
        m[at.KINK] = inf
        y[at.V_O] = p.adapter_rated_voltage


@compiled
def next_instant(p, m, q):
    """Earliest known instant [s]."""
    t = min(p.run_duration, m[at.KINK], m[at.OWN_KINK], m[at.SPENT_AT], m[at.TRIP_AT], m[at.RETRY_AT])
    t = min(t, m[at.MAINS_AT], m[at.RELEASE_AT], m[at.BOOT_AT], m[at.BOOT_PEAK_AT], m[at.GATE_AT], m[at.BURST_AT])
    if m[at.FRAME] > 0.0:
        t = min(t, m[at.FRAME_END])
    else:
        t = min(t, m[at.FRAME_DUE], m[at.CONTENT_DUE])
    for k in range(q.shape[0]):
        t = min(t, q[k, at.HEARS_AT])
    return t


@compiled
def switch_on(t, p, m):
    """Bring the adapter on with a new soft start."""
    m[at.ON] = 1.0
    m[at.T_ON] = t
    m[at.KINK] = t + p.adapter_soft_start
    m[at.RETRY_AT] = inf
    m[at.JOLT] = 1.0


@compiled
def switch_off(p, m):
    """Take the adapter off: over and its timers end, the allowance is restored."""
    m[at.ON] = 0.0
    m[at.KINK] = inf
    m[at.JOLT] = 1.0
    end_over(p, m)


@compiled
def begin_over(t, p, m):
    """Become over: the allowance starts to run out, and the trip timer to run."""
    m[at.OVER] = 1.0
    m[at.SPENT_AT] = t + p.adapter_peak_time
    if p.adapter_trips > 0.0:
        m[at.TRIP_AT] = t + p.adapter_trip_delay


@compiled
def end_over(p, m):
    """Be over no longer: both timers end, the allowance is restored."""
    m[at.OVER] = 0.0
    m[at.SPENT_AT] = inf
    m[at.TRIP_AT] = inf
    if m[at.TOP] != p.adapter_peak_current:
        m[at.TOP] = p.adapter_peak_current
        m[at.JOLT] = 1.0


@compiled
def over_margin(v_ref, v_o, p, m):
    """Current [A] above the level that the adapter's over flag watches (positive: beyond it)."""
    i, _, _, _ = regulated(v_ref, v_o, m[at.TOP], p)
    _, _, _, limit = regulated(v_ref, v_o, p.adapter_limit_current, p)
    if m[at.OVER] > 0.0:
        return i - NOT_OVER_SHARE * limit
    return i - OVER_SHARE * limit


@compiled
def retest_over(t, y, p, m, log):
    """Test over anew; returns whether it changed."""
    if m[at.ON] == 0.0:
        return False
    v_ref, _ = reference_voltage(t, p, m)
    margin = over_margin(v_ref, y[at.V_O], p, m)
    if m[at.OVER] > 0.0 and margin < 0.0:
        end_over(p, m)
        fw.log_switching(t, at.E_NOT_OVER, at.NO_INDEX, m, log)
        return True
    if m[at.OVER] == 0.0 and margin >= 0.0:
        begin_over(t, p, m)
        fw.log_switching(t, at.E_OVER, at.NO_INDEX, m, log)
        return True
    return False


@compiled
def cross_over(t, p, m, log):
    """The adapter crossed the level that its over flag watches."""
    if m[at.OVER] > 0.0:
        end_over(p, m)
        fw.log_switching(t, at.E_NOT_OVER, at.NO_INDEX, m, log)
    else:
        begin_over(t, p, m)
        fw.log_switching(t, at.E_OVER, at.NO_INDEX, m, log)


@compiled
def mains(t, p, m, interruptions, log):
    """Mains goes or comes back."""
    if not fw.due(m[at.MAINS_AT], t):
        return False
    i = int(m[at.MAINS_INDEX])
    if m[at.MAINS] > 0.0:
        m[at.MAINS] = 0.0
        m[at.MAINS_AT] = interruptions[i, 1]
        switch_off(p, m)
        fw.log_switching(t, at.E_MAINS_OFF, at.NO_INDEX, m, log)
        return True
    m[at.MAINS] = 1.0
    m[at.MAINS_INDEX] = i + 1
    m[at.MAINS_AT] = inf
    if i + 1 < interruptions.shape[0]:
        m[at.MAINS_AT] = interruptions[i + 1, 0]
    m[at.READY_SEEN] = 0.0
    m[at.RELAPSE] = at.NO_RELAPSE
    switch_on(t, p, m)
    fw.log_switching(t, at.E_MAINS_ON, at.NO_INDEX, m, log)
    return True


@compiled
def adapter_timers(t, p, m, log):
    """End of ramps, allowance spent, trip, retry; returns whether anything happened."""
    happened = False
    if fw.due(m[at.KINK], t):
        m[at.KINK] = inf
        m[at.JOLT] = 1.0
        happened = True
    if fw.due(m[at.OWN_KINK], t):
        m[at.OWN_KINK] = inf
        m[at.JOLT] = 1.0
        happened = True
    if fw.due(m[at.SPENT_AT], t):
        m[at.SPENT_AT] = inf
        m[at.TOP] = p.adapter_limit_current
        m[at.JOLT] = 1.0
        fw.log_switching(t, at.E_ALLOWANCE_SPENT, at.NO_INDEX, m, log)
        happened = True
    if fw.due(m[at.TRIP_AT], t):
        switch_off(p, m)
        m[at.TRIP_COUNT] += 1.0
        fw.relapse(at.RELAPSE_TRIP, m)
        if p.adapter_latches == 0.0:
            m[at.RETRY_AT] = t + p.adapter_retry_delay
        fw.log_switching(t, at.E_TRIP, at.NO_INDEX, m, log)
        happened = True
    if fw.due(m[at.RETRY_AT], t):
        m[at.RETRY_AT] = inf
        if m[at.MAINS] > 0.0:
            switch_on(t, p, m)
            fw.log_switching(t, at.E_RETRY, at.NO_INDEX, m, log)
        happened = True
    return happened


@compiled
def settle(t, y, p, s, m, q, interruptions, log):
    """Let everything that falls on t take effect, save thresholds, which are applied before."""
    fw.listen_timers(t, m, q, log)
    busy = True
    while busy:
        busy = mains(t, p, m, interruptions, log)
        busy |= adapter_timers(t, p, m, log)
        busy |= fw.reset_release(t, p, m, log)
        busy |= fw.boot_peak(t, p, m, log)
        busy |= fw.frame_end(t, m, q, log)
        busy |= fw.boot(t, p, m, q, log)
        busy |= fw.gate(t, m, log)
        busy |= fw.frame_start(t, p, s, m, q, log)
        busy |= fw.burst(t, p, m, log)
        busy |= retest_over(t, y, p, m, log)
