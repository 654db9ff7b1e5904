"""The worker: only the newest of a kind, the urgent first, and none that dies silently."""

import threading

from widgets.margin import MarginState
from widgets.reading import Reading
from widgets.state import BuildState
from widgets.worker import COMPUTE, DETAILS, DRAW, Latest

from inrushlib.build import load_build


def busy(worker):
    """Keep a worker busy until the event that is returned is set."""
    started, gate = threading.Event(), threading.Event()
    worker.submit(COMPUTE, lambda: (started.set(), gate.wait()))
    assert started.wait(60)
    return gate


def test_only_the_newest_of_a_kind_is_done():
    worker, seen = Latest(), []
    gate = busy(worker)
    for i in range(20):
        worker.submit(COMPUTE, lambda i=i: seen.append(i))
    gate.set()
    assert worker.wait(60)
    assert seen == [19]
    assert worker.done == 2


def test_drawing_goes_first_and_details_last():
    worker, seen = Latest(), []
    gate = busy(worker)
    for kind, name in ((DETAILS, "details"), (COMPUTE, "compute"), (DRAW, "draw")):
        worker.submit(kind, lambda name=name: seen.append(name))
    gate.set()
    assert worker.wait(60)
    assert seen == ["draw", "compute", "details"]


def test_a_job_that_fails_is_told_and_the_next_one_is_done():
    told, seen = [], []
    worker = Latest(failed=told.append)
    worker.submit(COMPUTE, lambda: 1 // 0)
    assert worker.wait(60)
    worker.submit(COMPUTE, lambda: seen.append(1))
    assert worker.wait(60)
    assert [type(error) for error in told] == [ZeroDivisionError]
    assert seen == [1]


def test_what_would_turn_the_verdict_waits_for_the_pages_own_answers(builds, monkeypatch):
    state = BuildState(load_build(builds / "tide_board_boots.toml"), threaded=False)
    margin, looked = MarginState(state), threading.Event()
    monkeypatch.setattr(margin, "look", lambda start: looked.set())
    resting = threading.Thread(target=margin._rest, args=(state.start, 0.0))
    with state.answers.one(), state.answers.one():
        resting.start()
        assert not state.answers.wait(0.05)
        assert not looked.is_set()
    assert looked.wait(60)
    resting.join(60)
    assert state.answers.wait(0.0)


def test_what_turns_the_verdict_stays_where_the_fields_follow_only_after_it_was_found(builds):
    # On a busy machine the fields follow a change later than the half second after which its edges are looked for.
    state = BuildState(load_build(builds / "tide_board_boots.toml"), threaded=False)
    margin = MarginState(state)
    margin.look(state.start)
    found = margin.edges
    assert found
    state._follow_build()
    assert margin.edges is found
    state.change({"adapter.rated_current": 12})
    assert margin.edges == ()


def test_what_turns_the_verdict_is_said_again_of_the_same_build_begun_anew(builds):
    """Found by a page that opened the build it had: what its answer rests on stayed empty."""
    state = BuildState(load_build(builds / "tide_board_boots.toml"), threaded=False)
    margin = MarginState(state)
    reading = Reading(state, margin, "Will it boot?")
    for _ in range(2):
        state.begin(state.build, None, "again")
        assert "<li>" not in reading.box.value
        margin.look(state.start)
        assert reading.box.value.count("<li>") == len(margin.edges[:3]) > 0
