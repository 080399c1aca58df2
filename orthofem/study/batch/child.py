"""The process that solves cases one after another: pickled cases in, lines of JSON out.

Run as ``python -m orthofem.study.batch.child`` by :mod:`orthofem.study.batch.worker`.
"""

from __future__ import annotations

import faulthandler
import json
import os
import pickle
import queue
import signal
import sys
import threading
import traceback
from pathlib import Path
from typing import TextIO

from orthofem.errors import MissingLibraryError, ModelError

from .case import Case, solve_case
from .key import case_key
from .memory import solve_memory


def main() -> None:
    """Answer cases until the pipe closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is the parent's business
    faulthandler.enable()
    _offer_first_to_the_killer()
    replies = _private_replies()
    inbox: queue.SimpleQueue = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(inbox,), daemon=True).start()
    while True:
        key, case = inbox.get()
        _reply(replies, answer(key, case, lambda told: _ask(told, replies, inbox)))


def answer(key: str, case: Case, ask) -> dict:
    """Solve a case; what goes wrong becomes part of the answer.

    Parameters
    ----------
    key : str
        What the sender takes the case for.
    case : Case
    ask : callable
        Told the unknowns and the memory before solving; returns when it may go on.
    """

    def meshed(unknowns: list[int]) -> None:
        ask({"unknowns": unknowns, "memory": solve_memory(max(unknowns), case.method)})

    try:
        _check_key(key, case)
        result = solve_case(case, meshed)
        _check_key(key, case)
    except (ModelError, MissingLibraryError, ValueError) as error:
        return {"status": "failed", "kind": type(error).__name__, "error": str(error)}
    except Exception as error:  # a case must not take the night with it, whatever it did
        text = "".join(traceback.format_exception(error, limit=-3)).strip()
        return {"status": "failed", "kind": type(error).__name__, "error": text}
    return {"status": "done", "result": result}


def _check_key(key: str, case: Case) -> None:
    """Refuse to answer for other code or another part file than the sender keyed."""
    if case_key(case) != key:
        raise ModelError(
            "This process has other versions of orthofem or its libraries than the one that "
            "started the batch, or a part file has changed since. Install the same versions on "
            "every machine, leave part files alone while a batch runs, and run it again."
        )


def _ask(told: dict, replies: TextIO, inbox: queue.SimpleQueue) -> None:
    _reply(replies, told)
    inbox.get()


def _reply(replies: TextIO, told: dict) -> None:
    replies.write(json.dumps(told) + "\n")
    replies.flush()


def _private_replies() -> TextIO:
    """Keep the pipe for replies; what libraries print goes to the error stream."""
    mine = os.dup(1)
    os.dup2(2, 1)
    return os.fdopen(mine, "w", encoding="utf-8")


def _listen(inbox: queue.SimpleQueue) -> None:
    """Pass on what comes; end at once, in mid-calculation too, when the parent is gone."""
    while True:
        try:
            inbox.put(pickle.load(sys.stdin.buffer))
        except EOFError:
            os._exit(0)
        except Exception:  # it may be anything that a pickle can raise
            traceback.print_exc()
            sys.stderr.flush()
            os._exit(1)


def _offer_first_to_the_killer() -> None:
    """Where memory runs out, let Linux end this process and not the batch or something else."""
    path = Path("/proc/self/oom_score_adj")
    if path.exists():
        try:
            path.write_text("1000")
        except OSError:
            return  # forbidden in some containers; it only makes the choice less sure


if __name__ == "__main__":
    main()
