"""The server's life, from its start to its end: by Ctrl-C, by a signal, or by itself."""

from __future__ import annotations

import contextlib
import signal
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NoReturn

from inrushlib.errors import BuildError
from inrushlib.serve.browser import open_browser as show
from inrushlib.serve.command import Server, no_room, prepare
from inrushlib.serve.held import is_held
from inrushlib.text import one_line

START_TIME = 60.0  # [s]
END_TIME = 10.0  # [s] for server and kernels to end in good order
ENDED_BY_ITSELF = 3  # exit status
ENDING = [getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]


class Stopped(BaseException):
    """A signal asked this process to end."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number

    @property
    def status(self) -> int:
        """The exit status: 0 for Ctrl-C, which is how the workbook is stopped, else 128 and the signal's number."""
        return 0 if self.number == signal.SIGINT else 128 + self.number


def serve(
    work: Path,
    *,
    port: int | None = None,
    lab: bool = False,
    open_browser: bool = True,
    meanwhile: Callable[[], None] = lambda: None,
) -> int:
    """Serve the workbook until it is stopped.

    However this process ends, the server and its kernels end with it.

    Parameters
    ----------
    work : Path
        Folder of the start: builds are saved there.
    port : int or None
        Port [1], 1 to 65535; None for a free one.
    lab : bool
        Whether the notebooks are opened for editing.
    open_browser : bool
        Whether to open the browser.
    meanwhile : callable
        Done while the server comes up.

    Returns
    -------
    int
        The exit status: 0 after Ctrl-C, 128 and the signal's number after a signal, 3 where the server ended by itself.

    Raises
    ------
    BuildError
        Where something is missing, or the server does not come up.
    UsageError
        For a port out of range, or one that cannot be served on.

    Examples
    --------
    >>> serve(Path.cwd(), lab=True)  # doctest: +SKIP
    0
    """
    try:
        with _listening(), _scratch() as scratch:
            server = prepare(work.resolve(), scratch, port=port, lab=lab)
            return _run(server, scratch, open_browser, meanwhile)
    except Stopped as stopped:
        _say("stopped")
        return stopped.status


@contextlib.contextmanager
def _scratch() -> Iterator[Path]:
    """A folder for the server's own files, gone afterwards."""
    try:
        folder = tempfile.TemporaryDirectory(prefix="inrush-", ignore_cleanup_errors=True)
    except OSError as error:
        raise no_room("the temporary folder", error) from None
    with folder as name:
        yield Path(name)


def _run(server: Server, scratch: Path, open_browser: bool, meanwhile: Callable[[], None]) -> int:
    log = scratch / "log"
    try:
        process = server.start(log)
    except OSError as error:
        raise no_room(scratch.parent, error) from None
    try:
        meanwhile()
        if not wait_until_ready(server, process):
            raise BuildError(f"the workbook's server did not come up: {_last_words(log)}")
        print(f"Workbook at {server.address}\nStop with Ctrl-C.", flush=True)
        if open_browser:
            _show(server, scratch)
        return _ended(process.wait(), log)
    finally:
        _ignore()
        _end(process)
        wait_for_kernels(log)


def _show(server: Server, scratch: Path) -> None:
    try:
        show(server.address, scratch)
    except OSError as error:
        _say(f"the browser is not opened: {no_room(scratch.parent, error)}; the address can be")


def _ended(status: int, log: Path) -> int:
    how = f"killed by signal {-status}" if status < 0 else f"exit status {status}"
    _say(f"the workbook's server ended by itself ({how}); start it anew. Its last words: {_last_words(log)}")
    return ENDED_BY_ITSELF


def _last_words(log: Path) -> str:
    words = " / ".join(log.read_text(errors="replace").strip().splitlines()[-3:])
    return one_line(words) or "none"


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the server; kernels that it leaves behind end by themselves, within seconds."""
    process.terminate()
    try:
        process.wait(END_TIME)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
    if process.stdin is not None:
        process.stdin.close()


def wait_for_kernels(log: Path) -> None:
    """Wait until nothing writes any more: what a killed server's kernels make would be left behind.

    Parameters
    ----------
    log : Path
        The server's log, which its kernels write, too.
    """
    end = time.monotonic() + END_TIME
    with log.open("rb") as file:
        while is_held(file) and time.monotonic() < end:
            time.sleep(0.05)


@contextlib.contextmanager
def _listening() -> Iterator[None]:
    """Turn the signals that end a process into an exception while the block lasts; what is ignored stays so."""
    before: dict[int, Any] = {}
    for number in ENDING:
        if signal.getsignal(number) is not signal.SIG_IGN:
            before[number] = signal.signal(number, _stop)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _stop(number: int, _: object) -> NoReturn:
    raise Stopped(number)


def _ignore() -> None:
    """Let nothing interrupt what ends the server."""
    for number in ENDING:
        signal.signal(number, signal.SIG_IGN)


def _say(words: str) -> None:
    """Tell whoever still listens: after a hang-up nobody does."""
    with contextlib.suppress(OSError, ValueError):
        print(words, file=sys.stderr, flush=True)


def wait_until_ready(server: Server, process: subprocess.Popen[bytes]) -> bool:
    """Return whether the server answers within its time.

    Parameters
    ----------
    server : Server
        Server whose address is asked.
    process : Popen
        Its process; once that has ended nothing is waited for.
    """
    end = time.monotonic() + START_TIME
    asking = urllib.request.build_opener(urllib.request.ProxyHandler({}))  # this machine is asked directly
    while time.monotonic() < end and process.poll() is None:
        try:
            with asking.open(f"{server.root}/static/none", timeout=1):
                return True
        except urllib.error.HTTPError:
            return True
        except OSError:
            time.sleep(0.03)
    return False
