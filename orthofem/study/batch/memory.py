"""How much memory a case will want, how much there is, and a gate between the two."""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager

from orthofem.solve import preferred_method
from orthofem.solve.linear import factor_memory
from orthofem.solve.memory import available_memory

GIGA = 1e9
PROCESS = 0.25 * GIGA
"""Python with its libraries and a mesh, before anything is solved (F). [bytes]"""
SHARE = 0.85
"""Part of the free memory that cases may fill together (E). [-]"""
POLL = 2.0
"""Time between looks at the memory while a case waits. [s]"""


def solve_memory(n_unknowns: int, method: str = "auto") -> float:
    """Peak memory of a case's process while it solves.

    Parameters
    ----------
    n_unknowns : int
        Of its finest mesh.
    method : str, optional
        Linear solver.

    Returns
    -------
    memory : float
        [bytes]

    Notes
    -----
    Direct factor: 1.6 GB at 116,000 unknowns, growing with the power 1.4. Iterative: 2.7 GB at
    291,000, in proportion. SciPy's own direct solver: three times the supernodal one (E). Whole
    processes with one thread, joints of the stick, were measured at 0.46, 0.79 and 1.35 GB for
    36,600, 69,000 and 121,000 unknowns direct, 0.52 GB for 69,000 iterative (F): the estimate
    stands 20 to 70 % above them, on the side on which nothing runs into the wall.

    Examples
    --------
    >>> round(solve_memory(116_000, "direct") / 1e9, 2)
    1.85
    """
    chosen = preferred_method(n_unknowns) if method == "auto" else method
    if chosen == "iterative":
        return PROCESS + 2.7 * GIGA * n_unknowns / 291_000
    factor = GIGA * factor_memory(n_unknowns)
    return PROCESS + (3.0 if chosen == "scipy" else 1.0) * factor


class MemoryGate:
    """Lets cases in, first come first served, while they fit into memory together.

    A case that is alone is always let in: a batch must not stand still over an estimate.

    Parameters
    ----------
    available : callable, optional
        Gives the free memory. [bytes]
    """

    def __init__(self, available=available_memory):
        self._available = available
        self._limit = SHARE * available()
        self._inside: list[float] = []
        self._queue: deque[object] = deque()
        self._turn = threading.Condition()
        self._closed = False

    @contextmanager
    def reserved(self, amount: float) -> Iterator[bool]:
        """Wait until `amount` bytes fit; yields False if the gate was closed meanwhile."""
        ticket = object()
        with self._turn:
            self._queue.append(ticket)
            while not self._closed and not (self._queue[0] is ticket and self._fits(amount)):
                self._turn.wait(POLL)
            self._queue.remove(ticket)
            entered = not self._closed
            self._inside.append(amount)
            self._turn.notify_all()
        try:
            yield entered
        finally:
            with self._turn:
                self._inside.remove(amount)
                self._turn.notify_all()

    def close(self) -> None:
        """Let everyone who waits go away empty-handed."""
        with self._turn:
            self._closed = True
            self._turn.notify_all()

    def _fits(self, amount: float) -> bool:
        if not self._inside:
            return True
        return sum(self._inside) + amount <= self._limit and amount <= SHARE * self._available()
