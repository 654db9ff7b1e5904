"""``inrush warm``."""

from inrushlib.cli import main
from inrushlib.startup import is_compiled


def test_it_says_each_step_and_leaves_the_model_compiled(capsys):
    assert main(["warm"]) == 0
    told = capsys.readouterr()
    assert [line.partition(",")[0] for line in told.err.splitlines() if " of 4: " in line] == [
        "1 of 4: a start", "2 of 4: its margins", "3 of 4: many starts at once", "4 of 4: odds",
    ]  # fmt: skip
    assert "ompiled for this machine" in told.out
    assert is_compiled()


def test_a_second_time_it_says_that_nothing_was_to_do(capsys):
    main(["warm"])
    capsys.readouterr()
    assert main(["warm"]) == 0
    assert capsys.readouterr().out == "It was compiled for this machine before.\n"
