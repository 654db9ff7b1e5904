"""The laws of the parts, compiled: the functions of :mod:`inrushlib.laws`, which stand there in plain Python."""

from __future__ import annotations

from inrushlib.laws import adapter, controller, smooth, switch
from inrushlib.laws import limiter as limiters
from inrushlib.laws import pixel as pixels

from .compiled import compiled_law

soft = compiled_law(smooth.soft)
least = compiled_law(smooth.least)
rise = compiled_law(smooth.rise)

adapter_limit = compiled_law(adapter.adapter_limit)
adapter_current = compiled_law(adapter.adapter_current)
limiter = compiled_law(limiters.limiter)

joint = compiled_law(switch.joint)
channel = compiled_law(switch.channel)
body = compiled_law(switch.body)
load_switch = compiled_law(switch.load_switch)
pin_clamp = compiled_law(switch.pin_clamp)

feed_current = compiled_law(controller.feed_current)
regulator = compiled_law(controller.regulator)
rail_load = compiled_law(controller.rail_load)

colour_channel = compiled_law(pixels.colour_channel)
pixel = compiled_law(pixels.pixel)
