"""The table of ``python -m tests.benchmarks``: every line of it compares.

Beside the other benchmarks, so that what these compile serves it too.
"""

from importlib.metadata import version

from .__main__ import main


def test_every_line_compares(capsys):
    main()
    said = capsys.readouterr().out
    head, _, *rows = [line.strip("| ").split(" | ") for line in said.splitlines() if line.startswith("|")]
    assert len(rows) >= 9
    assert all(len(row) == len(head) and float(row[-1]) > 0 for row in rows)
    assert all(f"{name} {version(name)}" in said for name in ("numpy", "scipy", "numba"))
    with capsys.disabled():
        print(f"\n{said}")
