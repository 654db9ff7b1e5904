"""A build whose words try to do something wherever they are shown."""

SCRIPT = "<script>window.struck = 1</script><img src=x onerror='window.struck = 1'>"
FORMULA = "$x_1$ $\\frac{$ \\$5"
ESCAPES = "\x1b[31m\x1b]0;struck\x07\x9b2J"
TURNED = "\u202eback"
OTHERS = "中文 שלום"
TITLE = f"{SCRIPT} {FORMULA} {ESCAPES}\r\nBOOTS {TURNED} {OTHERS}"
FOLDER = "<b onmouseover='window.struck = 1'>R&D"
FILE = "<i>\x1b[31m.toml"

BUILD = f"""
title = {"".join(f"{chr(92)}u{ord(c):04x}" for c in TITLE).join('""')}
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
