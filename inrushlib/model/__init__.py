"""The compiled start-up model: numbers and arrays in, numbers and arrays out.

``run``       a run or many, as Python asks for them; ``advance`` is the outer loop of smooth stretches
``stepper``   one implicit step with its error and dense output
``switching`` what ends a stretch and what changes then
``circuit``   the equations and their slopes, and the linear solve that fits them
``laws``      the laws of the parts (:mod:`inrushlib.laws`), compiled
``pixels``    the pixel's law for several lumps at once
``judge``     the verdict as a number
``decided``   when a run may end early
``batch``     many runs in one compiled loop
``readout``   what is read off a finished run by quadrature
``branches``  currents that are no states, at any instants of a finished run
``layout``    the meaning of every index

``compiled`` has the decorators, ``arguments`` and ``machine_code`` call what is compiled, ``compiler`` is the only
place that knows numba; it is loaded where something has to be compiled. The model imports nothing of this project but
the laws.
"""
