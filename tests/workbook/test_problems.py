"""What a page says is wrong: a box, its sentences with a capital, names as they are."""

import pytest
from widgets.problems import begun, problem_html


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("the page hit an error of its own", "The page hit an error of its own"),
        ("file: no name", "File: no name"),
        ("adapter.rated_current: value 5 kA", "Adapter's rated current: value 5 kA"),
        ("board.toml: no such file", "board.toml: no such file"),
        ("mA are not accepted", "mA are not accepted"),
        ("2 A: too much", "2 A: too much"),
        ("first\nsecond line", "First\nSecond line"),
        ("4.7 kohm and <b>", "4.7 kΩ and &lt;b&gt;"),
    ],
)
def test_a_box_says_it_as_sentences(words, said):
    """Found on the pages: boxes that begin in lower case."""
    assert problem_html(words) == f'<div class="wb-problem" role="alert">{said.replace(chr(39), "&#x27;")}</div>'


def test_what_is_wrong_in_a_file_spells_keys_as_the_file_does():
    found = problem_html("board.toml: adapter.rated_current: value missing\nwiring.sections: value missing", True)
    assert "board.toml: adapter.rated_current: value" in found
    assert "\nwiring.sections: value" in found


def test_nothing_wrong_is_no_box():
    assert problem_html("") == ""
    assert begun("") == ""
