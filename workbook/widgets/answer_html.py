"""Tables and pictures as HTML, and the style sheet of the pages made of questions."""

from __future__ import annotations

from collections.abc import Sequence

from inrushlib.answers.blocks import Table
from inrushlib.answers.html import render_block
from inrushlib.quantities import format_result
from inrushlib.text import for_html
from widgets.signs import signs

STYLE = """
<style>
.wb-stack .wb-columns { flex-flow: column nowrap; gap: 10px; align-items: stretch; }
.wb-stack .wb-left, .wb-stack .wb-right { flex: none; width: 100%; }
.wb-stack .wb-rows { grid-template-columns: repeat(auto-fit, minmax(330px, 1fr)); }
.wb-stack .wb-help { min-height: 34px; padding: 7px 10px; }
.wb-stack .wb-panel > .widget-vbox:has(> .wb-buttons) { display: grid; align-items: center; gap: 2px 26px;
  grid-template-columns: repeat(auto-fit, minmax(330px, 1fr)); }
.wb-asked.wb-tabs > div:last-child, .wb-asked.wb-tabs .jupyter-widgets-toggle-buttons { display: flex;
  flex-flow: row wrap; }
.wb-asked.wb-tabs .jupyter-button { padding: 0 16px; min-width: max-content; }
.wb-task { width: 100%; overflow: visible; }
.wb-task > .widget-html { width: 100%; max-width: 100%; }
.wb-task > .widget-html .widget-html-content > div { box-sizing: border-box; }
.wb-task .wb-rows { max-width: 1150px; align-items: start; }
.wb-run { align-items: center; gap: 6px; min-height: 34px; flex-flow: row wrap; overflow: visible; }
.wb-run .jupyter-button { width: auto; padding: 0 14px; }
.wb-answer { font-size: 15px; line-height: 1.45; color: #1f2a33; border-left: 8px solid #14507a; background: #f1f4f6;
  padding: 8px 16px; margin: 4px 0 8px; }
.wb-answer b { font-weight: 600; }
.wb-stale { font-size: 13px; color: #6b4a00; background: #fdf6e3; border: 1px dashed #8a6d1f; padding: 4px 10px;
  margin: 4px 0; }
.wb-small { font-size: 12.5px; line-height: 1.4; color: #3b4650; margin: 4px 0; max-width: 1000px; }
.wb-scroll { overflow-x: auto; }
.wb-scroll .wb-grid { min-width: 1080px; }
.wb-plot { display: block; height: auto; margin: 4px 0; }
.wb-grid { border-collapse: collapse; font-size: 13px; line-height: 1.4; color: #1f2a33; margin: 6px 0 10px; }
.wb-grid caption { text-align: left; font-weight: 600; color: #3b4650; padding-bottom: 2px; }
.wb-grid th, .wb-grid td { text-align: left; vertical-align: top; padding: 3px 14px 3px 0;
  border-bottom: 1px solid #e0e5e8; font-weight: 400; }
.wb-grid thead th { font-weight: 600; border-bottom: 1px solid #7d8890; vertical-align: bottom; }
.wb-grid .wb-number { text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
.wb-grid tr.wb-chosen td, .wb-grid tr.wb-chosen th { background: #e8f0f5; font-weight: 600; }
.wb-beside { display: flex; flex-flow: row wrap; gap: 6px 44px; align-items: flex-start; }
</style>
"""


def quantity(value: float | None, unit: str) -> str:
    """Return a value with its unit to three digits, 0 below what a run can tell, or a dash."""
    return "–" if value is None else signs(format_result(value, unit))


def sentence(text: str) -> str:
    """Return words with a capital first letter and one full stop."""
    return f"{text[:1].upper()}{text[1:].rstrip('.')}." if text else ""


def answer(text: str) -> str:
    """Return the answer's box; ``text`` is HTML already."""
    return f'<div class="wb-answer" role="status">{text}</div>'


def small(text: str) -> str:
    """Return a line of small print."""
    return f'<div class="wb-small">{for_html(text)}</div>'


def table(
    caption: str,
    heads: Sequence[str],
    rows: Sequence[Sequence[str]],
    numbers: Sequence[int] = (),
    chosen: int | None = None,
) -> str:
    """Return a table of text.

    Parameters
    ----------
    caption : str
        What it shows.
    heads : sequence of str
        Of the columns; empty for none.
    rows : sequence of sequence of str
        The first cell names the row.
    numbers : sequence of int
        Columns set to the right.
    chosen : int or None
        The row that is pointed out; None for none.
    """
    return render_block(Table(tuple(heads), tuple(map(tuple, rows)), caption, tuple(numbers), chosen))
