"""Fitting part values to a capture: ``fit`` is the fit, the other modules are its steps."""
