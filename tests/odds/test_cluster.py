"""Runs over processes: the same answer to the last bit, also where one of them is killed on the way."""

import os
import signal

import numpy as np
import pytest

from inrushlib.build import new_build, save_build
from inrushlib.cli import main
from inrushlib.errors import Cancelled, UsageError
from inrushlib.odds import Cluster, Draw, key_ranges, spread
from inrushlib.odds.engine import verdicts
from inrushlib.odds.points import chunks, plan

PLAIN = {
    "title": "two tiles", "adapter.rated_current": 1.8, "wiring.sections": 2, "wiring.pixels_per_section": 64,
    "run.duration": 0.2,
}  # fmt: skip
RUNS = 256


@pytest.fixture(scope="module")
def crew():
    if not os.environ.get("CI"):  # there a missing one is a failure
        pytest.importorskip("distributed")
        pytest.importorskip("cryptography")
    with Cluster.here(2) as found:
        yield found


def test_same_answer_as_on_one_thread_though_a_worker_is_killed(crew):
    build, killed = new_build(PLAIN), []

    def kill_one(share):
        if not killed:
            killed.append(next(iter(crew.client.run(os.getpid).values())))
            os.kill(killed[0], signal.SIGKILL)

    one = spread(build, runs=RUNS, seed=5, workers=1)
    many = spread(build, runs=RUNS, seed=5, workers=crew, progress=kill_one)
    assert killed
    assert (many.runs, many.failed) == (one.runs, 0)
    assert (many.odds, many.influences, many.worst.values) == (one.odds, one.influences, one.worst.values)


def test_every_number_of_a_run_is_the_same(crew):
    build = new_build(PLAIN)
    draw = Draw(build, key_ranges(build))
    one, many = (
        list(verdicts(draw, chunks(plan(64), len(draw.dimensions), 1, watch=True), workers=workers))
        for workers in (1, crew)
    )
    for here, there in zip(one, many, strict=True):
        assert here.chunk.first == there.chunk.first
        assert np.array_equal(here.codes, there.codes)
        assert np.array_equal(here.rails, there.rails)
        assert np.array_equal(here.slacks.values, there.slacks.values, equal_nan=True)


def test_stopped(crew):
    with pytest.raises(Cancelled):
        spread(new_build(PLAIN), runs=RUNS, workers=crew, cancelled=lambda: True)


def test_refused(tmp_path, capsys):
    path = tmp_path / "build.toml"
    save_build(new_build(PLAIN), path)
    assert main(["spread", str(path), "--workers", "0"]) == 2
    assert "workers: value 0; accepted: 1 to 1024, whole" in capsys.readouterr().err
    with pytest.raises(SystemExit):
        main(["spread", str(path), "--workers", "2", "--cluster", "tcp://127.0.0.1:1"])
    assert "not allowed with" in capsys.readouterr().err


def test_nobody_there(monkeypatch):
    monkeypatch.setattr("inrushlib.odds.cluster.PATIENCE", 0.2)
    for address in ("tcp://127.0.0.1:9", "nonsense://x", ""):
        with pytest.raises(UsageError, match="no scheduler with a worker answers"):
            Cluster.at(address)


def test_without_the_extra(monkeypatch):
    import builtins

    real = builtins.__import__

    def without(name, *args, **kwargs):
        if name.partition(".")[0] in ("distributed", "dask"):
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", without)
    for made in (lambda: Cluster.here(2), lambda: Cluster.at("tcp://127.0.0.1:1")):
        with pytest.raises(UsageError, match=r"pip install 'inrushlib\[cluster\]'"):
            made()
