"""Kernels that are forked from a template (``serve.forked``).

Imported by the server's process alone, which has the packages for it.
"""

from __future__ import annotations

import sys
from typing import Any, cast

from jupyter_client.provisioning.local_provisioner import LocalProvisioner

from inrushlib.serve.forked import Template

LAUNCHED = ["-m", "ipykernel_launcher", "-f"]  # how a kernel of our own Python is, before its connection file


class ForkedProvisioner(LocalProvisioner):
    """Has a kernel forked from the template; a kernel of another kind, or one that cannot be, is started as usual.

    Parameters
    ----------
    template : Template
        Forks the kernel.
    **options
        As for every provisioner.
    """

    def __init__(self, template: Template, **options: Any) -> None:
        super().__init__(**options)
        self._template = template

    async def launch_kernel(self, cmd: list[str], **kwargs: Any) -> Any:
        """Start the kernel, and return how it is reached."""
        forked = None
        if cmd[0] == sys.executable and cmd[-4:-1] == LAUNCHED:
            forked = await self._template.fork(cmd[-2:], kwargs["env"], kwargs.get("cwd"))
        if forked is None:
            return await super().launch_kernel(cmd, **kwargs)
        self.process, self.pid, self.pgid = cast(Any, forked), forked.pid, None
        self.cwd = kwargs.get("cwd")
        return self.connection_info
