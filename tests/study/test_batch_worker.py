"""Worker processes: threads, time limit, sudden death, memory; and the gate before them."""

from __future__ import annotations

import os
import re
import signal
import threading
import time
from functools import partial
from pathlib import Path

import pytest

from orthofem.errors import ModelError
from orthofem.parts import Shaft
from orthofem.solve import memory as machine_memory
from orthofem.study import LYING, HeldPart, Option, Print, Study, SurfaceLoad, run
from orthofem.study.batch import (
    MemoryGate,
    Workers,
    attempt,
    available_memory,
    case_key,
    case_of,
    solve_memory,
    stored_answers,
)
from orthofem.study.batch import child as child_module
from orthofem.study.batch import memory as memory_module
from orthofem.study.batch import worker as worker_module
from orthofem.study.chain import StudyResult

PUSH = SurfaceLoad("push", "Push sideways", (0.0, 10.0, 0.0), reason="a test")
PIN = Option("pin", Shaft(outer_diameter=12.0).part(24.0), {"shaft": Print("pla", LYING)})
STUDY = Study("Pin", [PIN], HeldPart("lower_end", "upper_end", [PUSH]), refinements=(0.6, 0.7))
CASE = case_of(STUDY, PIN)


class Acts:
    """In place of a case: does something in the process that unpickles it."""

    def __init__(self, function, *arguments):
        self.act = function, arguments

    def __reduce__(self):
        return self.act


@pytest.fixture
def workers():
    """Workers that are ended after the test."""
    made = Workers()
    yield made
    made.close()


def test_a_worker_gives_the_rows_of_a_direct_run(workers):
    """Through process, JSON and back, a case has the rows that the chain itself gives."""
    outcome = workers.attempt(case_key(CASE), CASE, 60.0)
    assert outcome["status"] == "done", outcome
    answers = stored_answers(outcome["result"], STUDY.setting)
    direct = run(STUDY)
    ours = StudyResult(STUDY, {"pin": answers})
    # a worker sums on one thread, the direct run on all: the last digits may differ
    alike = partial(pytest.approx, rel=1e-9)
    for mine, theirs in zip(ours.rows, direct.rows, strict=True):
        assert (mine.change, mine.raw_change) == alike((theirs.change, theirs.raw_change))
        for name in ("reserve", "index", "raw_reserve"):
            assert getattr(mine.worst, name) == alike(getattr(theirs.worst, name)), name
        for name in ("criterion", "mode", "region", "place", "held", "label", "resolved"):
            assert getattr(mine.worst, name) == getattr(theirs.worst, name), name
        assert mine.worst.loading.title == "Push sideways"
        assert mine.worst.loading.reason == "a test"
        assert (mine.worst.resultants == theirs.worst.resultants).all()
    assert [a.part_mesh.report for a in answers] == [
        a.part_mesh.report for a in direct.answers["pin"]
    ]
    assert outcome["unknowns"] == [a.part_mesh.report.n_unknowns for a in answers]
    assert answers[-1].case("push") is answers[-1].worst[0]


def test_threads_are_set_before_numpy_is_imported(workers):
    """A worker's environment holds the thread count from its first instruction on."""
    workers.attempt("key", Acts(int))
    pid = next(iter(workers._all))._process.pid
    path = Path(f"/proc/{pid}/environ")
    if not path.exists():
        pytest.skip("no /proc on this system")
    started_with = path.read_bytes().split(b"\0")
    for name in worker_module.THREADS:
        assert f"{name}=1".encode() in started_with
    assert Path(f"/proc/{pid}/oom_score_adj").read_text().strip() == "1000"


def test_a_worker_uses_the_package_that_started_it(workers, tmp_path, monkeypatch):
    """Another package of the same name in the working folder is not what a worker runs."""
    other = tmp_path / "orthofem"
    other.mkdir()
    (other / "__init__.py").write_text("raise SystemExit('the wrong one')")
    monkeypatch.chdir(tmp_path)
    assert workers.attempt(case_key(CASE), CASE)["status"] == "done"


def test_a_case_past_its_limit_is_killed_and_the_worker_goes_on(workers):
    """A case that hangs is stopped at its limit; the same thread then solves another."""
    started = time.perf_counter()
    outcome = workers.attempt("key", Acts(time.sleep, 60.0), 1.0)
    assert time.perf_counter() - started < 10.0
    assert outcome["kind"] == "TimeLimit"
    assert outcome["error"] == "Stopped at the time limit of 1 s."
    assert workers.attempt(case_key(CASE), CASE)["status"] == "done"


@pytest.mark.parametrize(
    ("deed", "words"),
    [
        (Acts(signal.raise_signal, 9), "was killed, perhaps because memory ran out"),
        (Acts(signal.raise_signal, 11), "ended by signal 11. It said: .*Segmentation fault"),
        (Acts(os._exit, 7), "ended with code 7"),
    ],
    ids=["killed", "segmentation fault", "exit"],
)
def test_a_process_that_dies_says_how(workers, deed, words):
    """A worker's sudden end is told with signal or code and its last words."""
    outcome = workers.attempt("key", deed)
    assert outcome["status"] == "died"
    assert re.search(words, outcome["error"], re.DOTALL), outcome


def test_a_worker_killed_while_it_solves_loses_its_case_alone(workers):
    """SIGKILL in the middle of a case gives "died"; the next attempt has a new process."""
    seen = {}

    def shoot():
        while not workers._all:
            time.sleep(0.01)
        time.sleep(0.5)
        seen["pid"] = next(iter(workers._all))._process.pid
        os.kill(seen["pid"], signal.SIGKILL)

    gun = threading.Thread(target=shoot)
    gun.start()
    assert workers.attempt("key", Acts(time.sleep, 60.0))["status"] == "died"
    gun.join()
    assert workers.attempt(case_key(CASE), CASE)["status"] == "done"
    assert next(iter(workers._all))._process.pid != seen["pid"]


def test_a_wrong_key_is_refused():
    """A process whose own key differs, by its versions or a changed file, does not answer."""
    outcome = child_module.answer("0" * 64, CASE, lambda told: None)
    assert outcome["status"] == "failed"
    assert "other versions of orthofem or its libraries" in outcome["error"]


def test_every_error_of_a_case_becomes_its_answer(monkeypatch):
    """The package's own errors give their text, others their kind and where they arose."""

    def fails(error):
        def solve(case, meshed):
            raise error

        return solve

    monkeypatch.setattr(child_module, "solve_case", fails(ModelError("too thin")))
    key = case_key(CASE)
    assert child_module.answer(key, CASE, print) == {
        "status": "failed", "kind": "ModelError", "error": "too thin"
    }  # fmt: skip
    monkeypatch.setattr(child_module, "solve_case", fails(MemoryError("no more")))
    outcome = child_module.answer(key, CASE, print)
    assert outcome["kind"] == "MemoryError"
    assert "MemoryError: no more" in outcome["error"]
    assert "in solve" in outcome["error"]


def test_what_cannot_be_sent_fails_with_a_reason(workers):
    """A case that cannot be pickled fails without a process being started."""
    outcome = workers.attempt("key", lambda: None)
    assert outcome["kind"] == "NotSent"
    assert "cannot be sent to another process" in outcome["error"]
    assert not workers._all


def test_a_process_that_cannot_be_started_counts_as_a_death(workers, monkeypatch):
    """No memory for a process is told as such, and the case may be tried again."""

    def refuse(*arguments, **named):
        raise OSError(12, "Cannot allocate memory")

    monkeypatch.setattr(worker_module.subprocess, "Popen", refuse)
    outcome = workers.attempt("key", CASE)
    assert outcome["status"] == "died"
    assert "No worker process could be started" in outcome["error"]
    assert "Cannot allocate memory" in outcome["error"]


def test_a_process_is_replaced_after_its_share_of_cases(workers, monkeypatch):
    """After so many cases a new process takes over, and the old one is gone."""
    monkeypatch.setattr(worker_module, "CASES_PER_PROCESS", 1)
    assert workers.attempt(case_key(CASE), CASE)["status"] == "done"
    assert not workers._all
    assert workers.attempt(case_key(CASE), CASE)["status"] == "done"


def test_stopped_workers_take_no_more(workers):
    """After a stop, attempts return at once and no process is left."""
    workers.stop()
    assert workers.attempt(case_key(CASE), CASE)["error"] == "the batch was stopped"
    assert not workers._all


def test_the_function_for_executors_solves_beside_this_process():
    """The function that is sent to clusters answers like the local workers."""
    assert attempt(case_key(CASE), CASE)["status"] == "done"


def test_a_full_temporary_folder_does_not_stop_a_worker(workers, monkeypatch):
    """Without room for its last words a worker works all the same."""

    def full():
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(worker_module.tempfile, "TemporaryFile", full)
    assert workers.attempt(case_key(CASE), CASE)["status"] == "done"


def test_the_gate_lets_in_what_fits_and_the_lonely():
    """Two that fit together go together; one too large waits until it is alone."""
    gate = MemoryGate(available=lambda: 10e9)
    order = []

    def enter(name, amount, hold):
        with gate.reserved(amount) as entered:
            order.append((name, entered))
            hold.wait(5.0)
            order.append((name, "out"))

    holds = [threading.Event() for _ in range(3)]
    threads = [
        threading.Thread(target=enter, args=arguments)
        for arguments in (("a", 4e9, holds[0]), ("b", 4e9, holds[1]), ("big", 20e9, holds[2]))
    ]
    for thread in threads:
        thread.start()
        time.sleep(0.05)
    assert order == [("a", True), ("b", True)]
    holds[0].set()
    time.sleep(0.05)
    assert ("big", True) not in order
    holds[1].set()
    time.sleep(0.05)
    assert order[-1] == ("big", True)
    holds[2].set()
    for thread in threads:
        thread.join()


def test_the_gate_looks_at_what_is_free_now(monkeypatch):
    """What another program takes meanwhile holds a second case back until it is given back."""
    monkeypatch.setattr(memory_module, "POLL", 0.02)
    free = [10e9]
    gate = MemoryGate(available=lambda: free[0])
    free[0] = 1e9
    came = threading.Event()

    def second():
        with gate.reserved(2e9):
            came.set()

    with gate.reserved(2e9):
        thread = threading.Thread(target=second)
        thread.start()
        assert not came.wait(0.2)
        free[0] = 5e9
        assert came.wait(2.0)
    thread.join()


def test_a_closed_gate_sends_everyone_away():
    """Who waits at a gate that closes leaves without having entered."""
    gate = MemoryGate(available=lambda: 1e9)
    told = []

    def wait():
        with gate.reserved(9e9) as entered:
            told.append(entered)

    with gate.reserved(1.0):
        thread = threading.Thread(target=wait)
        thread.start()
        gate.close()
        thread.join(2.0)
    assert told == [False]


def test_memory_is_read_from_machine_and_container(tmp_path):
    """Free memory comes from the system's own figures, in bytes; a container's limit counts."""
    info = tmp_path / "meminfo"
    info.write_text("MemTotal: 9 kB\nMemAvailable:   1000 kB\n")
    assert machine_memory._machine(info) == 1_024_000
    assert machine_memory._machine(tmp_path / "none") > 1e8
    (tmp_path / "memory.max").write_text("5000\n")
    (tmp_path / "memory.current").write_text("2000\n")
    assert machine_memory._container(tmp_path) == 3000
    (tmp_path / "memory.max").write_text("max\n")
    assert machine_memory._container(tmp_path) == float("inf")
    assert machine_memory._container(tmp_path / "none") == float("inf")
    assert 1e7 < available_memory() < 1e13


@pytest.mark.parametrize(
    ("unknowns", "method", "measured"),
    [
        (36_618, "direct", 0.46e9),
        (69_030, "direct", 0.79e9),
        (121_017, "direct", 1.35e9),
        (69_030, "iterative", 0.52e9),
    ],
)
def test_the_estimate_stands_a_little_above_what_was_measured(unknowns, method, measured):
    """Peak memory of a worker process on joints of the stick is 0.55 to 1 times the estimate."""
    # measured: resource.getrusage of a process with one thread, loose stud, one mesh
    assert 0.55 < measured / solve_memory(unknowns, method) < 1.0
    assert solve_memory(10_000, "scipy") > solve_memory(10_000, "direct")
