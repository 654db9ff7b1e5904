"""The server's settings: files and environment in which nothing of the user's own is read or written."""

from __future__ import annotations

import json
import os
from pathlib import Path

from inrushlib.errors import BuildError
from inrushlib.serve.loading import FAILED, page_of

READY = """from widgets import get_ready
get_ready()
del get_ready
"""
"""What a kernel does first."""
IN_STEPS = "from widgets import in_steps\n"
"""The same for the template, which need not have done all of it before it forks the first kernel."""


def environment_of(work: Path, scratch: Path, notebooks: Path) -> dict[str, str]:
    """Return the server's environment; the token is not in it.

    Parameters
    ----------
    work : Path
        Folder of the start: builds are saved there.
    scratch : Path
        Folder for settings, run-time files and the editor's own state.
    notebooks : Path
        Folder of the notebooks, from which they import.
    """
    kept = {name: value for name, value in os.environ.items() if name not in ("JUPYTER_TOKEN", "JUPYTER_TOKEN_FILE")}
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


def write_private(path: Path, text: str) -> None:
    """Write a file that its owner alone can read; one that is there already goes, with its permissions.

    Parameters
    ----------
    path : Path
        File to write.
    text : str
        What goes into it, as UTF-8.
    """
    path.unlink(missing_ok=True)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
        file.write(text)


def write_settings(scratch: Path, token: str, ahead: bool) -> None:
    """Write the token, a page template that fetches nothing, and settings that keep the editor quiet.

    Parameters
    ----------
    scratch : Path
        Folder for settings, as in :func:`environment_of`.
    token : str
        What a browser has to know to be let in.
    ahead : bool
        Whether a kernel loads what the pages need as soon as it starts.

    Raises
    ------
    BuildError
        Where the server's page template is not installed.
    """
    for name in ("config", "data", "runtime", "lab", "workspaces", "ipython"):
        (scratch / name).mkdir(parents=True, exist_ok=True)
    # In files, not among the arguments: those can be read by every user of the machine. A kernel that is just starting
    # when the server ends makes its connection's folder once more; in ours it goes with everything else.
    for name, settings in (
        ("voila.json", {"Voila": {"token": token, "connection_dir_root": str(scratch / "runtime")}}),
        ("jupyter_server_config.json", {"IdentityProvider": {"token": token}}),
    ):
        write_private(scratch / "config" / name, json.dumps(settings))
    template = scratch / "share" / "voila" / "templates" / "inrush"
    template.mkdir(parents=True, exist_ok=True)
    (template / "index.html.j2").write_text(page_of(_page_template().read_text(encoding="utf-8")), encoding="utf-8")
    (template / "500.html").write_text(FAILED, encoding="utf-8")
    (template / "conf.json").write_text(json.dumps({"base_template": "lab"}), encoding="utf-8")
    if ahead:
        first = scratch / "ipython" / "profile_default" / "startup"
        first.mkdir(parents=True)
        (first / "0_ready.py").write_text(READY, encoding="utf-8")
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
