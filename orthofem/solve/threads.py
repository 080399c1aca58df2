"""How many threads the process may use, and array work spread over them."""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import islice
from typing import TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")


def allowed_threads() -> int:
    """As many as MKL_NUM_THREADS or OMP_NUM_THREADS says, or as there are cores."""
    said = os.environ.get("MKL_NUM_THREADS") or os.environ.get("OMP_NUM_THREADS")
    return int(said) if said and said.isdigit() and int(said) else os.cpu_count() or 1


def in_parallel(function: Callable[[Item], Result], items: Iterable[Item]) -> Iterator[Result]:
    """Results in order, a few items at a time side by side.

    Array products let go of the interpreter's lock, so threads are enough; no more results are
    held at once than there are threads.

    Examples
    --------
    >>> list(in_parallel(abs, [-1, 2, -3]))
    [1, 2, 3]
    """
    threads = allowed_threads()
    if threads == 1:
        yield from map(function, items)
        return
    rest = iter(items)
    with ThreadPoolExecutor(threads) as pool:
        running = deque(pool.submit(function, item) for item in islice(rest, threads))
        while running:
            done = running.popleft().result()
            running.extend(pool.submit(function, item) for item in islice(rest, 1))
            yield done
