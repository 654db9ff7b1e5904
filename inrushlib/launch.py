"""Serving the workbook on this machine.

``serve``           start the server, say the address, open the browser, wait
``default_build``   the build whose verdict is printed first
``workbook_folder`` where the notebooks are
``prepare``         command and environment of the server, for ``serve`` and for tests
"""

from __future__ import annotations

import importlib.util
import json
import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
import webbrowser
from dataclasses import dataclass
from pathlib import Path

from inrushlib.build import Build, load_build
from inrushlib.errors import BuildError

FIRST_NOTEBOOK = "1_will_it_boot.ipynb"
DEFAULT_BUILD = "tide_board_never_starts.toml"
LARGEST_MESSAGE = 256 * 2**20  # [bytes] of an upload through the browser
NEEDED = ("voila", "jupyterlab", "ipywidgets", "anywidget")
COPY = "inrush-workbook"
START_TIME = 60.0  # [s]


def workbook_folder() -> Path:
    """Return the folder with the notebooks: beside the package in a checkout, inside it once installed."""
    here = Path(__file__).resolve().parent
    for folder in (here / "_workbook", here.parent / "workbook"):
        if (folder / FIRST_NOTEBOOK).is_file():
            return folder
    raise BuildError(f"the workbook is not there: no {FIRST_NOTEBOOK} in or beside {here}; install the package anew")


def default_build() -> Build:
    """Return the build that the first notebook begins with."""
    return load_build(workbook_folder() / "builds" / DEFAULT_BUILD)


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
        raise BuildError(f"--port {port}; accepted: 1 to 65535")
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            raise BuildError(f"--port {port}: cannot be served on ({error.strerror}); accepted: a free port") from None


def prepare(work: Path, scratch: Path, *, port: int | None = None, lab: bool = False) -> Server:
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
    """
    _check(port)
    notebooks = _own_copy(work) if lab else workbook_folder()
    port = port or free_port()
    token = secrets.token_hex(24)
    _write_settings(scratch, token)
    app = "ServerApp" if lab else "Voila"
    options = [
        f"--{app}.ip=127.0.0.1",
        f"--{app}.port={port}",
        f"--{app}.port_retries=0",
        f"--{app}.kernel_websocket_connection_class=inrushlib.sockets.NoDelayConnection",
        f"--{app}.tornado_settings={{'websocket_max_message_size': {LARGEST_MESSAGE}}}",
        "--no-browser",
    ]
    if lab:
        command = [sys.executable, "-m", "jupyterlab", str(notebooks), "--allow-root", *options]
        command.append("--LabApp.extension_manager=readonly")  # the other one asks a package index
        page = f"lab/tree/{FIRST_NOTEBOOK}"
    else:
        command = [sys.executable, "-m", "voila", str(notebooks), "--template=inrush", *options]
        page = f"voila/render/{FIRST_NOTEBOOK}"
    address = f"http://127.0.0.1:{port}/{page}?token={token}"
    return Server(command, _environment(work, scratch, notebooks), notebooks, address)


def _own_copy(work: Path) -> Path:
    """Return notebooks that may be edited: the checkout's own, or a copy in the folder of the start.

    A file that is there already stays as it is; where it is not the one that comes along, that is said.
    """
    folder = workbook_folder()
    if folder.name != "_workbook":
        return folder
    target = work / COPY
    for path in sorted(folder.rglob("*")):
        copy = target / path.relative_to(folder)
        if not path.is_file() or {"__pycache__", ".ipynb_checkpoints"} & set(path.parts):
            continue
        if not copy.exists():
            copy.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, copy)
        elif copy.read_bytes() != path.read_bytes():
            print(f"{copy.relative_to(work)} stays as it is; this version brings another one", file=sys.stderr)
    return target


def _environment(work: Path, scratch: Path, notebooks: Path) -> dict[str, str]:
    kept = dict(os.environ)
    kept.pop("JUPYTER_TOKEN", None)
    path = [str(notebooks), *filter(None, [kept.get("PYTHONPATH")])]
    kept.update(
        INRUSH_FOLDER=str(work),
        PYTHONPATH=os.pathsep.join(path),
        JUPYTER_CONFIG_DIR=str(scratch / "config"),
        JUPYTER_DATA_DIR=str(scratch / "data"),
        JUPYTER_RUNTIME_DIR=str(scratch / "runtime"),
        JUPYTER_PATH=str(scratch / "share"),
        JUPYTERLAB_SETTINGS_DIR=str(scratch / "lab"),
        JUPYTERLAB_WORKSPACES_DIR=str(scratch / "workspaces"),
        IPYTHONDIR=str(scratch / "ipython"),
        JUPYTER_PLATFORM_DIRS="1",
        PYTHONWARNINGS="ignore::DeprecationWarning",
    )
    return kept


def _write_settings(scratch: Path, token: str) -> None:
    """Write the token, a page template that fetches nothing, and settings that keep the editor quiet."""
    for name in ("config", "data", "runtime", "lab", "workspaces", "ipython"):
        (scratch / name).mkdir(parents=True, exist_ok=True)
    # In files, not among the arguments: those can be read by every user of the machine.
    for name, settings in (
        ("voila.json", {"Voila": {"token": token}}),
        ("jupyter_server_config.json", {"IdentityProvider": {"token": token}}),
    ):
        path = scratch / "config" / name
        path.touch(mode=0o600)
        path.write_text(json.dumps(settings), encoding="utf-8")
    template = scratch / "share" / "voila" / "templates" / "inrush"
    template.mkdir(parents=True, exist_ok=True)
    lines = _page_template().read_text(encoding="utf-8").splitlines(keepends=True)
    (template / "index.html.j2").write_text("".join(x for x in lines if "//cdn." not in x), encoding="utf-8")
    (template / "conf.json").write_text(json.dumps({"base_template": "lab"}), encoding="utf-8")
    quiet = {
        "@jupyterlab/apputils-extension:notification": {"fetchNews": "false", "checkForUpdates": False},
        "@jupyterlab/apputils-extension:kernels-settings": {"commsOverSubshells": "disabled"},
    }
    for name, choices in quiet.items():
        extension, _, plugin = name.partition(":")
        path = scratch / "lab" / extension / f"{plugin}.jupyterlab-settings"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(json.dumps(choices), encoding="utf-8")


def _page_template() -> Path:
    """The page template that came with the server, wherever it was installed."""
    from jupyter_core.paths import jupyter_path

    found = [Path(folder) / "lab" / "index.html.j2" for folder in jupyter_path("voila", "templates")]
    for path in found:
        if path.is_file():
            return path
    raise BuildError(f"the workbook's page template is not there: {found[0]}; install 'inrushlib[workbook]' anew")


def wait_until_ready(server: Server, process: subprocess.Popen[bytes]) -> bool:
    """Return whether the server answers within its time."""
    end = time.monotonic() + START_TIME
    probe = server.address.split("/", 3)
    address = f"{probe[0]}//{probe[2]}/static/none"
    while time.monotonic() < end and process.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=1):
                return True
        except urllib.error.HTTPError:
            return True
        except OSError:
            time.sleep(0.1)
    return False


def serve(work: Path, *, port: int | None = None, lab: bool = False, open_browser: bool = True) -> None:
    """Serve the workbook until it is stopped from the keyboard.

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

    Raises
    ------
    BuildError
        Where something is missing, the port is taken, or the server does not come up.
    """
    signal.signal(signal.SIGTERM, _interrupt)
    with tempfile.TemporaryDirectory(prefix="inrush-") as scratch:
        server = prepare(work.resolve(), Path(scratch), port=port, lab=lab)
        log = Path(scratch) / "log"
        with log.open("wb") as output:
            # A session of its own: Ctrl-C reaches this process alone, which then ends the server.
            process = subprocess.Popen(
                server.command, env=server.environment, cwd=server.folder, stdin=subprocess.DEVNULL, stdout=output,
                stderr=subprocess.STDOUT, start_new_session=True,
            )  # fmt: skip
        try:
            if not wait_until_ready(server, process):
                tail = log.read_text(errors="replace").strip().splitlines()[-3:]
                raise BuildError("the workbook's server did not come up: " + " / ".join(tail))
            print(f"Workbook at {server.address}\nStop with Ctrl-C.", flush=True)
            if open_browser:
                webbrowser.open(server.address)
            process.wait()
        except KeyboardInterrupt:
            print("stopped", flush=True)
        finally:
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()


def _interrupt(*_: object) -> None:
    """End as Ctrl-C does, so that the server is ended and the settings are removed."""
    raise KeyboardInterrupt
