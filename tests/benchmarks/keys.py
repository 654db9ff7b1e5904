"""How long from a key press on a slider to changed words and pixels, on the pages that answer by themselves.

Run with ``python -m tests.benchmarks.keys``, three minutes; with ``--parts`` also what the time goes into; with
``--lab`` in JupyterLab, the first notebook alone. A real browser, its own clock: from the key's event to the first
frame before which the words of the answer are others, the address of a picture, those of all that change. Quantised to
frames of 17 ms; on a machine that does other work at the same time the figures say little; its load stands below them.
"""

import os
import statistics
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from inrushlib import serve
from tests.browser.conftest import FLAGS, find_browser
from tests.command_line import call

from .key_parts import HEAR, parts_of, print_kernel, print_parts
from .pages import DRAWN, SETTLE, SHOWN, WAIT, workbook
from .quick import rounds

PRESSES = 60
REST = 0.5  # [s] between two presses, after the last picture has stayed for as long
PAGES = ("1_will_it_boot.ipynb", "4_feed_and_wire.ipynb", "5_model_against_scope.ipynb")
WATCH = """() => {
  const words = () => [...document.querySelectorAll('.wb-read-out, .wb-answer')].map(e => e.textContent).join();
  const pixels = () => {
    const shown = [...document.querySelectorAll('.wb-picture img, img.wb-plot')];
    return shown.every(e => e.complete && e.naturalWidth > 100) ? shown.map(e => e.src).join() : '';
  };
  document.addEventListener('keydown', event => {
    const pressed = event.timeStamp, said = words(), after = [null, null, null];
    let drawn = pixels();
    window.took = null;
    const look = () => {
      const now = performance.now() - pressed, seen = pixels();
      if (after[0] === null && words() !== said) after[0] = now;
      if (seen !== '' && seen !== drawn) {
        drawn = seen;
        if (after[1] === null) after[1] = now;
        after[2] = now;
      }
      const enough = after[2] === null ? 5000 : after[0] === null ? after[2] + 1000 : after[2] + 500;
      if (now < enough) requestAnimationFrame(look);
      else window.took = after;
    };
    requestAnimationFrame(look);
  }, true);
}"""


def pressed(page: Page, count: int, parts: list[tuple[list[float], int, int]]) -> list[tuple[float | None, ...]]:
    """Press to and fro; how long until words, the first and the last picture changed [ms], None where they stayed.

    ``parts`` gets what it took in parts, where the page listens to that.
    """
    handle = page.get_by_role("slider", name="rated current", exact=False).first
    handle.focus(timeout=WAIT)
    page.evaluate(WATCH)
    found = []
    for place in range(count):
        time.sleep(REST)
        page.keyboard.press("ArrowRight" if place % 2 == 0 else "ArrowLeft")
        found.append(tuple(page.wait_for_function("() => window.took", timeout=WAIT).json_value()))
        heard, at = page.evaluate("() => { window.took = null; return [window.heard || [], window.pressedAt || 0] }")
        each = parts_of(heard, at, found[-1][2]) if heard and found[-1][2] is not None else None
        parts += [each] if each is not None else []
    return found


def run_all(page: Page) -> None:
    """Run the notebook that is open in the editor, on the kernel that is proposed."""
    page.get_by_text("(ipykernel) | Idle").first.wait_for(timeout=WAIT)  # a cell that is run before is left out
    page.get_by_role("menuitem", name="Run", exact=True).click(timeout=WAIT)
    page.locator('[data-command="runmenu:run-all"]').first.click(timeout=WAIT)
    page.locator(".jp-Dialog .jp-mod-accept, .wb-page").first.wait_for(timeout=WAIT)
    if page.locator(".jp-Dialog .jp-mod-accept").count():
        page.locator(".jp-Dialog .jp-mod-accept").first.click(timeout=WAIT)


def main(parts: bool = False, lab: bool = False) -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_browser(), args=FLAGS)
        apart: dict[str, list[tuple[list[float], int, int]]] = {}
        print("Half of all and 95 % of them, in ms.\n")
        print("| page | words | first picture | last picture |\n| --- | --- | --- | --- |")
        with workbook(Path(name).resolve(), *(["--lab"] if lab else [])) as (address, _):
            for notebook in PAGES[:1] if lab else PAGES:
                page, heard = browser.new_page(viewport={"width": 1280, "height": 900}), []
                if parts:
                    page.add_init_script(f"({HEAR})()")
                page.goto(address.replace(serve.FIRST_NOTEBOOK, notebook), wait_until="domcontentloaded")
                if lab:
                    run_all(page)
                page.wait_for_function(SHOWN, timeout=WAIT)
                page.wait_for_function(DRAWN, timeout=WAIT)
                time.sleep(SETTLE)
                words, first, last = zip(*pressed(page, rounds(PRESSES), heard), strict=True)
                print(f"| {notebook} | {_spread(words)} | {_spread(first)} | {_spread(last)} |", flush=True)
                apart[notebook] = heard
                page.close()
    if parts:
        for notebook, heard in apart.items():
            print_parts(notebook, heard)
        print_kernel()
    print(f"\nLoad of the machine meanwhile, of 1 a processor: {os.getloadavg()[0] / (os.cpu_count() or 1):.1f}")


def _spread(times: tuple[float | None, ...]) -> str:
    known = sorted(each for each in times if each is not None)
    if len(known) < 2:
        return f"{len(known)} of {len(times)} changed"
    half, most = statistics.median(known), known[min(len(known) - 1, int(0.95 * len(known)))]
    return f"{half:.0f}, {most:.0f} ({len(known)} of {len(times)} changed)"


if __name__ == "__main__":
    call(main, __doc__)
