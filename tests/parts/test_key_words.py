"""Keys as a page says them."""

import pytest

from inrushlib.parts import build_keys, field_words, key_words, keys_in_words, plainly
from inrushlib.parts.key_words import WORDS
from inrushlib.quantities import with_signs
from tests.plain_words import unsaid

#: Words of a build file that no trade uses for what they stand for there.
HOME_MADE = {"hop", "lumps", "listen", "forget", "wake", "rising", "falling", "at", "style", "by", "content", "own"}


def test_every_key_has_its_words_and_nothing_else_has():
    assert list(WORDS) == list(build_keys())


def test_no_key_is_said_as_a_file_spells_it():
    for key, info in build_keys().items():
        for said in (key_words(key), key_words(key, "the"), field_words(key)):
            assert unsaid(said) == []
            assert "hop" not in said.split(), said
        assert unsaid(keys_in_words(f"{key}, {info.table} and {key}.")) == []


@pytest.mark.parametrize("key", [key for key in build_keys() if {*key.partition(".")[2].split("_")} & HOME_MADE])
def test_what_only_a_file_calls_so_is_said_in_the_words_of_the_trade(key):
    spelled = key.partition(".")[2].replace("_", " ")
    assert spelled not in (key_words(key), field_words(key))


def test_no_two_keys_are_said_alike():
    said = [key_words(key) for key in build_keys()]
    assert len(set(said)) == len(said)


def test_no_two_keys_of_a_part_are_said_alike():
    said = [(info.table, field_words(key)) for key, info in build_keys().items()]
    assert len(set(said)) == len(said)


def test_what_is_said_of_a_key_names_the_others_of_its_part_as_they_are_named():
    for key, info in build_keys().items():
        assert unsaid(with_signs(plainly(f"{info.meaning}, {info.where_found}", key))) == [], key
    said = plainly(build_keys()["wiring.hop_resistance"].meaning, "wiring.hop_resistance")
    assert said.endswith("wins over jumper length and jumper wire gauge")


def test_a_file_a_quotation_and_what_is_no_key_stay():
    for text in ('lead.csv, run.log and "lead.length"', "see bus.bulk.toml", "lead.colour", "my/lead.length"):
        assert keys_in_words(text) == text
