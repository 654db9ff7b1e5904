"""The server's own process, which ends when the command that started it is gone, however that ended.

    python -m inrushlib.serve.child SCRATCH MODULE ARGUMENT...

Standard input is a pipe whose other end the command holds and never writes to. Its end of file means that the command
has gone: the server then ends its kernels, takes the scratch folder away and ends itself.
"""

from __future__ import annotations

import os
import runpy
import shutil
import signal
import sys
import threading
import time
from typing import NoReturn

UNUSED = ("rfc3987_syntax",)
"""Loaded where it is installed, and not needed: it checks addresses in all alphabets, which no schema here has, and
builds its grammar anew each time, which takes twice as long as all else that the server loads."""
PATIENCE = 8.0  # [s] for the kernels to end before the server goes without them; they follow by themselves


def main() -> None:
    """Run the module as a program until it ends, is told to end, or is left alone."""
    scratch, module, *arguments = sys.argv[1:]
    signal.signal(signal.SIGTERM, _leave)  # until the server has put its own handler there
    alone = threading.Event()
    threading.Thread(target=_watch, args=(scratch, alone), daemon=True).start()
    for name in UNUSED:
        sys.modules[name] = None  # type: ignore[assignment]  # as if it was not installed
    sys.argv = [module, *arguments]
    try:
        runpy.run_module(module, run_name="__main__", alter_sys=True)
    finally:
        if alone.is_set():
            shutil.rmtree(scratch, ignore_errors=True)


def _watch(scratch: str, alone: threading.Event) -> None:
    while os.read(0, 1024):
        pass
    alone.set()
    if hasattr(signal, "pthread_kill"):
        signal.pthread_kill(threading.main_thread().ident or 0, signal.SIGTERM)
    else:
        os.kill(os.getpid(), signal.SIGTERM)
    time.sleep(PATIENCE)
    shutil.rmtree(scratch, ignore_errors=True)
    os._exit(1)


def _leave(*_: object) -> NoReturn:
    raise SystemExit(128 + signal.SIGTERM)


if __name__ == "__main__":
    main()
