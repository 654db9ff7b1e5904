"""The README's pictures, made from the served pages in a real browser: three widths, light and dark.

Run with ``python -m tests.pictures`` after a change of looks, then look at ``workbook/pictures/`` before keeping them.
"""

import tempfile
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, sync_playwright

from inrushlib import serve
from tests.browser.conftest import FLAGS, NAME, SCRIPT, find_browser, running
from tests.command_line import call

FOLDER = Path(__file__).resolve().parents[1] / "workbook" / "pictures"
WAIT = 120_000  # [ms]
COLOURS = 128  # of a picture, so that it stays small
# All there: the answer, what it rests on, and every picture loaded.
READY = """() => {
  const images = [...document.querySelectorAll('.wb-picture img, img.wb-plot')];
  return document.querySelector('.wb-rests li') && images.length
    && images.every(i => i.complete && i.naturalWidth > 100)
    && (document.querySelector('.wb-answer') || (picture() && fits()))
    && ![...document.querySelectorAll('.wb-stale')].some(e => /computed/.test(e.textContent));
}"""


@dataclass(frozen=True)
class Shot:
    """A picture of a page.

    Attributes
    ----------
    name : str
        Of its file.
    notebook : str
        The page.
    width, height : int
        Of the window [px].
    scheme : str
        "light" or "dark".
    """

    name: str
    notebook: str = serve.FIRST_NOTEBOOK
    width: int = 1280
    height: int = 900
    scheme: str = "light"


SHOTS = (
    Shot("will_it_boot"),
    Shot("will_it_boot_phone", width=390),
    Shot("feed_and_wire", "4_feed_and_wire.ipynb"),
    Shot("model_against_scope", "5_model_against_scope.ipynb", width=1920, height=1080, scheme="dark"),
)


def take(browser: Browser, server: serve.Server, work: Path, shot: Shot, folder: Path) -> None:
    """Open a page and keep a picture of it.

    Parameters
    ----------
    browser : Browser
        To open it in.
    server : Server
        Which serves it.
    work : Path
        Folder of the server's start.
    shot : Shot
        Which page, and how.
    folder : Path
        Where the picture goes.
    """
    (work / NAME).unlink(missing_ok=True)
    viewport = {"width": shot.width, "height": shot.height}
    page = browser.new_page(viewport=viewport, color_scheme=shot.scheme)  # type: ignore[arg-type]
    page.add_init_script(SCRIPT)
    page.goto(server.address.replace(serve.FIRST_NOTEBOOK, shot.notebook), wait_until="domcontentloaded", timeout=WAIT)
    page.wait_for_function(READY, timeout=WAIT)
    path = folder / f"{shot.name}.png"
    page.screenshot(path=path)
    page.close(run_before_unload=True)
    Image.open(path).convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)


def main(folder: Path = FOLDER, shots: tuple[Shot, ...] = SHOTS) -> None:
    """Make pictures.

    Parameters
    ----------
    folder : Path
        Where they go.
    shots : tuple of Shot
        Which.
    """
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        work, scratch = Path(name).resolve() / "work", Path(name).resolve() / "scratch"
        work.mkdir()
        server = serve.prepare(work, scratch)
        browser = playwright.chromium.launch(executable_path=find_browser(), args=FLAGS)
        with running(server, Path(name) / "log"):
            for shot in shots:
                take(browser, server, work, shot, folder)
                print(folder / f"{shot.name}.png", flush=True)


if __name__ == "__main__":
    call(partial(main, FOLDER, SHOTS), __doc__)
