"""The laws of the parts, each in one place: plain functions of numbers, in SI, that know no build and no compiler.

``constants``   what no build file says: widths of bends, drops of diodes, the joint
``smooth``      the smooth maximum, minimum and step that most laws are made of
``adapter``     its limit and its regulator
``limiter``     an NTC in the lead
``switch``      joint, channel, body diode, load switch, a pin's clamp
``controller``  feed, regulator, what it draws
``pixel``       a colour channel, a pixel
``arrays``      the same for a whole panel at once: the pixel's law on arrays

A law returns its value and then its slopes, derived by hand: the start-up's stepper and the steady panel's Newton
method need them exact. The model compiles these functions (:mod:`inrushlib.model.laws`), the steady panel calls them
as they are; the array forms are held to them by ``tests/laws/test_forms.py``. The equations stand together in
``inrushlib/model/NOTES.md``.
"""
