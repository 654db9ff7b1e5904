"""Kernels of a server of their own, real processes, which note what was started."""

import asyncio
import json
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from jupyter_client.kernelspec import KernelSpecManager
from traitlets.config import Config

from inrushlib.serve.kernels import Kernels
from tests.own_loop import run_alone

WITHIN = 60  # [s]
SETTINGS = Config(KernelRestarter={"restart_limit": 0, "time_to_dead": 0.02}, KernelManager={"shutdown_wait_time": 0.2})


class Counted(Kernels):
    """Kernels that note which ones were started."""

    def __init__(self, **options: Any) -> None:
        self.started: list[str] = []
        super().__init__(**options)

    async def _start(self, options: dict[str, Any]) -> str:
        kernel_id = await super()._start(options)
        self.started.append(kernel_id)
        return kernel_id

    def process(self, kernel_id: str) -> Any:
        return self.get_kernel(kernel_id).provisioner.process


def run_kernels(case: Callable[[Counted], Awaitable[None]], program: list[str], folder: Path) -> None:
    """Run a case on kernels that are such a program."""
    spec = folder / "kernels" / "python3"
    spec.mkdir(parents=True)
    text = json.dumps({"argv": program, "display_name": "waits", "language": "python"})
    (spec / "kernel.json").write_text(text)

    async def with_kernels() -> None:
        specs = KernelSpecManager(kernel_dirs=[str(spec.parent)], ensure_native_kernel=False)
        found = Counted(kernel_spec_manager=specs, connection_dir=str(folder), config=SETTINGS, root_dir=str(folder))
        try:
            await case(found)
        finally:
            await found.shutdown_all(now=True)
            found.template.end()
            found.context.destroy(linger=0)

    run_alone(with_kernels())


async def until(so: Callable[[], bool]) -> None:
    """Wait until it is so."""
    end = time.monotonic() + WITHIN
    while not so():
        assert time.monotonic() < end
        await asyncio.sleep(0.01)
