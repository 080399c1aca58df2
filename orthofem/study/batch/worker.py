"""Cases solved in processes of their own, so that one can be stopped, or die, alone."""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
import tempfile
import threading
from contextlib import suppress
from functools import cache
from pathlib import Path
from time import perf_counter
from typing import BinaryIO, cast

import orthofem

from .case import Case
from .memory import MemoryGate

CHILD = "orthofem.study.batch.child"
CASES_PER_PROCESS = 25
"""A process is replaced after so many cases, so that no leak lasts the night."""
THREADS = ("OMP_NUM_THREADS", "MKL_NUM_THREADS", "OPENBLAS_NUM_THREADS", "NUMEXPR_NUM_THREADS")
KILLED = 9
CRASH = "Fatal Python error"
"""How the interpreter begins its report of a crash; a long list of no use follows it."""
TAIL = 800
"""Length of a dead process's last words that is kept. [characters]"""


class Workers:
    """Worker processes of this machine, one for each thread that calls :meth:`attempt`.

    Parameters
    ----------
    threads : int, optional
        Threads of the linear algebra in each process.
    gate : MemoryGate, optional
        Holds a case back before it is solved until there is memory.
    """

    def __init__(self, threads: int = 1, gate: MemoryGate | None = None):
        self.threads = threads
        self.gate = gate or MemoryGate()
        self._own = threading.local()
        self._all: set[Child] = set()
        self._lock = threading.Lock()
        self._closed = False

    def attempt(self, key: str, case: Case, limit: float | None = None) -> dict:
        """Solve a case in this thread's process.

        Parameters
        ----------
        key : str
            Content key.
        case : Case
        limit : float, optional
            Time after which it is stopped, waiting for memory not counted. [s]

        Returns
        -------
        outcome : dict
            ``status`` "done" with ``result``; "failed" with ``kind`` and ``error``; or "died"
            with ``error`` if the process ended without an answer.
        """
        started = perf_counter()
        try:
            message = pickle.dumps((key, case))
        except Exception as error:  # whatever a user's object does when it is pickled
            return _failed("NotSent", f"The case cannot be sent to another process: {error}")
        try:
            child = self._child()
        except OSError as error:
            return {"status": "died", "error": f"No worker process could be started: {error}"}
        if child is None:
            return {"status": "died", "error": "the batch was stopped"}
        outcome = child.solve(message, limit, self.gate)
        if not child.usable:
            self._forget(child)
        return {**outcome, "took": round(perf_counter() - started, 3)}

    def stop(self) -> None:
        """Kill all processes; attempts that wait for one return."""
        with self._lock:
            self._closed = True
            children = list(self._all)
        self.gate.close()
        for child in children:
            child.kill()

    def close(self) -> None:
        """Stop, and clear up; call when no thread is inside an attempt any more."""
        self.stop()
        for child in list(self._all):
            self._forget(child)

    def _child(self) -> Child | None:
        child = getattr(self._own, "child", None)
        if child is not None and child.usable:
            return child
        with self._lock:
            if self._closed:
                return None
            self._own.child = Child(self.threads)
            self._all.add(self._own.child)
        return self._own.child

    def _forget(self, child: Child) -> None:
        child.end()
        with self._lock:
            self._all.discard(child)


class Child:
    """One worker process with a pipe each way."""

    def __init__(self, threads: int):
        self._errors = _error_file()
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", CHILD],  # -P: not the folder it happens to stand in
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._errors,
            env=_environment(threads),
        )
        self._sends = cast(BinaryIO, self._process.stdin)
        self._replies = cast(BinaryIO, self._process.stdout)
        self._answered = 0

    @property
    def usable(self) -> bool:
        """Whether it can take another case."""
        return self._process.poll() is None and self._answered < CASES_PER_PROCESS

    def solve(self, message: bytes, limit: float | None, gate: MemoryGate) -> dict:
        """Send a pickled case, hold it at the gate, and wait for its answer."""
        told, left = self._exchange(message, limit)
        if "memory" not in told:
            return self._ended(told, limit)
        with gate.reserved(told["memory"]) as entered:
            if not entered:
                self.kill()
                return {"status": "died", "error": "the batch was stopped"}
            needed = {"unknowns": told["unknowns"], "memory": told["memory"]}
            told, _ = self._exchange(pickle.dumps("go"), left)
        return {**self._ended(told, limit), **needed}

    def kill(self) -> None:
        """End the process at once, from any thread."""
        self._process.kill()

    def end(self) -> None:
        """End the process and give back its pipes, from the thread that uses it."""
        self._process.kill()
        self._process.wait()
        for pipe in (self._sends, self._replies, self._errors):
            with suppress(OSError):
                pipe.close()

    def _exchange(self, message: bytes, limit: float | None) -> tuple[dict, float | None]:
        """Send a message and read one line; past the limit the process is killed."""
        started = perf_counter()
        late = threading.Event()

        def stop() -> None:
            late.set()
            self.kill()

        alarm = threading.Timer(limit, stop) if limit is not None else None
        if alarm:
            alarm.daemon = True
            alarm.start()
        try:
            self._sends.write(message)
            self._sends.flush()
            line = self._replies.readline()
        except OSError:
            line = b""
        finally:
            if alarm:
                alarm.cancel()
        left = None if limit is None else max(limit - (perf_counter() - started), 0.01)
        if line.endswith(b"\n"):
            return json.loads(line), left
        return {"status": "late" if late.is_set() else "died"}, left

    def _ended(self, told: dict, limit: float | None) -> dict:
        """Put what the process said, or how it ended, into words."""
        if told["status"] == "late":
            self._process.wait()
            return _failed("TimeLimit", f"Stopped at the time limit of {limit:g} s.")
        if told["status"] == "died":
            return {"status": "died", "error": self._ending()}
        self._answered += 1
        return told

    def _ending(self) -> str:
        code = self._process.wait()
        if code == -KILLED:
            how = "was killed, perhaps because memory ran out"
        else:
            how = f"ended by signal {-code}" if code < 0 else f"ended with code {code}"
        said = _last_words(self._errors)
        return f"The worker process {how}." + (f" It said: {said}" if said else "")


def attempt(key: str, case: Case, limit: float | None = None) -> dict:
    """Solve a case in a process beside this one: what is sent to executors and clusters."""
    return _here().attempt(key, case, limit)


@cache
def _here() -> Workers:
    """Workers of a process that a foreign executor calls; made at its first case."""
    return Workers()


def _error_file() -> BinaryIO:
    """Where a process's last words go; nowhere, if the disk is full."""
    try:
        return tempfile.TemporaryFile()
    except OSError:
        return Path(os.devnull).open("w+b")


def _last_words(errors: BinaryIO) -> str:
    """What a process said about its crash, or else the last that it said."""
    length = errors.seek(0, os.SEEK_END)
    errors.seek(max(0, length - 20 * TAIL))
    said = errors.read().decode(errors="replace").strip()
    crash = said.rfind(CRASH)
    return said[-TAIL:] if crash < 0 else said[crash : crash + TAIL]


def _environment(threads: int) -> dict[str, str]:
    """Environment of a worker: thread counts must stand before numpy is imported."""
    home = str(Path(orthofem.__file__).parent.parent)
    path = os.pathsep.join(filter(None, (home, os.environ.get("PYTHONPATH"))))
    return {**os.environ, "PYTHONPATH": path, **dict.fromkeys(THREADS, str(threads))}


def _failed(kind: str, error: str) -> dict:
    return {"status": "failed", "kind": kind, "error": error}
