"""Serving the workbook on this machine.

``serve``           start the server, say the address, open the browser, wait
``default_build``   the file of the build whose verdict is printed first
``workbook_folder`` where the notebooks are
``prepare``         command and environment of the server, for ``serve`` and for tests

``notebooks`` has the folders, ``settings`` the files that the server reads, ``command`` how it is started, ``run`` its
life, ``browser`` the way in, ``loading`` and ``gone`` what a page says before and after it is there; ``child``,
``start``, ``inside``, ``kernels``, ``provisioner``, ``forked`` and ``pages`` run in the server's own process,
``template`` in the one that forks kernels. Nothing here loads builds or the model: the server needs neither.
"""

from inrushlib.serve.command import Server, free_port, prepare
from inrushlib.serve.notebooks import COPY, FIRST_NOTEBOOK, default_build, own_copy, workbook_folder
from inrushlib.serve.run import serve, wait_until_ready

__all__ = [
    "COPY",
    "FIRST_NOTEBOOK",
    "Server",
    "default_build",
    "free_port",
    "own_copy",
    "prepare",
    "serve",
    "wait_until_ready",
    "workbook_folder",
]
