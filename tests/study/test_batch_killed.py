"""A whole batch killed at random moments, and started again."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from datetime import datetime
from pathlib import Path

import pytest

from orthofem.study.batch import Store

ROOT = Path(__file__).parent.parent.parent
SCRIPT = """
from orthofem.parts import Shaft
from orthofem.study import LYING, HeldPart, Option, Print, Study, SurfaceLoad

PUSH = SurfaceLoad("push", "Push sideways", (0.0, 10.0, 0.0))

def study():
    options = []
    for k in range(COUNT // 2):
        part = Shaft(outer_diameter=11.0 + 0.125 * k).part(24.0)
        upright = Option(f"{k}, upright", part, {"shaft": Print("pla")})
        options += [upright, upright.printed(f"{k}, lying", shaft=LYING)]
    return Study("Pins", options, HeldPart("lower_end", "upper_end", [PUSH]), refinements=(0.6,))
"""


class Batch:
    """The batch command in a process group of its own."""

    def __init__(self, folder: Path, count: int):
        self.folder = folder
        folder.mkdir()
        (folder / "pins.py").write_text(SCRIPT.replace("COUNT", str(count)))
        self.log = folder / "out" / "batch.log"

    def start(self) -> subprocess.Popen:
        """Start or resume it."""
        command = "from orthofem.cli import app; app()"
        return subprocess.Popen(
            [sys.executable, "-c", command, "batch", "pins.py", "--workers", "2",
             "--store", "store", "--out", "out"],
            cwd=self.folder, env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip

    def lines(self) -> list[tuple[str, str]]:
        """Event and key of every line of the log about a case."""
        text = self.log.read_text() if self.log.exists() else ""
        words = [line.split() for line in text.splitlines()]
        return [(w[1], w[2]) for w in words if len(w) > 2 and len(w[2]) == 64]

    def reaches(self, process: subprocess.Popen, number: int, event: str = "done") -> None:
        """Wait until so many cases of this start are done, or have begun."""
        before = len(self.lines())
        while process.poll() is None:
            if sum(found == event for found, _ in self.lines()[before:]) >= number:
                return
            time.sleep(0.02)

    @property
    def pace(self) -> float:
        """Time from one finished case to the next. [s]"""
        lines = [line.split() for line in self.log.read_text().splitlines()]
        times = [datetime.fromisoformat(words[0]) for words in lines if words[1] == "done"]
        return (times[-1] - times[0]).total_seconds() / (len(times) - 1)

    @property
    def table(self) -> bytes:
        """Bytes of the table."""
        return (self.folder / "out" / "table.csv").read_bytes()


def children(pid: int) -> list[int]:
    """Processes that a process has started."""
    path = Path(f"/proc/{pid}/task/{pid}/children")
    if not path.exists():
        pytest.skip("no list of child processes on this system")
    found = []
    for task in Path(f"/proc/{pid}/task").iterdir():
        found += [int(word) for word in (task / "children").read_text().split()]
    return found


def alive(pid: int) -> bool:
    """Whether a process runs, and is not a zombie."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def check_killed(tmp_path: Path, count: int, kills: int, least: int = 0) -> None:
    """Kill and resume; compare with an undisturbed run; count what was computed."""
    calm, stormy = Batch(tmp_path / "calm", count), Batch(tmp_path / "stormy", count)
    done = calm.start()
    assert done.wait(300) == 0, done.stdout.read()
    chance = random.Random(60493817)
    finished: list[tuple[int, set[str]]] = []
    for _ in range(kills):
        process = stormy.start()
        stormy.reaches(process, 1, "begun")
        stormy.reaches(process, chance.randint(least, 2))
        time.sleep(chance.uniform(0.0, 1.5 * calm.pace))
        assert process.poll() is None, process.stdout.read()
        process.kill()
        process.wait()
        finished.append((len(stormy.lines()), set(Store(stormy.folder / "store").keys())))
    last = stormy.start()
    assert last.wait(300) == 0, last.stdout.read()
    assert stormy.table == calm.table
    assert len(stormy.table.splitlines()) == count + 1
    assert finished[-1][1]
    assert len(finished[-1][1]) < count
    lines = stormy.lines()
    for at, known in finished:
        again = {key for event, key in lines[at:] if event == "begun"}
        assert not again & known
    completed = Counter(key for event, key in lines if event == "done")
    assert max(completed.values()) == 1
    begun = Counter(key for event, key in lines if event == "begun")
    assert sum(begun.values()) <= count + 2 * kills  # two in flight at each kill


def test_a_batch_killed_once_resumes_to_the_same_table(tmp_path):
    """After SIGKILL the next start completes the batch; nothing finished is computed again."""
    check_killed(tmp_path, count=6, kills=1, least=1)


@pytest.mark.slow
def test_a_batch_killed_five_times_resumes_to_the_same_table(tmp_path):
    """24 cases, five SIGKILLs at random moments: the same bytes, nothing finished done again."""
    check_killed(tmp_path, count=24, kills=5)


def test_workers_do_not_outlive_a_killed_batch(tmp_path):
    """When the batch is killed, its worker processes end by themselves within seconds."""
    batch = Batch(tmp_path / "b", 24)
    process = batch.start()
    batch.reaches(process, 1)
    workers = children(process.pid)
    assert len(workers) == 2
    process.kill()
    process.wait()
    for _ in range(100):
        if not any(alive(pid) for pid in workers):
            return
        time.sleep(0.1)
    pytest.fail(f"still running: {[pid for pid in workers if alive(pid)]}")


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_stops_the_batch_in_order(tmp_path, number):
    """Ctrl-C or a termination signal: exit code 130, a summary, no process left, and resume."""
    batch = Batch(tmp_path / "b", 6)
    process = batch.start()
    batch.reaches(process, 2)
    workers = children(process.pid)
    process.send_signal(number)
    assert process.wait(20) == 130
    assert "stopped before its end" in process.stdout.read().replace("\n", " ")
    assert not any(alive(pid) for pid in workers)
    assert "## Not reached" in (batch.folder / "out" / "morning.md").read_text()
    known = set(Store(batch.folder / "store").keys())
    at = len(batch.lines())
    assert batch.start().wait(120) == 0
    assert not known & {key for event, key in batch.lines()[at:] if event == "begun"}
    assert len(Store(batch.folder / "store").keys()) == 6
