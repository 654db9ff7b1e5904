"""The pages' server: no page waits for a kernel that is not there.

Imported by the server's process alone, which has the packages for it.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from typing import Any

from jupyter_core.utils import ensure_async
from voila import handler
from voila.app import main
from voila.notebook_renderer import NotebookRenderer

from inrushlib.serve.gone import NOT_MADE

ATTEMPTS = 3  # kernels tried for a page before it says that it cannot be made


class KernelEnded(RuntimeError):
    """A kernel ended while its page was made."""


class Page(NotebookRenderer):  # type: ignore[misc]  # the server has no types
    """A page on its way: gets another kernel where the first one died, and says so where it cannot be made.

    Left to itself, the server sends a page that failed on its way nothing more and never ends it, and takes a kernel
    that died for an answer.
    """

    async def generate_content_generator(self, kernel_id: Any = None, kernel_future: Any = None) -> AsyncIterator[Any]:
        """Yield the page's pieces; the last one of a page that cannot be made says that."""
        try:
            async for piece in super().generate_content_generator(kernel_id, kernel_future):
                yield piece
        except Exception:
            self.log.exception("The page could not be made")
            yield NOT_MADE, None

    async def _jinja_kernel_start(self, nb: Any, kernel_id: str, kernel_future: Any) -> str:
        """Connect to the kernel, or to another one where that does not answer; return its number."""
        kernels = self.request_handler.kernel_manager
        for _ in range(ATTEMPTS - 1):
            try:
                return str(await super()._jinja_kernel_start(nb, kernel_id, kernel_future))
            except RuntimeError:
                kernel_id = await kernels.instead_of(kernel_id)
                kernel_future = kernels.get_kernel(kernel_id)
        return str(await super()._jinja_kernel_start(nb, kernel_id, kernel_future))

    async def _jinja_cell_generator(self, nb: Any, kernel_id: str) -> AsyncIterator[Any]:
        """Yield the cells as they are run, as long as there is a kernel that runs them."""
        async for cell in super()._jinja_cell_generator(nb, kernel_id):
            if not await ensure_async(self.executor.km.is_alive()):
                await self._cleanup_resources()
                raise KernelEnded(kernel_id)
            yield cell


def serve() -> None:
    """Run the server, told by the program's arguments, until it is ended."""
    handler.NotebookRenderer = Page  # there is no setting for it
    main()
