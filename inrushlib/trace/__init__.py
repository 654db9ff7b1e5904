"""Captured curves: reading any text export of a scope, conditioning, lining up, fitting."""

from inrushlib.trace.read.reader import read_trace
from inrushlib.trace.read.record import Channel, ReadChoices, Trace

__all__ = ["Channel", "ReadChoices", "Trace", "read_trace"]
