"""Full matrices of a few thousand rows on one thread: quick alone, and steady in company.

Between small products two threads wait for each other in a busy loop. Beside another process that
wants the same cores this takes ten times as long as one thread does.
"""

from __future__ import annotations

from contextlib import AbstractContextManager
from functools import cache

from threadpoolctl import ThreadpoolController


def one_dense_thread() -> AbstractContextManager:
    """Keep full-matrix algebra of numpy and scipy on one thread; as it was afterwards.

    The sparse direct solver keeps its own threads.

    Examples
    --------
    >>> with one_dense_thread():
    ...     sorted(set(dense_threads()) - {1})
    []
    """
    return _libraries().limit(limits=1)


def dense_threads() -> list[int]:
    """Threads of each library in use."""
    return [library.num_threads for library in _libraries().lib_controllers]


@cache
def _libraries() -> ThreadpoolController:
    """OpenBLAS, as it comes inside the wheels of numpy and scipy."""
    return ThreadpoolController().select(internal_api="openblas")
