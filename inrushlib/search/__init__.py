"""Searches over the start-up model and the steady panel: one module a question.

``adapter``      the smallest adapter and the next standard rating (``ratings``)
``window``       the window for the first frame after the switch (``quiet``, ``delay_spare``); ``gate_map`` over the
                 gate's parts
``reservoir``    the smallest capacitor behind a diode (``preferred``: E6 values)
``brightness``   the largest level, and the constants for the firmware (``running``: the running picture)
``map``          the verdict over any two keys (``axis``, ``boundary``)
``feeds``, ``wires``
                 where to feed, and with what wire
``islands``      scan, refine, islands: what the searches share
``rerun``        a start before and after a change
"""
