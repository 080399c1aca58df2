"""Studies in, a store beside them; every case computed once, whatever happens on the way."""

from __future__ import annotations

import os
import platform
import threading
from collections import Counter, deque
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ThreadPoolExecutor,
    wait,
)
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from time import perf_counter

from orthofem.errors import ModelError, check_between, check_positive, pick
from orthofem.solve import METHODS

from ..chain import Study
from .plan import Planned, plan
from .result import BatchResult
from .store import Store
from .worker import Workers, attempt

Tell = Callable[[str, Planned, str], None]
Submit = Callable[[Planned], Future]
TICK = 0.2
"""Time between looks at whether to stop. [s]"""
ATTEMPTS = 2
"""How often a case is tried whose process dies under it."""
LOST = (BrokenExecutor, CancelledError, ConnectionError, EOFError)


@dataclass(frozen=True)
class How:
    """How a batch is to be run.

    Parameters
    ----------
    workers : int, optional
        Processes on this machine; as many as it has cores if not given. Not used with an
        executor of one's own.
    time_limit : float, optional
        For each case; past it the case is stopped and recorded as failed. [s]
    keep_failed : bool, optional
        Take failures from the store, too, instead of trying them again.
    method : str, optional
        Linear solver.
    threads : int, optional
        Threads of the linear algebra in each worker. One gives the same digits whatever the
        number of workers.
    """

    workers: int | None = None
    time_limit: float | None = None
    keep_failed: bool = False
    method: str = "auto"
    threads: int = 1

    def __post_init__(self):
        for name in ("workers", "threads"):
            if getattr(self, name) is not None:
                check_between(name, getattr(self, name), 1, 1024)
        if self.method != "auto":
            pick(METHODS, self.method, "solver")
        if self.time_limit is not None:
            check_positive("time limit", self.time_limit, "s")


def cores() -> int:
    """Cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def run_batch(
    studies: Mapping[str, Study],
    store: Store,
    how: How | None = None,
    executor: Executor | None = None,
    tell: Tell = lambda event, item, text: None,
    stop: threading.Event | None = None,
) -> BatchResult:
    """Answer all studies, taking from the store what is there and adding what is not.

    A case that fails is recorded with its reason and the rest goes on. A case whose process dies
    is tried once more.

    Parameters
    ----------
    studies : mapping of str to Study
        By label.
    store : Store
    how : How, optional
    executor : Executor, optional
        Any standard executor, of a cluster too; processes on this machine if not given.
    tell : callable, optional
        Told of every event: "stored" or "waiting" at the start, then "begun", "again", "done" or
        "failed"; the case, and a text. Cases that share a key are told of once.
    stop : threading.Event, optional
        Set it, from a signal handler say, to stop: what is finished is kept, the rest is left.

    Returns
    -------
    result : BatchResult

    Raises
    ------
    ModelError
        If the store cannot be written to, or the executor has broken down. What was finished
        before is in the store.
    """
    started = perf_counter()
    how = how or How()
    stop = stop or threading.Event()
    planned, refused = plan(studies, how.method)
    run = _Run(store, how, tell, {}, [])
    unique = {item.key: item for item in reversed(planned)}
    waiting = deque(item for item in reversed(unique.values()) if not run.settled(item))
    for item in waiting:
        tell("waiting", item, "")
    with _submitter(executor, how) as (submit, places):
        run.work(waiting, submit, places, stop)
    return BatchResult(
        dict(studies), tuple(planned), run.records, refused, tuple(run.computed),
        stop.is_set(), perf_counter() - started,
    )  # fmt: skip


@dataclass(frozen=True)
class _Run:
    """A batch under way."""

    store: Store
    how: How
    tell: Tell
    records: dict[str, dict]
    computed: list[str]

    def settled(self, item: Planned) -> bool:
        """Whether the store knows the case already; if so, take it from there."""
        if item.key in self.records:
            return True
        record = self.store.read(item.key)
        if record is None or (record["status"] != "done" and not self.how.keep_failed):
            return False
        self.records[item.key] = record
        self.tell("stored", item, record.get("error", ""))
        return True

    def work(self, waiting: deque, submit: Submit, places: int, stop: threading.Event) -> None:
        """Keep all places busy until nothing waits or the word to stop comes."""
        running: dict[Future, Planned] = {}
        tries: Counter[str] = Counter()
        while (waiting or running) and not stop.is_set():
            self._fill(waiting, running, submit, places)
            for future in wait(running, TICK, FIRST_COMPLETED).done:
                item = running.pop(future)
                outcome = _outcome(future)
                tries[item.key] += 1
                if outcome["status"] == "died" and tries[item.key] < ATTEMPTS:
                    self.tell("again", item, outcome["error"])
                    waiting.appendleft(item)
                else:
                    self._record(item, outcome)
        for future, item in running.items():
            if future.done() and not future.cancelled():
                self._keep_if_done(item, _outcome(future))

    def _fill(self, waiting: deque, running: dict, submit: Submit, places: int) -> None:
        while waiting and len(running) < places:
            item = waiting.popleft()
            if self.settled(item):  # another batch on this store was faster
                continue
            running[submit(item)] = item
            self.tell("begun", item, "")

    def _record(self, item: Planned, outcome: dict) -> None:
        if outcome["status"] != "done" and self.settled(item):
            return  # another batch on this store had better luck
        if outcome["status"] == "died":
            outcome = {**outcome, "status": "failed", "kind": "Died"}
        stamp = {"when": datetime.now().astimezone().isoformat(timespec="seconds"),
                 "machine": platform.node()}  # fmt: skip
        self.records[item.key] = self.store.write(item.key, {**outcome, **stamp})
        self.computed.append(item.key)
        text = outcome.get("error") or f"{outcome.get('took', 0.0):.1f} s"
        self.tell(outcome["status"], item, text)

    def _keep_if_done(self, item: Planned, outcome: dict) -> None:
        if outcome["status"] == "done":
            self._record(item, outcome)


@contextmanager
def _submitter(executor: Executor | None, how: How) -> Iterator[tuple[Submit, int]]:
    """A way to submit cases, and how many to have under way; everything is ended on leaving."""
    if executor is not None:
        futures: list[Future] = []

        def send(item: Planned) -> Future:
            try:
                futures.append(executor.submit(attempt, item.key, item.case, how.time_limit))
            except (RuntimeError, OSError) as error:
                raise ModelError(
                    f"The executor takes no more cases ({error}). What was finished before is in "
                    "the store; restart the workers and run the same command again to go on."
                ) from error
            return futures[-1]

        try:
            yield send, 1_000_000  # it has a queue of its own
        finally:
            for future in futures:
                future.cancel()
        return
    workers, places = Workers(how.threads), how.workers or cores()
    pool = ThreadPoolExecutor(places, thread_name_prefix="case")
    try:
        yield (
            lambda item: pool.submit(workers.attempt, item.key, item.case, how.time_limit),
            places,
        )
    finally:
        workers.stop()
        pool.shutdown(cancel_futures=True)
        workers.close()


def _outcome(future: Future) -> dict:
    """What a case's future holds; an executor's own failure counts as a death of the process."""
    try:
        return future.result()
    except LOST as error:
        return {"status": "died", "error": f"The worker was lost: {error or type(error).__name__}"}
    except Exception as error:  # whatever an executor raises for what it could not run
        died = type(error).__name__ == "KilledWorker"
        kind = {"status": "died"} if died else {"status": "failed", "kind": type(error).__name__}
        return {**kind, "error": f"The executor could not run the case: {error}"}
