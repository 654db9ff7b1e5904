"""Command, environment and address of the server."""

from __future__ import annotations

import importlib.util
import secrets
import socket
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

from inrushlib.errors import BuildError, UsageError
from inrushlib.files import reason_of
from inrushlib.serve import notebooks
from inrushlib.serve.held import hold
from inrushlib.serve.settings import environment_of, write_settings

LARGEST_MESSAGE = 256 * 2**20  # [bytes] of an upload through the browser
# A kernel whose page was closed ends at once; these are for a page that could not say farewell. [s]
IDLE_PAGES, IDLE_EDITOR, LOOKING = 90, 1800, 20
NOTICING = 1  # [s] within which a kernel that ended by itself is noticed
NEEDED = ("voila", "jupyterlab", "ipywidgets", "anywidget")


@dataclass(frozen=True)
class Server:
    """A server that is ready to be started.

    Attributes
    ----------
    command : list of str
        To run.
    environment : dict of str to str
        To run it in.
    folder : Path
        Its working folder.
    address : str
        Of the first page, token included.
    """

    command: list[str]
    environment: dict[str, str]
    folder: Path
    address: str

    @property
    def root(self) -> str:
        """Where it is served, without page and token."""
        parts = urlsplit(self.address)
        return f"{parts.scheme}://{parts.netloc}"

    def start(self, log: Path) -> subprocess.Popen[bytes]:
        """Start it; it ends when its standard input is closed, so also with this process.

        Parameters
        ----------
        log : Path
            File for what it prints.
        """
        with log.open("wb") as output:
            hold(output)
            # A session of its own: Ctrl-C and hang-up reach this process alone, which then ends the server.
            return subprocess.Popen(
                self.command, env=self.environment, cwd=self.folder, stdin=subprocess.PIPE, stdout=output,
                stderr=subprocess.STDOUT, start_new_session=True,
            )  # fmt: skip


def free_port() -> int:
    """Return a port on this machine that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _check(port: int | None) -> None:
    missing = [name for name in NEEDED if importlib.util.find_spec(name) is None]
    if missing:
        raise BuildError(f"the workbook needs {', '.join(missing)}; accepted: pip install 'inrushlib[workbook]'")
    if port is None:
        return
    if not 1 <= port <= 65535:
        raise UsageError(f"--port {port}; accepted: 1 to 65535")
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            raise UsageError(f"--port {port}: cannot be served on ({error.strerror}); accepted: a free port") from None


def no_room(folder: Path | str, error: OSError) -> BuildError:
    """The error for a temporary folder that the server's files do not go into.

    Parameters
    ----------
    folder : Path or str
        The temporary folder.
    error : OSError
        What the system says.
    """
    problem = f"the server's own files cannot be written: {reason_of(error)}; accepted: TMPDIR, a folder with room"
    return BuildError(problem, source=str(folder))


def prepare(
    work: Path, scratch: Path, *, port: int | None = None, lab: bool = False, idle: int | None = None,
    looking: int = LOOKING,
) -> Server:  # fmt: skip
    """Return the server's command and environment.

    Parameters
    ----------
    work : Path
        Folder of the start: builds are saved there.
    scratch : Path
        Empty folder for settings, so that nothing of the user's own is read or written.
    port : int or None
        Port [1], 1 to 65535; None for a free one.
    lab : bool
        Whether the notebooks are opened for editing.
    idle : int or None
        Time without a page after which a kernel is ended [s]; None for 90 s, or 30 minutes in the editor.
    looking : int
        Time between two looks for such kernels [s].

    Raises
    ------
    BuildError
        Where something is missing, or a file cannot be written.
    UsageError
        For a port out of range, or one that cannot be served on.
    """
    _check(port)
    folder = notebooks.own_copy(work) if lab else notebooks.workbook_folder()
    port = port or free_port()
    idle = idle or (IDLE_EDITOR if lab else IDLE_PAGES)
    token = secrets.token_hex(24)
    try:
        write_settings(scratch, token, ahead=not lab)
    except OSError as error:
        raise no_room(scratch.parent, error) from None
    app = "ServerApp" if lab else "Voila"
    options = [
        f"--{app}.ip=127.0.0.1",
        f"--{app}.port={port}",
        f"--{app}.port_retries=0",
        f"--{app}.kernel_websocket_connection_class=inrushlib.serve.inside.NoDelayConnection",
        f"--{app}.tornado_settings={{'websocket_max_message_size': {LARGEST_MESSAGE}}}",
        f"--MappingKernelManager.cull_idle_timeout={idle}",
        f"--MappingKernelManager.cull_interval={looking}",
        "--MappingKernelManager.cull_connected=False",
        "--no-browser",
    ]
    if lab:
        module = ["jupyterlab", str(folder), "--allow-root"]
        options.append("--LabApp.extension_manager=readonly")  # the other one asks a package index
        page = f"lab/tree/{notebooks.FIRST_NOTEBOOK}"
    else:
        module = ["inrushlib.serve.start", str(folder), "--template=inrush"]
        options.append("--Voila.identity_provider_class=inrushlib.serve.inside.Identity")
        options.append("--VoilaConfiguration.multi_kernel_manager_class=inrushlib.serve.kernels.Kernels")
        # A kernel that ended by itself is not started again: it would have nothing of its page in it.
        options += ["--KernelRestarter.restart_limit=0", f"--KernelRestarter.time_to_dead={NOTICING}"]
        page = f"voila/render/{notebooks.FIRST_NOTEBOOK}"
    command = [sys.executable, "-m", "inrushlib.serve.child", str(scratch), *module, *options]
    address = f"http://127.0.0.1:{port}/{page}?token={token}"
    return Server(command, environment_of(work, scratch, folder), folder, address)
