"""Opening the browser without anybody else on the machine reading the token."""

from __future__ import annotations

import html
import threading
import webbrowser
from pathlib import Path

from inrushlib.serve.settings import write_private

PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="referrer" content="no-referrer">
<meta http-equiv="refresh" content="0; url={address}">
<title>Opening the workbook</title>
</head>
<body><p>The workbook is <a href="{address}">here</a>.</p></body>
</html>
"""


def open_browser(address: str, scratch: Path) -> threading.Thread:
    """Open the browser on a private file that leads on to the address.

    The arguments of a program can be read by every user of the machine, so the address is not handed over as one.

    Parameters
    ----------
    address : str
        Of the page, token included.
    scratch : Path
        Folder that its owner alone can enter, and that is taken away at the end.

    Returns
    -------
    Thread
        In which the browser was asked; some browsers stay in the foreground until they are closed.
    """
    page = scratch / "open.html"
    write_private(page, PAGE.format(address=html.escape(address)))
    asked = threading.Thread(target=webbrowser.open, args=(page.as_uri(),), daemon=True)
    asked.start()
    return asked
