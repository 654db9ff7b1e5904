"""What a page says while it is not there yet, and where it cannot be made."""

from __future__ import annotations

import json

from inrushlib.errors import BuildError
from inrushlib.serve import gone

# One for each cell of a notebook: its title, its import, its page.
STAGES = (
    "Starting the calculation: a process of its own for this page",
    "Loading the model: compiled once for this machine, half a minute at most",
    "Computing the first start and drawing it",
)
LOOK = """<style>
  body[data-voila] { background: #eceeec; color: #16201c; font: 400 13px/18px system-ui, sans-serif; }
  #loading { padding: 24px 16px; } #loading b { display: block; font-size: 28px; line-height: 36px; }
  @media (prefers-color-scheme: dark) { body[data-voila] { background: #0d1211; color: #e7edea; } }
</style>
"""
WORDS = f"""<div id="loading" role="status"><div><b>Workbook</b><span id="loading_text">{STAGES[0]} …</span></div></div>
"""
# By the number of the cell that is being run, counted from 1.
SAY = f"""<script>
  window.voila_process = (cell, count) =>
    window.update_loading_text(cell, count, {json.dumps(STAGES)}[Math.min(cell, {len(STAGES)}) - 1] + " …");
</script>
"""
# The page's program waits for the whole page by itself; asked for early, it comes while the cells are run.
PROGRAM = "{{ voila_setup_labextensions(resources.base_url, resources.labextensions) }}"
CELLS = "{%- for cell in cell_generator(nb, kernel_id) -%}"
SWAPS = (
    (PROGRAM, ""),
    (CELLS, f"{PROGRAM}\n{CELLS}"),
    ("{{ spinner.css() }}", LOOK + gone.STYLE),
    ("{{ spinner.html() }}", WORDS),
    ("{{ voila_setup_helper_functions() }}", "{{ voila_setup_helper_functions() }}\n" + SAY + gone.SCRIPT),
)

FAILED = """{% extends "error.html" %}
{% block error_detail %}
<p>The page could not be made. Is the folder for temporary files full? Make room in it, then load the page again.</p>
<p>Builds that were saved, and the one that the pages work on, are kept.</p>
{% endblock %}
"""
"""The server's page for what it did not foresee."""


def page_of(template: str) -> str:
    """Return the server's page template with our words while it loads, and without what it fetches from elsewhere.

    Parameters
    ----------
    template : str
        As it came with the server.

    Raises
    ------
    BuildError
        Where it is not made as expected.
    """
    lines = template.splitlines(keepends=True)
    page = "".join(line for line in lines if "//cdn." not in line)
    for before, after in SWAPS:
        if before not in page:
            raise BuildError(f"the server's page template has no {before}; install 'inrushlib[workbook]' anew")
        page = page.replace(before, after)
    return page
