"""A board that boots within 60 ms, as a file."""

BOOTS = """
title = "two small panels"
[adapter]
rated_current = "3 A"
[controller]
boot_time = "10 ms"
[wiring]
sections = 2
pixels_per_section = 16
[run]
duration = "60 ms"
"""
