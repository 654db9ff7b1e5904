"""Measured against modelled on the sheet's second page."""

import json
from dataclasses import replace
from datetime import timedelta

import pytest

from inrushlib.answers.blocks import Note, Table
from inrushlib.build import new_build, save_build
from inrushlib.cli import main
from inrushlib.guide import CardName, enter
from inrushlib.measurements import MeasurementLog, add_to_log, log_beside
from inrushlib.sheet import Paper, collect, sheet_answer, write_pdf
from tests.guide.bench import DAY

SMALL = {
    "title": "t", "adapter.rated_current": 2, "wiring.sections": 1, "wiring.pixels_per_section": 8, "run.duration": 0.3,
}  # fmt: skip
CAPTION = "Measured against modelled"


def measured(count):
    row = enter(new_build(SMALL), CardName.LEAD_DROP, (0.2, 2.0), DAY, MeasurementLog()).log.rows[0]
    return tuple(replace(row, day=DAY + timedelta(days=number)) for number in range(count))


def test_sheet_of_a_build_with_a_log_has_it(tmp_path, capsys):
    path = tmp_path / "small.toml"
    save_build(new_build(SMALL), path)
    add_to_log(log_beside(path), measured(1))
    main(["sheet", str(path), "--no-odds", "--json", "-o", str(tmp_path / "small.html")])
    found = json.loads(capsys.readouterr().out)["measured"]
    assert [(each["key"], each["day"]) for each in found] == [("lead.resistance", "2026-03-01")]
    page = (tmp_path / "small.html").read_text()
    assert CAPTION in page
    assert "2026-03-01" in page


def test_newest_lines_stand_on_the_sheet_and_it_stays_within_two_pages(tmp_path):
    facts = collect(new_build(SMALL), runs=None, log=MeasurementLog(measured(30)))
    blocks = sheet_answer(facts).blocks
    table = next(block for block in blocks if isinstance(block, Table) and block.caption == CAPTION)
    assert [row[1] for row in table.rows][-1] == "2026-03-30"
    assert len(table.rows) == 12
    assert any(isinstance(block, Note) and "and 18 older" in block.words for block in blocks)
    write_pdf(sheet_answer(facts), tmp_path / "s.pdf", Paper.LETTER)
    assert (tmp_path / "s.pdf").read_bytes().count(b"/Type /Page\n") <= 2


@pytest.mark.parametrize("log", [None, MeasurementLog()])
def test_nothing_measured_leaves_no_empty_table(log):
    blocks = sheet_answer(collect(new_build(SMALL), runs=None, log=log)).blocks
    assert not [block for block in blocks if isinstance(block, Table) and block.caption == CAPTION]
