"""A sheet as a page of HTML that needs nothing else: style and pictures within, no scripts."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from inrushlib.answers.blocks import Answer
from inrushlib.answers.html import render
from inrushlib.answers.screen import Screen
from inrushlib.files import write_safely
from inrushlib.sheet.size import Paper
from inrushlib.text import LONGEST, for_html, one_line

STYLE: Final = """
body { font: 9.5pt/1.35 sans-serif; color: #000; background: #fff; margin: 12mm auto; max-width: 190mm; padding: 0 4mm }
h1 { font-size: 14pt; margin: 0 0 2mm; overflow-wrap: anywhere }
.wb-answer { border: 1.5px solid #000; padding: 2mm 3mm; margin: 0 0 3mm }
.wb-answer b { font-size: 12pt }
table { border-collapse: collapse; width: 100%; margin: 0 0 3mm; break-inside: avoid }
caption, .wb-caption, .wb-heading { text-align: left; font-weight: bold; font-size: 10.5pt; margin: 2mm 0 1mm }
th, td { text-align: left; vertical-align: top; font-weight: normal; padding: .5mm 2mm .5mm 0;
  border-bottom: .5px solid #999 }
thead th { color: #444; border-bottom: 1px solid #000 }
.wb-number { text-align: right }
table:not(.wb-facts) td.wb-number { white-space: nowrap }
.wb-small { color: #222; margin: 0 0 1.5mm }
.wb-beside { display: flex; flex-wrap: wrap; gap: 0 6mm }
.wb-beside > div { flex: 1 1 70mm; min-width: 0 }
.wb-scroll { overflow-x: auto }
.wb-list { margin: 0 0 3mm; padding-left: 5mm }
.wb-code { font-size: 9pt; margin: 0 0 3mm; white-space: pre-wrap }
img { display: block; break-inside: avoid }
"""
PAPER: Final = Screen(width=740.0, paper=True)
"""As wide as the text, so that drawings fill it, and white."""


def page_of(answer: Answer, paper: Paper = Paper.A4) -> str:
    """Return a sheet as a whole page of HTML.

    Parameters
    ----------
    answer : Answer
        The sheet.
    paper : Paper
        What it is printed on.
    """
    title = for_html(one_line(answer.title, LONGEST))
    size = f"@page {{ size: {paper.value}; margin: 10mm }} @media print {{ body {{ margin: 0 }} }}"
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f"<title>{title}</title>\n<style>{size}{STYLE}</style>\n</head>\n<body>\n"
        f'<main>\n<h1><bdi>{title}</bdi></h1>\n{render(answer, PAPER)}\n</main>\n</body>\n</html>\n'
    )  # fmt: skip


def write_html(answer: Answer, path: Path, paper: Paper = Paper.A4) -> None:
    """Write a sheet as a page of HTML.

    Parameters
    ----------
    answer : Answer
        The sheet.
    path : Path
        The file.
    paper : Paper
        What it is printed on.

    Raises
    ------
    BuildError
        Where the file cannot be written.
    """
    write_safely(page_of(answer, paper), path)
