"""Currents that are no states of the model, from the curves of a start by the model's own laws.

``controller_feed_current``
    from the bus, or its own supply, into the controller's reservoir
``switch_current``
    through the switch from bus to panel
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from inrushlib.panel.laws import least, soft
from inrushlib.panel.laws import switch_current as p_channel_current
from inrushlib.startup import Actor, Startup

Array = NDArray[np.float64]

DIODE_WIDTH = 0.03  # [V] of the diode's bend, as in the model notes
OWN_RAMP = 1e-3  # [s] start of the controller's own supply
RAMP_WIDTH = 0.02  # [V] where a load switch's ramp meets its input
LIMIT_SHARE = 0.01  # of a load switch's limit: how round it is


def controller_feed_current(startup: Startup, times: Array) -> Array:
    """Current into the controller's reservoir.

    ``(soft(v_in - v_h - diode_drop, 30 mV) - soft(-diode_drop, 30 mV)) / feed_resistance`` with a diode,
    ``(v_in - v_h) / feed_resistance`` without; v_in is the bus, or the controller's own supply.

    Parameters
    ----------
    startup : Startup
        A start [SI].
    times : array
        Instants [s], within the run.

    Returns
    -------
    array
        Current [A] at them.
    """
    curves, c = startup.at(times), startup.build.controller
    if c.feed == "own":
        source = c.own_voltage * np.clip(np.asarray(times) / OWN_RAMP, 0.0, 1.0)
    else:
        source = curves["bus_voltage"]
    over = source - curves["reservoir_voltage"]
    if not c.feed_diode:
        return np.asarray(over / c.feed_resistance)
    through = soft(over - c.diode_drop, DIODE_WIDTH)[0] - soft(np.asarray(-c.diode_drop), DIODE_WIDTH)[0]
    return np.asarray(through / c.feed_resistance)


def switch_current(startup: Startup, times: Array) -> Array:
    """Current through the switch, positive into the panel.

    Channel less body diode of a P-channel switch; a load switch's own law. See the model notes.

    Parameters
    ----------
    startup : Startup
        A start of a build with a switch [SI].
    times : array
        Instants [s], within the run.

    Returns
    -------
    array
        Current [A] at them.
    """
    curves, switch = startup.at(times), startup.build.switch
    assert switch is not None
    bus, root = curves["bus_voltage"], curves["panel_voltage"]
    if switch.kind == "load-switch":
        on_for = _on_for(startup, np.asarray(times))
        target, _ = least(bus, switch.slew_rate * on_for, RAMP_WIDTH)
        width = LIMIT_SHARE * switch.current_limit
        limited, _ = least((target - root) / switch.on_resistance, switch.current_limit, width)
        return np.where(on_for > 0.0, soft(limited, width)[0], 0.0)
    beta = 1.0 / (switch.on_resistance * (switch.on_resistance_drive - switch.threshold_voltage))
    (channel, body), _ = p_channel_current(bus, root, curves["gate_voltage"], switch.threshold_voltage, beta)
    return np.asarray(channel - body)


def _on_for(startup: Startup, times: Array) -> Array:
    """How long the switch has been commanded on [s]; 0 while it is off."""
    on_for = np.zeros(len(times))
    for span in startup.spans[Actor.GATE]:
        if span.state == "on":
            inside = (times >= span.start) & (times <= span.end)
            on_for[inside] = times[inside] - span.start
    return on_for
