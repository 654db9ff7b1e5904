"""Which of this machine's processes are kernels, by /proc."""

from pathlib import Path

from inrushlib.serve.template import NAME


def is_kernel(entry: Path) -> bool:
    """Say whether a process is a kernel, by its command line or, where it was forked, by its name.

    Parameters
    ----------
    entry : Path
        Its folder in /proc.
    """
    try:
        forked = (entry / "comm").read_text().strip() == NAME
        return forked or b"ipykernel_launcher" in (entry / "cmdline").read_bytes()
    except OSError:
        return False  # it ended meanwhile
