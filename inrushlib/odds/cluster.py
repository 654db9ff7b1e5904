"""Runs over processes of this machine, or over many machines, by dask.distributed (the extra ``cluster``).

``Cluster``  such a crew: ``Cluster.here`` of processes of this machine, ``Cluster.at`` of workers that run elsewhere

Each chunk of points is a task of its own that holds all it needs, so that one whose worker dies is run anew by another.
They are taken up in order, so that the answer is the same to the last bit as on one thread.
"""

from __future__ import annotations

import pickle
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from types import TracebackType
from typing import Any, Final

from inrushlib.errors import Cancelled, UsageError
from inrushlib.odds.draw import Draw
from inrushlib.odds.engine import AHEAD, Crew, Ran, run_chunk
from inrushlib.odds.points import Chunk

MOST_WORKERS: Final = 1024
PATIENCE: Final = 10
"""How long a scheduler may take to answer [s]."""
DEATHS: Final = 10
"""Workers that may die over one chunk before the runs are given up [1]."""
MISSING: Final = "several processes need the extra cluster: pip install 'inrushlib[cluster]'"


class Cluster(Crew):
    """Processes that take chunks of points; ended at the end of a ``with`` block.

    Parameters
    ----------
    client : object
        A client of dask.distributed.
    name : str
        What it is, for messages.
    close : callable
        Ends what was begun for it.
    """

    def __init__(self, client: Any, name: str, close: Callable[[], None]) -> None:
        self.client, self.name, self._close = client, name, close

    @classmethod
    def here(cls, workers: int) -> Cluster:
        """Return a crew of processes of this machine, which talk to each other encrypted, and to nobody else.

        Parameters
        ----------
        workers : int
            Processes [1], 1 to 1024.

        Raises
        ------
        UsageError
            Where the extra is not installed, or for a number that is not accepted.
        """
        if not 1 <= workers <= MOST_WORKERS:
            raise UsageError(f"workers: value {workers}; accepted: 1 to {MOST_WORKERS}, whole")
        try:
            import cryptography  # noqa: F401 (the certificates of the processes)
            import dask
            from distributed import Client, LocalCluster
        except ImportError as error:
            raise UsageError(MISSING) from error
        dask.config.set({"distributed.scheduler.allowed-failures": DEATHS})
        local = LocalCluster(
            n_workers=workers, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None,
            security=True, silence_logs="CRITICAL",
        )  # fmt: skip
        client = Client(local)

        def close() -> None:
            client.close()
            local.close()

        return cls(client, f"{workers} processes", close)

    @classmethod
    def at(cls, address: str) -> Cluster:
        """Return a crew of workers that are already running, of the same version as this one.

        Parameters
        ----------
        address : str
            Of their scheduler, such as ``tcp://192.0.2.7:8786``.

        Raises
        ------
        UsageError
            Where the extra is not installed, nobody answers there, or other sources run there.
        """
        try:
            from distributed import Client
        except ImportError as error:
            raise UsageError(MISSING) from error
        try:
            client = Client(address, timeout=PATIENCE)
            client.wait_for_workers(1, timeout=PATIENCE)
        except (OSError, TimeoutError, ValueError) as error:
            raise UsageError(
                f"cluster {address}: no scheduler with a worker answers; accepted: an address such as "
                "tcp://192.0.2.7:8786"
            ) from error
        from inrushlib.model.store import source_hash

        try:
            sources = set(client.run(source_hash).values())
        except Exception as error:  # whatever a worker that does not have these sources makes of it
            client.close()
            raise UsageError(f"cluster {address}: its workers cannot load inrushlib ({error})") from error
        if sources != {source_hash()}:
            client.close()
            raise UsageError(f"cluster {address}: its workers run another version of the model")
        return cls(client, f"cluster {address}", client.close)

    def verdicts(
        self, draw: Draw, chunks: Iterable[Chunk], *, tolerance: float, cancelled: Callable[[], bool] | None
    ) -> Iterator[Ran]:
        """Yield what chunks of points come to, in their order.

        Parameters
        ----------
        draw : Draw
            From points to builds.
        chunks : iterable of Chunk
            Taken as workers become free.
        tolerance : float
            As in :func:`inrushlib.startup.screen` [1].
        cancelled : callable or None
            Asked between chunks; true stops the work.

        Raises
        ------
        Cancelled
            Where the caller asked to stop.
        UsageError
            Where worker after worker died over the same chunk.
        """
        from distributed import KilledWorker

        packed, waiting = pickle.dumps(draw), deque[Any]()
        ahead = AHEAD * max(1, len(self.client.nthreads()))
        try:
            for chunk in chunks:
                waiting.append(self.client.submit(_task, packed, chunk, tolerance, pure=False))
                if len(waiting) > ahead:
                    yield waiting.popleft().result()
                if cancelled is not None and cancelled():
                    raise Cancelled("stopped before all starts were run")
            while waiting:
                yield waiting.popleft().result()
        except KilledWorker as error:
            said = f"{self.name}: {DEATHS} workers died over the same runs, such as for want of memory"
            raise UsageError(said) from error
        finally:
            self.client.cancel(list(waiting))

    def __enter__(self) -> Cluster:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._close()


@lru_cache(maxsize=2)
def _draw(packed: bytes) -> Draw:
    found: Draw = pickle.loads(packed)
    return found


def _task(packed: bytes, chunk: Chunk, tolerance: float) -> Ran:
    return run_chunk(_draw(packed), chunk, tolerance)
