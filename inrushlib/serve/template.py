"""The kernels' template: a process that has loaded all that pages need, and forks a kernel each time it is asked.

    python -m inrushlib.serve.template REQUESTS LIFE

Both are numbers of open files: a socket on which the server asks (``serve.forked``), and the reading end of a pipe
whose other end the server alone holds and never writes to. The template ends at the socket's end of file, a kernel at
the pipe's: kernels end with the server, however that ended, and outlive the template.
"""

from __future__ import annotations

import atexit
import contextlib
import json
import os
import signal
import socket
import sys
import threading
from importlib import import_module
from pathlib import Path
from typing import Any

from inrushlib.serve.settings import IN_STEPS

LARGEST = 2**20  # [bytes] of a request; the system sends less at once
NAME = "inrush-kernel"
"""What a list of processes calls a forked kernel; its command line there is the template's."""
KERNEL = (
    "ipykernel.kernelapp", "ipykernel.debugger", "IPython.core.completerlib", "IPython.extensions.storemagic",
    "tornado.platform.asyncio",
)  # fmt: skip
"""What a kernel imports while it starts."""


def main() -> None:
    """Load, then fork a kernel for each request, until there is nobody any more to ask."""
    # Called last: a process that takes itself apart, object by object, would copy what it shares.
    atexit.register(os._exit, 0)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits here for a kernel that ends; the system clears it away
    requests, life = socket.socket(fileno=int(sys.argv[1])), int(sys.argv[2])
    for name in KERNEL:
        import_module(name)
    pages: dict[str, Any] = {}
    exec(IN_STEPS, pages)
    steps = pages["in_steps"]()
    next(steps)
    while request := requests.recv(LARGEST):
        next(pages["in_steps"]())  # what was compiled since
        if threading.active_count() > 1:
            # Its locks would stay locked in the kernel. The server then starts kernels without a template.
            raise SystemExit(f"no kernel is forked beside {threading.enumerate()[1:]}")
        if os.fork() == 0:
            # Sent from here, for the number of a process that has ended may be another's.
            socket.send_fds(requests, [str(os.getpid()).encode()], [os.pidfd_open(os.getpid())])
            requests.close()
            _become_kernel(life, **json.loads(request))
            return
        # What only some pages need: a page was waiting for the first kernel, the next one is to spare.
        next(steps, None)


def _become_kernel(life: int, arguments: list[str], environment: dict[str, str], folder: str | None) -> None:
    """Run this process, forked a moment ago, as a kernel until that ends."""
    from ipykernel.kernelapp import launch_new_instance
    from numpy import random

    os.setsid()
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    with contextlib.suppress(OSError):  # a name for whoever looks, no more
        Path("/proc/self/comm").write_text(NAME)
    os.environ.clear()
    os.environ.update(environment)
    if folder:
        os.chdir(folder)
    random.seed()  # noqa: NPY002  # numpy's own, which each kernel would begin alike; Python's is seeded anew by itself
    threading.Thread(target=_end_with_server, args=(life,), daemon=True).start()
    # Its own way to end with its parent is switched off by 1: that is the template.
    sys.argv = ["ipykernel_launcher", *arguments, "--IPKernelApp.parent_handle=1"]
    launch_new_instance()


def _end_with_server(life: int) -> None:
    while os.read(life, 1):
        pass
    os._exit(1)


if __name__ == "__main__":
    main()
