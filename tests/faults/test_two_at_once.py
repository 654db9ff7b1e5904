"""Two processes that compile the same code at once, and a third that finds it kept."""

import os
import subprocess
import sys

LAW = """
import sys
from inrushlib.model import laws
print("ready", flush=True)
sys.stdin.readline()
print(*laws.rise(0.1, 0.2), sum(laws.rise.alone.stats.cache_hits.values()))
"""


def begin(folder):
    environment = {**os.environ, "INRUSH_CACHE_DIR": str(folder)}
    process = subprocess.Popen(
        [sys.executable, "-c", LAW], env=environment, stdin=-1, stdout=-1, stderr=-1, text=True
    )  # fmt: skip
    assert process.stdout.readline() == "ready\n"
    return process


def test_both_answer_and_what_they_keep_is_whole(tmp_path):
    together = [begin(tmp_path) for _ in range(2)]
    for process in together:
        process.stdin.write("\n")
        process.stdin.flush()
    said = [process.communicate(timeout=120) for process in together]
    assert [process.returncode for process in together] == [0, 0]
    assert [errors for _, errors in said] == ["", ""]
    first, second = (words.split()[:2] for words, _ in said)
    assert first == second
    later = begin(tmp_path)
    words, errors = later.communicate("\n", timeout=120)
    assert (later.returncode, errors) == (0, "")
    assert words.split() == [*first, "1"]
