"""A small share of the fuzzing of build files and arguments, the same in every run; the scripts beside run the rest."""

import pytest

from . import fuzz_arguments, fuzz_build


def test_mutated_build_files_give_a_build_or_a_build_error() -> None:
    tally = fuzz_build.fuzz(600, seed=11)
    assert tally.broken == []
    assert tally.outcomes["build"] > 60
    assert tally.outcomes["BuildError"] > 200


@pytest.mark.parametrize(
    "data",
    [
        b'title = "a"\n' + b"[a]\n" * 3,
        b"x = " + b"[" * 5000,
        # Found by the fuzzing: minutes, for the digits were read by an expression that goes back and forth.
        b'title = "a"\n[adapter]\nrated_current = 1\nrated_voltage = "' + b"9" * 20_000 + b' V"',
    ],
)
def test_what_breaks_no_rule_is_counted_as_an_error(data: bytes) -> None:
    tally = fuzz_build.Tally()
    fuzz_build.try_file(data, tally)
    assert (dict(tally.outcomes), tally.broken) == ({"BuildError": 1}, [])


def test_what_breaks_a_rule_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise KeyError("x")

    monkeypatch.setattr(fuzz_build, "parse_build", fail)
    tally = fuzz_build.Tally()
    fuzz_build.try_file(b"", tally)
    assert tally.broken == ["KeyError ('x'): b''"]
    monkeypatch.setattr("inrushlib.cli.keys.page", fail)
    calls = fuzz_arguments.Tally()
    fuzz_arguments.call(["keys"], calls)
    assert "status 3" in calls.broken[0]


def test_memory_beyond_the_bound_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fuzz_arguments, "MOST_MEGABYTES", -1.0)
    assert fuzz_arguments.fuzz(0, seed=1).broken == ["0 MB"]


def test_random_arguments_end_with_a_status_and_a_message() -> None:
    tally = fuzz_arguments.fuzz(250, seed=12)
    assert tally.broken == []
    assert tally.statuses[2] > 200
    assert tally.megabytes < fuzz_arguments.MOST_MEGABYTES
    assert tally.statuses[0] > 0


@pytest.mark.parametrize("words", [["reservoir", "x.toml", "--odds=--"], ["size", "--odds=--", "x.toml"]])
def test_what_the_fuzzing_of_arguments_found(words: list[str]) -> None:
    calls = fuzz_arguments.Tally()
    fuzz_arguments.call(words, calls)
    assert (dict(calls.statuses), calls.broken) == ({2: 1}, [])


def test_every_command_is_called() -> None:
    names = {leaf[0] for leaf, _ in fuzz_arguments.commands()}
    assert names == set(fuzz_arguments.SUBCOMMANDS) - fuzz_arguments.LEFT
