"""Processes forked from a template where the system can: quicker, and most of their memory is shared."""

from __future__ import annotations

import asyncio
import atexit
import contextlib
import json
import os
import select
import signal
import socket
import subprocess
import sys

QUIET = {"PYDEVD_DISABLE_FILE_VALIDATION": "1"}  # else the debugger, which nobody uses, warns of what it would miss
ANSWERING = 60.0  # [s] for a kernel, loading the template included, on a busy machine


def can_fork() -> bool:
    """Whether this system has what it takes: Linux 5.3 or later."""
    try:
        os.close(os.pidfd_open(os.getpid()))
    except (AttributeError, OSError):
        return False
    return True


class ForkedProcess:
    """A forked kernel's process, to be used as one that was started from here, though it is the template's child.

    Parameters
    ----------
    pid : int
        Its number [1].
    handle : int
        Number [1] of the open file that stands for it, and never for a later process of the same number.
    """

    stdin = stdout = stderr = None

    def __init__(self, pid: int, handle: int) -> None:
        self.pid = pid
        self.returncode: int | None = None
        self._handle = handle
        self._ended = select.poll()
        self._ended.register(handle, select.POLLIN)

    def poll(self) -> int | None:
        """Return None while it runs, then 0: how it ended, its parent alone could say."""
        if self.returncode is None and self._ended.poll(0):
            self.returncode = 0
            os.close(self._handle)
        return self.returncode

    wait = poll  # asked for once it has ended

    def send_signal(self, number: int) -> None:
        """Send it a signal, unless it has ended.

        Parameters
        ----------
        number : int
            The signal's [1].
        """
        if self.poll() is None:
            with contextlib.suppress(ProcessLookupError):
                signal.pidfd_send_signal(self._handle, number)


class Template:
    """The template (``serve.template``), started for the first kernel, and anew where it has ended.

    Attributes
    ----------
    process : Popen or None
        The template's process; None where there is none.
    """

    def __init__(self) -> None:
        self.process: subprocess.Popen[bytes] | None = None
        self._usable, self._has_answered = can_fork(), False
        self._requests: socket.socket | None = None
        self._life: tuple[int, int] | None = None
        self._turn = asyncio.Lock()

    async def fork(self, arguments: list[str], environment: dict[str, str], folder: str | None) -> ForkedProcess | None:
        """Return a new kernel's process.

        A template that is still loading is waited for: a kernel that loads by itself would be no sooner there.

        Parameters
        ----------
        arguments : list of str
            As on the kernel's command line.
        environment : dict of str to str
            The kernel's environment.
        folder : str or None
            Its working folder; None for the server's.

        Returns
        -------
        ForkedProcess or None
            None where this system cannot fork, or a template ended, or kept silent, before it had forked anything.
        """
        request = json.dumps({"arguments": arguments, "environment": environment, "folder": folder}).encode()
        async with self._turn:
            while self._usable:
                try:
                    return await self._ask(self._requests or self._start(), request)
                except OSError:
                    self._usable = self._has_answered
        return None

    async def _ask(self, requests: socket.socket, request: bytes) -> ForkedProcess:
        loop, readable = asyncio.get_running_loop(), asyncio.Event()
        loop.add_reader(requests, readable.set)
        try:
            requests.send(request)
            await asyncio.wait_for(readable.wait(), ANSWERING)
            pid, handles, *_ = socket.recv_fds(requests, 16, 1)
            if not handles:
                raise ConnectionError("the template has ended")
        except BaseException:  # also where nobody waits any more: its answer is not the next one's
            loop.remove_reader(requests)
            self.end()
            raise
        loop.remove_reader(requests)
        self._has_answered = True
        return ForkedProcess(int(pid), handles[0])

    def load(self) -> None:
        """Let the template's process load what it needs, where this system can fork; nobody waits for it here."""
        if self._usable and self._requests is None:
            with contextlib.suppress(OSError):  # the first kernel tries again
                self._start()

    def _start(self) -> socket.socket:
        if self._life is None:
            self._life = os.pipe()
            atexit.register(self.end)
        self._has_answered = False
        self._requests, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._requests.setblocking(False)
        handed_on = theirs.fileno(), self._life[0]
        with theirs:
            self.process = subprocess.Popen(
                [sys.executable, "-m", "inrushlib.serve.template", *map(str, handed_on)], pass_fds=handed_on,
                stdin=subprocess.DEVNULL, env={**os.environ, **QUIET},
            )  # fmt: skip
        return self._requests

    def end(self) -> None:
        """End the template; the kernels stay."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()
        if self._requests is not None:
            self._requests.close()
        self.process = self._requests = None
