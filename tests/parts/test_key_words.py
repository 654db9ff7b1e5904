"""Keys as a page says them."""

from inrushlib.parts import build_keys, field_words, key_words, keys_in_words
from tests.plain_words import unsaid


def test_no_key_is_said_as_a_file_spells_it():
    for key, info in build_keys().items():
        for said in (key_words(key), key_words(key, "the"), field_words(key)):
            assert unsaid(said) == []
            assert "hop" not in said.split(), said
        assert unsaid(keys_in_words(f"{key}, {info.table} and {key}.")) == []


def test_no_two_keys_are_said_alike():
    said = [key_words(key) for key in build_keys()]
    assert len(set(said)) == len(said)


def test_a_file_a_quotation_and_what_is_no_key_stay():
    for text in ('lead.csv, run.log and "lead.length"', "see bus.bulk.toml", "lead.colour", "my/lead.length"):
        assert keys_in_words(text) == text
