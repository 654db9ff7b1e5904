"""What a page says once nothing calculates for it any more, and how it comes to know.

The page asks the server every few seconds whether its kernel is still there. It is not where the kernel ended by
itself, or was ended because the page had been away for long, as on a machine that was asleep.
"""

from __future__ import annotations

import json
from enum import Enum

EVERY = 3000  # [ms] between two looks
LEAVING = 10_000  # [ms] after a farewell, in which the page is expected to be gone


class Gone(Enum):
    """Why nothing calculates for a page; the value is its name on the page."""

    ENDED = "ended"
    SERVER = "server"
    NOT_MADE = "not made"

    @property
    def words(self) -> str:
        """What the page says."""
        return _WORDS[self]

    @property
    def mends(self) -> bool:
        """Whether loading the page again helps."""
        return self is not Gone.SERVER


_WORDS = {
    Gone.ENDED: "The calculation behind this page has ended: nothing that is changed here has an effect any more. "
    "The build that the pages work on is kept.",
    Gone.SERVER: "The workbook's server has ended. Start it again with “inrush workbook”, and open the address that "
    "it prints. The build that the pages work on is kept.",
    Gone.NOT_MADE: "The page could not be made, because the calculation behind it ended. "
    "The build that the pages work on is kept.",
}
STYLE = """<style>
  #gone { position: fixed; inset: 0 0 auto 0; z-index: 1000; display: flex; flex-wrap: wrap; gap: 8px 16px;
    align-items: center; padding: 12px 16px; background: #16201c; color: #eceeec;
    font: 400 13px/18px system-ui, sans-serif; }
  #gone button { font: inherit; font-weight: 600; color: #16201c; background: #eceeec; border: 0; padding: 6px 12px;
    border-radius: 4px; cursor: pointer; }
  #gone button:focus-visible { outline: 2px solid #eceeec; outline-offset: 2px; }
  @media (prefers-color-scheme: dark) {
    #gone { background: #e7edea; color: #0d1211; }
    #gone button { background: #0d1211; color: #e7edea; }
    #gone button:focus-visible { outline-color: #0d1211; }
  }
</style>
"""
SCRIPT = f"""<script>
(() => {{
  const WORDS = {json.dumps({why.value: (why.words, why.mends) for why in Gone})};
  let said = false, silent = 0, leaving = 0;

  window.say_gone = (why) => {{
    if (said) return;
    said = true;
    document.getElementById("loading")?.remove();  // what it says comes no more
    const [words, mends] = WORDS[why];
    const box = document.createElement("div");
    box.id = "gone";
    box.setAttribute("role", "alert");
    box.append(words);
    if (mends) {{
      const button = document.createElement("button");
      button.textContent = "Load the page again";
      button.addEventListener("click", () => location.reload());
      box.append(button);
    }}
    document.body.prepend(box);
  }};

  async function look() {{
    const told = document.getElementById("jupyter-config-data");
    if (said || !told || document.visibilityState !== "visible" || Date.now() < leaving) return;
    const {{ baseUrl, kernelId }} = JSON.parse(told.textContent);
    let status = 0;
    try {{ status = (await fetch(`${{baseUrl}}api/kernels/${{kernelId}}`)).status; }} catch {{}}
    if (Date.now() < leaving) return;
    silent = status ? 0 : silent + 1;
    if (status === 404) say_gone("{Gone.ENDED.value}");
    if (silent > 1) say_gone("{Gone.SERVER.value}");
  }}

  const leave = () => {{ leaving = Date.now() + {LEAVING}; }};
  window.addEventListener("beforeunload", leave);
  window.addEventListener("pagehide", leave);
  // Kept by the browser and shown again, it is without the kernel that it took leave of.
  window.addEventListener("pageshow", (event) => {{ if (event.persisted) location.reload(); }});
  document.addEventListener("visibilitychange", look);
  setInterval(look, {EVERY});
}})();
</script>
"""
NOT_MADE = f"""<script>say_gone("{Gone.NOT_MADE.value}");</script>
"""
"""Ends a page that could not be made."""
