"""What changes at an instant on the controller's and the pixels' side.

Thresholds: ``rail_up``, ``rail_dip``, ``brown_out``, ``cross_listen``, ``forget``.
Timers: ``listen_timers``, ``reset_release``, ``boot_peak``, ``frame_end``, ``boot``, ``gate``, ``frame_start``,
``burst``; each says whether anything happened.
"""

from __future__ import annotations

from math import inf

from . import layout as at
from .compiled import compiled

SAME_INSTANT = 1e-9  # [s] two instants closer than this are one
CONTENT_SLACK = 1e-9  # [s] a frame this little before content_delay already carries the content


@compiled
def log_switching(t, code, index, m, log):
    """Record a switching, if there is room; count it in any case."""
    row = int(m[at.SWITCHINGS])
    m[at.SWITCHINGS] += 1.0
    if row < log.shape[0]:
        log[row, 0] = t
        log[row, 1] = code
        log[row, 2] = index


@compiled
def due(instant, t):
    """Say whether an instant has come."""
    return instant < t + SAME_INSTANT


@compiled
def set_load(p, m):
    """Set the rail's draw from the controller's state and the radio."""
    i = p.controller_reset_current
    if m[at.STATE] == at.BOOT:
        i = p.controller_boot_current
    elif m[at.STATE] == at.RUN:
        i = p.controller_run_current
    if m[at.BURST] > 0.0:
        i += p.controller_burst_current
    if m[at.BOOT_PEAK] > 0.0:
        i += p.controller_boot_peak_current
    if i != m[at.LOAD]:
        m[at.LOAD] = i
        m[at.JOLT] = 1.0


@compiled
def relapse(kind, m):
    """Remember the first relapse after ready was reached since the last power-up."""
    if m[at.READY_SEEN] > 0.0 and m[at.RELAPSE] == at.NO_RELAPSE:
        m[at.RELAPSE] = kind


@compiled
def all_shown(q):
    """Say whether every lump shows a frame."""
    for k in range(q.shape[0]):
        if q[k, at.SHOWS] == at.SHOWS_POWER_ON:
            return False
    return True


@compiled
def rail_up(t, p, m, log):
    """The rail rose to the upper level: the hold starts to run."""
    m[at.RELEASE_AT] = t + p.controller_reset_hold
    log_switching(t, at.E_RAIL_UP, at.NO_INDEX, m, log)


@compiled
def rail_dip(t, m, log):
    """The rail fell below the upper level before the hold was over: the hold starts anew when it is back."""
    m[at.RELEASE_AT] = inf
    log_switching(t, at.E_RAIL_DIP, at.NO_INDEX, m, log)


@compiled
def reset_release(t, p, m, log):
    """The hold is over: the controller boots."""
    if not due(m[at.RELEASE_AT], t):
        return False
    m[at.RELEASE_AT] = inf
    m[at.STATE] = at.BOOT
    m[at.BOOT_AT] = t + p.controller_boot_time
    if p.controller_boot_peak_current > 0.0:
        m[at.BOOT_PEAK_AT] = t + p.controller_boot_peak_at
    set_load(p, m)
    log_switching(t, at.E_RESET_RELEASE, at.NO_INDEX, m, log)
    return True


@compiled
def boot_peak(t, p, m, log):
    """The peak of the boot starts or ends."""
    if not due(m[at.BOOT_PEAK_AT], t):
        return False
    if m[at.BOOT_PEAK] > 0.0:
        end_boot_peak(t, m, log)
    else:
        m[at.BOOT_PEAK] = 1.0
        m[at.BOOT_PEAK_AT] += p.controller_boot_peak_length
        log_switching(t, at.E_BOOT_PEAK_START, at.NO_INDEX, m, log)
    set_load(p, m)
    return True


@compiled
def end_boot_peak(t, m, log):
    """End the peak of the boot, if it runs or is still to come."""
    m[at.BOOT_PEAK_AT] = inf
    if m[at.BOOT_PEAK] > 0.0:
        m[at.BOOT_PEAK] = 0.0
        log_switching(t, at.E_BOOT_PEAK_END, at.NO_INDEX, m, log)


@compiled
def brown_out(t, p, m, log):
    """The rail fell to the lower level: back to reset, everything that was going on is dropped."""
    if m[at.FRAME] > 0.0:
        log_switching(t, at.E_FRAME_LOST, int(m[at.FRAME_KIND]), m, log)
    m[at.STATE] = at.RESET
    m[at.BROWN_OUTS] += 1.0
    relapse(at.RELAPSE_BROWN_OUT, m)
    if m[at.GATE_LOW] > 0.0:
        m[at.GATE_LOW] = 0.0
        m[at.JOLT] = 1.0
    m[at.FRAME] = 0.0
    m[at.BURST] = 0.0
    end_boot_peak(t, m, log)
    for i in (at.RELEASE_AT, at.BOOT_AT, at.GATE_AT, at.BURST_AT, at.FRAME_END, at.FRAME_DUE, at.CONTENT_DUE, at.T_RUN):
        m[i] = inf
    set_load(p, m)
    log_switching(t, at.E_BROWN_OUT, at.NO_INDEX, m, log)


@compiled
def cross_listen(t, k, p, s, m, q, log):
    """Lump k crossed the listen level: up, it starts to wait; down, it is deaf at once."""
    if q[k, at.HEARS] == at.BELOW:
        log_switching(t, at.E_ABOVE, k, m, log)
        q[k, at.HEARS] = at.WAITING
        q[k, at.HEARS_AT] = t + p.pixel_listen_delay
        return
    q[k, at.HEARS] = at.BELOW
    q[k, at.HEARS_AT] = inf
    log_switching(t, at.E_DEAF, k, m, log)
    for j in range(k, q.shape[0]):
        if s[j, at.LANE] == s[k, at.LANE]:
            q[j, at.REACHED] = 0.0


@compiled
def forget(t, k, m, q, log):
    """Lump k fell to the forget level: back to its power-on colour."""
    q[k, at.SHOWS] = at.SHOWS_POWER_ON
    m[at.SHOWN_AT] = inf
    m[at.JOLT] = 1.0
    log_switching(t, at.E_FORGETS, k, m, log)


@compiled
def listen_timers(t, m, q, log):
    """Lumps that have been above the listen level for long enough listen."""
    for k in range(q.shape[0]):
        if due(q[k, at.HEARS_AT], t):
            q[k, at.HEARS_AT] = inf
            q[k, at.HEARS] = at.LISTENING
            log_switching(t, at.E_LISTENS, k, m, log)


@compiled
def frame_end(t, m, q, log):
    """The gap after a frame ends: the lumps that it reached show it."""
    if m[at.FRAME] == 0.0 or not due(m[at.FRAME_END], t):
        return False
    m[at.FRAME] = 0.0
    m[at.FRAME_END] = inf
    log_switching(t, at.E_FRAME_END, int(m[at.FRAME_KIND]), m, log)
    for k in range(q.shape[0]):
        if q[k, at.REACHED] > 0.0 and q[k, at.SHOWS] != m[at.FRAME_KIND]:
            q[k, at.SHOWS] = m[at.FRAME_KIND]
            m[at.JOLT] = 1.0
            log_switching(t, at.E_SHOWS, k, m, log)
    if all_shown(q):
        m[at.READY_SEEN] = 1.0
        m[at.SHOWN_AT] = min(m[at.SHOWN_AT], t)
    return True


@compiled
def boot(t, p, m, q, log):
    """The boot time is over: the builder's program runs."""
    if not due(m[at.BOOT_AT], t):
        return False
    m[at.BOOT_AT] = inf
    end_boot_peak(t, m, log)
    m[at.STATE] = at.RUN
    m[at.T_RUN] = t
    m[at.RUNNING_AT] = min(m[at.RUNNING_AT], t)
    m[at.GATE_AT] = t + p.firmware_gate_delay
    m[at.FRAME_COUNT] = 0.0
    m[at.FRAME_DUE] = t + p.firmware_first_frame_delay
    if p.firmware_refresh_interval == 0.0:
        m[at.CONTENT_DUE] = t + p.firmware_content_delay
    m[at.BURST_COUNT] = 1.0
    if p.controller_burst_current > 0.0:
        m[at.BURST_AT] = t + p.controller_burst_period
    if all_shown(q):
        m[at.READY_SEEN] = 1.0
    set_load(p, m)
    log_switching(t, at.E_RUN, at.NO_INDEX, m, log)
    return True


@compiled
def gate(t, m, log):
    """The program pulls the gate low."""
    if not due(m[at.GATE_AT], t):
        return False
    m[at.GATE_AT] = inf
    m[at.GATE_LOW] = 1.0
    m[at.GATE_SINCE] = t
    m[at.JOLT] = 1.0
    log_switching(t, at.E_GATE_LOW, at.NO_INDEX, m, log)
    return True


@compiled
def burst(t, p, m, log):
    """A radio burst starts or ends."""
    if not due(m[at.BURST_AT], t):
        return False
    n = m[at.BURST_COUNT]
    if m[at.BURST] > 0.0:
        m[at.BURST] = 0.0
        m[at.BURST_COUNT] = n + 1.0
        m[at.BURST_AT] = m[at.T_RUN] + (n + 1.0) * p.controller_burst_period
        log_switching(t, at.E_BURST_END, at.NO_INDEX, m, log)
    else:
        m[at.BURST] = 1.0
        m[at.BURST_AT] = m[at.T_RUN] + n * p.controller_burst_period + p.controller_burst_length
        log_switching(t, at.E_BURST_START, at.NO_INDEX, m, log)
    set_load(p, m)
    return True


@compiled
def frame_start(t, p, s, m, q, log):
    """A frame starts if one is due and the line is free; it reaches who listens from now to its end."""
    if m[at.FRAME] > 0.0:
        return False
    if due(m[at.FRAME_DUE], t):
        m[at.FRAME_COUNT] += 1.0
        m[at.FRAME_DUE] = inf
        if p.firmware_refresh_interval > 0.0:
            m[at.FRAME_DUE] = (
                m[at.T_RUN] + p.firmware_first_frame_delay + m[at.FRAME_COUNT] * p.firmware_refresh_interval
            )
    elif due(m[at.CONTENT_DUE], t):
        m[at.CONTENT_DUE] = inf
    else:
        return False
    m[at.FRAME] = 1.0
    m[at.FRAME_END] = t + p.firmware_frame_time
    m[at.FRAME_KIND] = at.SHOWS_FIRST
    if t >= m[at.T_RUN] + p.firmware_content_delay - CONTENT_SLACK:
        m[at.FRAME_KIND] = at.SHOWS_CONTENT
    log_switching(t, at.E_FRAME_START, int(m[at.FRAME_KIND]), m, log)
    heard = 1.0
    for k in range(q.shape[0]):
        if k > 0 and s[k, at.LANE] != s[k - 1, at.LANE]:
            heard = 1.0
        if q[k, at.HEARS] != at.LISTENING:
            heard = 0.0
        q[k, at.REACHED] = heard
    return True
