"""What a builder wrote is shown and does nothing: on a terminal, in HTML, in a picture."""

import contextlib
import io
import unicodedata

import matplotlib
import pytest
from matplotlib.figure import Figure

from inrushlib.build import load_build
from inrushlib.cli import main
from inrushlib.errors import BuildError
from inrushlib.text import for_html, for_picture, for_terminal, one_line

from . import hostile

ACTING = {"Cc", "Cf", "Cs", "Zl", "Zp"}


def acting(text):
    """Characters that do something instead of being shown; a line break is none."""
    return [c for c in text if c != "\n" and unicodedata.category(c) in ACTING]


@pytest.fixture
def build(tmp_path):
    folder = tmp_path / hostile.FOLDER
    folder.mkdir()
    path = folder / hostile.FILE
    path.write_text(hostile.BUILD, encoding="utf-8")
    assert load_build(path).title == hostile.TITLE
    return path


def test_every_character_that_acts_is_written_out_and_no_other_is_changed():
    for code in [*range(0x3000), *range(0xD7F0, 0xE010), *range(0xFE00, 0x10000), *range(0xE0000, 0xE0080)]:
        c = chr(code)
        if c in "\u200c\u200d":
            continue  # joiners: writing needs them
        assert not acting(for_terminal(c))
        assert not acting(one_line(c))
        assert "\n" not in one_line(c)
        if unicodedata.category(c) not in ACTING:
            assert for_terminal(c) == one_line(c) == c


def test_a_terminal_sees_the_title_as_one_line_without_escape_sequences(build, capsys):
    assert main(["check", str(build)]) == 0
    out = capsys.readouterr().out
    first = out.splitlines()[0]
    assert not acting(out)
    assert "\\x1b[31m" in first
    assert "BOOTS \\u202eback 中文 שלום" in first
    assert not [line for line in out.splitlines()[1:] if line.startswith("BOOTS")]


def test_a_table_of_builds_keeps_one_line_a_build(build, capsys):
    main(["check", str(build), str(build)])
    out = capsys.readouterr().out
    assert not acting(out)
    assert len([line for line in out.splitlines() if line.startswith("<script>") and " 16 " not in line]) == 4


def test_errors_that_quote_the_builder_do_nothing_to_the_terminal(tmp_path, capsys):
    path = tmp_path / hostile.FILE
    key = '"\\u001b[31m\\nx" = "\\u202e\\u001b[0m"'
    path.write_text(f"title = 't'\n{key}\n[adapter]\n{key}\nrated_current = '\u202e5 A'\n[\"\\u001b]0;x\"]\n")
    for arguments in ([str(path)], [str(tmp_path / "none\x1b[31m\nx.toml")], ["\x1b[31m", "--\x1b[31m"]):
        with contextlib.suppress(SystemExit):
            main(["check", *arguments])
        shown = capsys.readouterr()
        assert shown.err
        assert not acting(shown.err + shown.out)


def test_each_problem_of_an_error_is_one_line():
    error = BuildError(["one\n\x1b[31mfake: fine", "two"], "a\nb.toml")
    assert str(error).splitlines() == ["a b.toml: one \\x1b[31mfake: fine", "a b.toml: two"]


def test_the_panels_picture_sets_the_title_as_it_is_written(build, tmp_path, recwarn):
    path = tmp_path / "out.svg"
    with matplotlib.rc_context({"svg.fonttype": "none"}):
        main(["panel", str(build), "--plot", str(path)])
    words = path.read_text(encoding="utf-8")
    assert "$x_1$ $\\frac{$" in words
    assert "\x1b" not in words


@pytest.mark.filterwarnings("ignore:Glyph")  # the font has no Chinese; a box stands there
@pytest.mark.parametrize("words", [hostile.TITLE, "$", "\\$", "$$", "$\\frac{$", "a $5 and $6 \\$ b", "\\", "_^{}"])
def test_a_picture_never_takes_words_for_a_formula(words):
    figure = Figure()
    text = figure.text(0, 0, for_picture(words, None))
    shown, is_formula = text._preprocess_math(text.get_text())
    assert not is_formula
    assert shown == one_line(words)
    figure.savefig(io.BytesIO(), format="png")


def test_a_long_title_is_cut_in_a_picture_and_on_a_terminal():
    assert len(for_picture("x" * 5000)) <= 90
    assert for_picture("x" * 5000).endswith("…")
    assert len(one_line("x" * 5000, 200)) == 200


def test_html_of_anything_is_text_alone():
    shown = for_html(hostile.TITLE + hostile.FOLDER)
    assert not set("<>\"'") & set(shown)
    assert not acting(shown)
