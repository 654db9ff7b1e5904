"""Captured curves: reading any text export of a scope, conditioning, lining up, fitting."""

from inrushlib.trace.read import read_trace
from inrushlib.trace.record import Channel, ReadChoices, Trace

__all__ = ["Channel", "ReadChoices", "Trace", "read_trace"]
