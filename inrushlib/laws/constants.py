"""Constants of the laws: what no build file says. Each stands here and nowhere else.

They are part of the model's description (``inrushlib/model/NOTES.md``); diodes and clamps are typical of silicon, from
memory.
"""

from __future__ import annotations

# Adapter.
LIMIT_SHARE = 0.01  # [1] rounding of an adapter's, regulator's or load switch's limit, as a share of it
CORNER = 0.01  # [A] widest rounding of an adapter's lower corner: a wider one lifts its output when little is drawn
OVER_SHARE = 0.97  # [1] of the limit, from which an adapter counts as over
NOT_OVER_SHARE = 0.90  # [1] of the limit, below which it no longer does

# Limiter.
COLD = 298.15  # [K] at which a limiter's cold resistance is stated

# Between bus and panel.
JOINT_RESISTANCE = 0.002  # [ohm] where there is no switch
TWO_PHI = 0.08  # [V] twice the smoothing voltage of the charge-sheet law, 40 mV
BODY_DROP = 0.7  # [V] body diode of a silicon switch; typical, from memory
BODY_WIDTH = 0.03  # [V]
BODY_RESISTANCE = 0.05  # [ohm]
CLAMP_DROP = 0.6  # [V] pin clamp diode
CLAMP_WIDTH = 0.03  # [V]
CLAMP_RESISTANCE = 100.0  # [ohm] inside the controller's pin
RAMP_WIDTH = 0.02  # [V] rounding where a load switch's ramp meets its input

# Controller.
OWN_RAMP = 0.001  # [s] start of the controller's own supply
DIODE_WIDTH = 0.03  # [V] of the bend of the diode in its feed
REGULATION_RESISTANCE = 0.05  # [ohm] of its regulator
LOAD_WIDTH = 0.2  # [V] below which what it draws fades to nothing

# Pixel.
CHANNEL_WIDTH = 0.06  # [V] of a colour channel's turn-on
CHANNEL_SHARE = 0.03  # [1] rounding of a channel's knee into constant current, as a share of it
WAKE_WIDTH = 0.08  # [V] of the chip's waking
