"""The kernels, one a page, and one to spare that has everything loaded before a page asks for it.

Imported by the server's process alone, which has the packages for it.
"""

from __future__ import annotations

import asyncio
import os
from datetime import UTC, datetime
from typing import Any, cast

from jupyter_core.utils import ensure_async
from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from tornado.ioloop import IOLoop

# The server tells a kernel the address that its page was asked for, token included.
WITH_TOKEN = ("QUERY_STRING", "VOILA_REQUEST_URL")
STARTING = 90.0  # [s] that a kernel may take to start on a busy machine
REFILL = 3.0  # [s] after the spare one was taken: its page is built first


class Kernels(AsyncMappingKernelManager):
    """The kernels, none of which knows the token.

    One is kept to spare: it has loaded the pages' code (``settings.READY``) when a page asks for a kernel, gets that
    one, and the next one is started. There are never more kernels than open pages and the spare one.
    """

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)  # type: ignore[no-untyped-call]
        self._spare: asyncio.Future[str] | None = None
        IOLoop.current().add_callback(self._fill)

    async def start_kernel(self, **options: Any) -> Any:  # type: ignore[override]  # as the base does
        """Return a kernel for a page: the spare one, or where that has gone, a new one."""
        spare, self._spare = self._spare, None
        IOLoop.current().call_later(REFILL, self._fill)
        found = await self._alive(spare) if spare is not None else None
        return found or await self._start(options)

    async def _start(self, options: dict[str, Any]) -> str:
        """Start a kernel without the address that its page was asked for."""
        if options.get("env"):
            options["env"] = {name: value for name, value in options["env"].items() if name not in WITH_TOKEN}
        return str(await super().start_kernel(**options))

    async def _alive(self, spare: asyncio.Future[str]) -> str | None:
        """The spare kernel, unless it could not be started or has died."""
        try:
            kernel_id = await spare
            alive = kernel_id in self and await ensure_async(self.get_kernel(kernel_id).is_alive())
        except Exception:  # whatever kept it from starting: the page's own attempt says so to the page
            return None
        if alive:
            taken: Any = self.get_kernel(kernel_id)
            taken.last_activity = datetime.now(UTC)  # it was idle for a reason
        return kernel_id if alive else None

    def _fill(self) -> None:
        if self._spare is None:
            options = {"kernel_name": self.default_kernel_name, "path": "", "env": dict(os.environ)}
            self._spare = asyncio.ensure_future(self._start(options))

    async def cull_kernel_if_idle(self, kernel_id: str) -> None:
        """End a kernel that no page has had for a time; the spare one waits as long as it takes."""
        spare, kernel = self._spare, cast(Any, self.get_kernel(kernel_id))
        if spare is not None and spare.done() and not spare.exception() and spare.result() == kernel_id:
            return
        age = (datetime.now(UTC) - kernel.last_activity).total_seconds()
        if kernel.execution_state == "starting" and age < STARTING:
            return  # its page cannot be connected yet
        await ensure_async(super().cull_kernel_if_idle(kernel_id))  # type: ignore[no-untyped-call]
