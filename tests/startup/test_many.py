"""Many starts at once, in a process that forks."""

import os
import subprocess
import sys

import pytest

# The parent uses the pool, forks, and both use it once more.
FORKS = """
import os
from inrushlib.build import new_build
from inrushlib.startup.many import screen_many
builds = [new_build({"title": "t", "adapter.rated_current": 1 + i, "wiring.sections": 1,
                     "wiring.pixels_per_section": 8, "run.duration": 0.02}) for i in range(4)]
def answers():
    return screen_many(builds, workers=2).final_lead_current.tolist()
before = answers()
child = os.fork()
same = answers() == before
if child == 0:
    print("child", same, flush=True)
    os._exit(0 if same else 1)
print("parent", same, os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system does not fork")
def test_a_forked_child_has_threads_of_its_own():
    command = [sys.executable, "-W", "ignore", "-c", FORKS]
    with subprocess.Popen(command, stdout=-1, stderr=-1, text=True, start_new_session=True) as process:
        try:
            out, errors = process.communicate(timeout=300)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, 9)  # the child too, which holds the pipe open
            pytest.fail("the child hangs")
    assert sorted(out.splitlines()) == ["child True", "parent True 0"], errors
