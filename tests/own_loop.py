"""A coroutine that is run to its end in a loop of its own, in a thread of its own.

The browser of the page tests keeps a loop running in the thread of the tests; which tests share a process with them
is decided while they run.
"""

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any


def run_alone(coroutine: Coroutine[Any, Any, Any]) -> Any:
    """Run a coroutine; returns what it does."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, coroutine).result()
