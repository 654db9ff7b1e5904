"""What to buy and what to change: searches over the start-up model and the steady panel.

``adapter``      the smallest adapter and the next standard rating
``remedies``     what to change, side by side (``remedy_plans``, ``remedy_risks``)
``window``       the window for the first frame after the switch; ``gate_map`` over the gate's parts
``reservoir``    the smallest capacitor behind a diode (``preferred``: E6 values)
``stress``       what the switch goes through (``stress_findings``)
``brightness``   the largest level, and the constants for the firmware
``map``          the verdict over any two keys (``axis``, ``boundary``)
``feeds``, ``wires``
                 where to feed, and with what wire
``safety``       what can get hot or misread (``finding``, ``hardware``, ``conductor_findings``, ``supply_findings``,
                 ``fuse_findings``, ``fuse``, ``fuse_pulse``, ``fault_current``, ``pulse``, ``limited_power``,
                 ``data_line``)
``search``       scan, refine, islands: what the searches share
"""
