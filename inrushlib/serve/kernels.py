"""The kernels, one a page, and one to spare that has everything loaded before a page asks for it.

Imported by the server's process alone, which has the packages for it.
"""

from __future__ import annotations

import asyncio
import os
from collections.abc import Awaitable
from datetime import UTC, datetime
from typing import Any, cast

from jupyter_core.utils import ensure_async
from jupyter_server.services.kernels.kernelmanager import AsyncMappingKernelManager
from tornado import web
from tornado.ioloop import IOLoop

from inrushlib.serve.forked import Template
from inrushlib.serve.provisioner import ForkedProvisioner

# The server tells a kernel the address that its page was asked for, token included.
WITH_TOKEN = ("QUERY_STRING", "VOILA_REQUEST_URL")
STARTING = 90.0  # [s] that a kernel may take to start on a busy machine
REFILL = 3.0  # [s] after the spare one was taken: its page is built first
HEARING = 3.0  # [s] at most in which a kernel takes in what its page sent last
IN_A_ROW = 3  # spare kernels that may end by themselves before the next one waits for a page to ask


class Kernels(AsyncMappingKernelManager):
    """The kernels, none of which knows the token.

    One is kept to spare: it has loaded the pages' code (``settings.READY``) when a page asks for a kernel, gets that
    one, and the next one is started. There are never more kernels than open pages and the spare one. A kernel that
    ends by itself is not started again, for what its page had in it is gone: the page says so (``serve.gone``).
    """

    loading: Template | None = None
    """The template that was begun before the server had loaded; None for one that begins with the first kernel."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)  # type: ignore[no-untyped-call]
        self._spare: asyncio.Future[str] | None = None
        self._ended_in_a_row = 0
        self.template = self.loading or Template()
        IOLoop.current().add_callback(self._fill)

    async def start_kernel(self, **options: Any) -> Any:  # type: ignore[override]  # as the base does
        """Return a kernel for a page: the spare one, or where that has gone, a new one."""
        spare, self._spare = self._spare, None
        self._ended_in_a_row = 0
        IOLoop.current().call_later(REFILL, self._fill)
        found = await self._alive(spare) if spare is not None else None
        return found or await self._start(options)

    def pre_start_kernel(self, kernel_name: str | None, kwargs: Any) -> Any:
        """Return a kernel that is about to be started: by being forked, where its kind does not say how else.

        Parameters
        ----------
        kernel_name : str or None
            The kernel's kind; None for the usual one.
        kwargs : dict
            What it is to be started with.
        """
        kernel, name, kernel_id = super().pre_start_kernel(kernel_name, kwargs)
        spec = kernel.kernel_spec
        if spec is not None and "kernel_provisioner" not in spec.metadata:
            kernel.provisioner = ForkedProvisioner(self.template, kernel_id=kernel_id, kernel_spec=spec, parent=kernel)
        return kernel, name, kernel_id

    async def instead_of(self, kernel_id: str) -> str:
        """End a kernel that does not answer, and return another one for its page.

        Whether a kernel is alive when it is handed out does not say that it lives on: one that was killed a
        millisecond before still counts as a process.
        """
        await self.end(kernel_id)
        return str(await self.start_kernel(**self._usual()))

    async def _async_shutdown_kernel(
        self, kernel_id: str, now: bool | None = False, restart: bool | None = False
    ) -> None:
        """End a kernel; one whose page took leave first takes in what the page sent before it left.

        Where it has ended by itself meanwhile, or was ended by its page's farewell, there is nothing more to do.
        """
        try:
            if not now and not self._is_spare(kernel_id):
                await self._hear_out(kernel_id)
            await super()._async_shutdown_kernel(kernel_id, now=now, restart=restart)  # type: ignore[no-untyped-call]
        except (KeyError, web.HTTPError):
            self.log.debug("Kernel %s has ended before", kernel_id)

    shutdown_kernel = _async_shutdown_kernel  # type: ignore[assignment]  # as the base does

    async def _hear_out(self, kernel_id: str) -> None:
        """Wait until a kernel has handled what came before: word of its end overtakes all that still waits."""
        kernel = cast(Any, self.get_kernel(kernel_id))
        if not await ensure_async(kernel.is_alive()):
            return
        heard = asyncio.get_running_loop().create_future()
        channel = kernel.connect_shell()
        channel.on_recv(lambda _: heard.cancel())
        kernel.session.send(channel, "kernel_info_request")
        await asyncio.wait({heard}, timeout=HEARING)
        channel.close()

    async def end(self, kernel_id: str) -> None:
        """End a kernel at once, whether or not it lives, with all that the server holds for it."""
        await self._async_shutdown_kernel(kernel_id, now=True)

    def _handle_kernel_died(self, kernel_id: str) -> None:
        """Take out a kernel that ended by itself; where it was the spare one, start the next."""
        self.log.warning("Kernel %s ended by itself", kernel_id)
        IOLoop.current().add_callback(self.end, kernel_id)
        if not self._is_spare(kernel_id):
            return
        self._spare = None
        self._ended_in_a_row += 1
        if self._ended_in_a_row < IN_A_ROW:
            IOLoop.current().call_later(REFILL, self._fill)

    async def _remove_kernel_when_ready(self, kernel_id: str, kernel_awaitable: Awaitable[Any]) -> None:
        """Take a kernel out once it has ended, and what was held for its page's coming back.

        A page that leaves closes its connection between its farewell and the kernel's end, and is then taken for one
        that comes back: four files would stay open for each page that was ever shown.
        """
        await super()._remove_kernel_when_ready(kernel_id, kernel_awaitable)  # type: ignore[no-untyped-call]
        held = self._kernel_buffers.pop(kernel_id, None)
        for stream in held["channels"].values() if held else ():
            stream.close()

    def _is_spare(self, kernel_id: str) -> bool:
        spare = self._spare
        return spare is not None and spare.done() and not spare.exception() and spare.result() == kernel_id

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

    def _usual(self) -> dict[str, Any]:
        return {"kernel_name": self.default_kernel_name, "path": "", "env": dict(os.environ)}

    def _fill(self) -> None:
        if self._spare is None:
            self._spare = asyncio.ensure_future(self._start_spare())

    async def _start_spare(self) -> str:
        kernel_id = await self._start(self._usual())
        IOLoop.current().add_callback(self._look_after, kernel_id)
        return kernel_id

    async def _look_after(self, kernel_id: str) -> None:
        """Take out a spare kernel that ended before the watch over it began."""
        alive = kernel_id in self and await ensure_async(self.get_kernel(kernel_id).is_alive())
        if not alive and self._is_spare(kernel_id):
            self._handle_kernel_died(kernel_id)

    async def cull_kernel_if_idle(self, kernel_id: str) -> None:
        """End a kernel that no page has had for a time; the spare one waits as long as it takes."""
        if self._is_spare(kernel_id):
            return
        kernel = cast(Any, self.get_kernel(kernel_id))
        age = (datetime.now(UTC) - kernel.last_activity).total_seconds()
        if kernel.execution_state == "starting" and age < STARTING:
            return  # its page cannot be connected yet
        await ensure_async(super().cull_kernel_if_idle(kernel_id))  # type: ignore[no-untyped-call]
