"""An executor on a Dask cluster that runs already, by its address."""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager

from orthofem.errors import MissingLibraryError, ModelError

PATIENCE = 15.0
"""Time to wait for the scheduler to answer. [s]"""


@contextmanager
def cluster_executor(address: str) -> Iterator[Executor]:
    """Standard executor of an existing cluster.

    Every worker machine needs the same versions of orthofem and its libraries, and part files
    under the same paths. The store is written here alone.

    Parameters
    ----------
    address : str
        Of the scheduler, for example "tcp://192.168.0.10:8786".

    Raises
    ------
    MissingLibraryError
        If dask's distributed package is not installed.
    ModelError
        If no scheduler answers there, or it has no workers.
    """
    try:
        distributed = importlib.import_module("distributed")
    except ImportError as error:
        raise MissingLibraryError(
            "A batch on a cluster needs dask: pip install 'orthofem[cluster]'"
        ) from error
    try:
        client = distributed.Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError) as error:
        raise ModelError(
            f"No scheduler answers at '{address}': {error}. Start one with 'dask scheduler', "
            "workers with 'dask worker ADDRESS', and give its address, such as tcp://host:8786."
        ) from error
    try:
        if not client.scheduler_info(n_workers=-1)["workers"]:
            raise ModelError(
                f"The scheduler at '{address}' has no workers; start some with "
                f"'dask worker {address}'."
            )
        yield client.get_executor(pure=False)
    finally:
        client.close()
