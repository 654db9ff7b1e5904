"""What is kept for the folder's other pages: the first change at once, the newest of a series, and all at the end."""

import threading

from widgets import worker
from widgets.keeper import Keeper
from widgets.state import BuildState
from widgets.worker import DETAILS, DRAW, KEEP, Latest
from widgets.working_copy import NAME, WorkingCopy

from inrushlib.build import load_build


def test_a_change_is_kept_without_waiting_for_calm(builds, tmp_path, monkeypatch):
    """Found by a kernel that was killed a quarter of a second after a change: it was lost."""
    state = BuildState(load_build(builds / "tide_board_boots.toml"), threaded=True, copy=WorkingCopy(tmp_path))
    assert state.worker.wait(60)
    monkeypatch.setattr(worker, "CALM", 600.0)
    monkeypatch.setattr(worker, "STALE", 600.0)
    written, kept = threading.Event(), state.copy.write
    monkeypatch.setattr(state.copy, "write", lambda build: (kept(build), written.set()))
    state.change({"lead.length": "3.21 m"})
    assert written.wait(60)
    assert "3.21 m" in (tmp_path / NAME).read_text()
    assert state.keeper.wait(60)


def test_of_a_series_the_first_and_the_newest_are_written():
    at_it, gate, seen, newest = threading.Event(), threading.Event(), [], [0]

    def write():
        at_it.set()
        gate.wait(60)
        seen.append(newest[0])

    keeper = Keeper(write)
    for number in range(20):
        newest[0] = number
        keeper.note()
        keeper.begin()
        assert at_it.wait(60)
    gate.set()
    assert keeper.wait(60)
    assert seen == [19, 19]  # the first wrote what was newest when it came to it
    keeper.last()
    keeper.begin()
    assert keeper.wait(60)
    assert len(seen) == 2  # nothing new, nothing written


def test_what_was_noted_and_not_begun_is_written_at_the_end():
    seen = []
    keeper = Keeper(lambda: seen.append(1))
    keeper.note()
    assert seen == []
    keeper.last()
    assert seen == [1]


def test_a_picture_goes_before_what_is_kept_and_details_after_it():
    latest, seen, started, gate = Latest(), [], threading.Event(), threading.Event()
    latest.submit(DRAW, lambda: (started.set(), gate.wait(60)))
    assert started.wait(60)
    for kind in (DETAILS, KEEP, DRAW):
        latest.submit(kind, lambda kind=kind: seen.append(kind))
    gate.set()
    assert latest.wait(60)
    assert seen == [DRAW, KEEP, DETAILS]


def test_a_writing_that_fails_is_not_the_last():
    seen, fails = [], [True]

    def write():
        seen.append(1)
        if fails.pop():
            raise ValueError("never mind")

    keeper = Keeper(write)
    keeper.note()
    keeper.begin()
    assert keeper.wait(60)
    fails.append(False)
    keeper.note()
    keeper.begin()
    assert keeper.wait(60)
    assert len(seen) == 2
