"""The build sheet: one or two pages to take to the bench.

``collect``, ``SheetFacts``, ``Lengths``, ``RUNS``
    all that stands on a sheet, computed once by the functions that the commands call
``sheet_answer``
    its blocks
``to_dict``
    its numbers, by the names that they have in the JSON of the commands
``write_html``, ``write_pdf``, ``Paper``
    the blocks on a page of their own, and on paper

Below it: :mod:`~inrushlib.sheet.parts_list`, :mod:`~inrushlib.sheet.order` and :mod:`~inrushlib.sheet.readings`, a
section each.
"""

from inrushlib.sheet.content import sheet_answer
from inrushlib.sheet.facts import RUNS, Lengths, SheetFacts, collect
from inrushlib.sheet.numbers import to_dict
from inrushlib.sheet.page import write_html
from inrushlib.sheet.paper import write_pdf
from inrushlib.sheet.size import Paper

__all__ = ["RUNS", "Lengths", "Paper", "SheetFacts", "collect", "sheet_answer", "to_dict", "write_html", "write_pdf"]
