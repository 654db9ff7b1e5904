"""Reading any text export of a scope: ``reader`` from file to capture, the other modules are its steps."""
