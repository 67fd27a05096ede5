"""Where the flights of a day are flown: on this machine, or on a Dask cluster that somebody has set up.

The answer does not depend on it: an assessment is a function of the document, the conditions and the seed alone.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager

from service.planning.errors import PlanningError
from service.version import engine

CONNECT_S = 10.0


class NoCluster(PlanningError):
    """A cluster that cannot be reached or flies another version of the engine."""


@contextmanager
def executor_at(address: str | None = None) -> Iterator[Executor]:
    """An executor for `assess_day`: a thread a processor here, or the workers of a cluster.

    Parameters
    ----------
    address : str, optional
        Of a Dask scheduler, such as `tcp://10.0.0.5:8786`; this machine alone by default.

    Raises
    ------
    NoCluster
        If nothing answers there, the library for it is not installed, or a worker has another engine than this.
    """
    if address is None:
        pool = ThreadPoolExecutor(os.cpu_count() or 1)
        try:
            yield pool
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
        return
    try:
        from distributed import Client
    except ImportError:
        raise NoCluster(f"{address}: the library is missing; pip install 'rangehand[cluster]'") from None
    try:
        client = Client(address, timeout=CONNECT_S)
    except (OSError, ValueError) as error:
        raise NoCluster(f"{address}: no scheduler answers there ({error})") from None
    try:
        others = {worker: version for worker, version in client.run(engine).items() if version != engine()}
        if others:
            told = ", ".join(f"{worker} has {version}" for worker, version in sorted(others.items()))
            raise NoCluster(f"{address}: {told}; every worker needs the engine of this machine, {engine()}")
        if not client.scheduler_info()["workers"]:
            raise NoCluster(f"{address}: the scheduler has no workers")
        yield client.get_executor()
    finally:
        client.close()
