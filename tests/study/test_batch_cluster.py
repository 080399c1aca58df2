"""The batch on a real Dask scheduler with workers as separate processes."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from orthofem.errors import MissingLibraryError, ModelError
from orthofem.parts import Shaft
from orthofem.report import batch_csv
from orthofem.study import HeldPart, Option, Print, Study, SurfaceLoad
from orthofem.study.batch import How, Store, cluster_executor, run_batch

ROOT = Path(__file__).parent.parent.parent
PUSH = SurfaceLoad("push", "Push sideways", (0.0, 10.0, 0.0))


def pins(count: int) -> Study:
    """Return a study of short pins of several diameters."""
    options = [
        Option(f"pin {k}", Shaft(outer_diameter=11.0 + k / 8).part(24.0), {"shaft": Print("pla")})
        for k in range(count)
    ]
    held = HeldPart("lower_end", "upper_end", [PUSH])
    return Study("Pins", options, held, refinements=(0.6,))


class LocalDask:
    """A scheduler and two workers on this machine, each a process started from the shell."""

    def __init__(self, folder: Path):
        self.folder, self.processes = folder, []
        self.file = folder / "scheduler.json"
        self.scheduler = self._start("scheduler", "--port", "0", "--no-dashboard")
        deadline = time.time() + 30
        while not self.file.exists() and time.time() < deadline:
            time.sleep(0.1)
        self.workers = [
            self._start("worker", "--no-nanny", "--no-dashboard", "--nthreads", "1")
            for _ in range(2)
        ]

    @property
    def address(self) -> str:
        """Where the scheduler listens."""
        return json.loads(self.file.read_text())["address"]

    def _start(self, role: str, *options: str) -> subprocess.Popen:
        process = subprocess.Popen(
            [sys.executable, "-m", "dask", role, "--scheduler-file", str(self.file), *options],
            cwd=self.folder, env={**os.environ, "PYTHONPATH": str(ROOT)},
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self.processes.append(process)
        return process

    def close(self) -> None:
        """End all processes."""
        for process in self.processes:
            process.kill()
            process.wait()


@pytest.fixture
def dask(tmp_path):
    """Start a local cluster, with both workers registered."""
    distributed = pytest.importorskip("distributed")
    made = LocalDask(tmp_path)
    try:
        with distributed.Client(made.address, set_as_default=False) as client:
            client.wait_for_workers(2, timeout=60)
        yield made
    finally:
        made.close()


@pytest.mark.slow
def test_a_cluster_gives_the_table_of_local_workers(dask, tmp_path):
    """Two Dask workers give the local table; so they do when one is killed half-way."""
    study = {"pins": pins(10)}
    expected = batch_csv(run_batch(study, Store(tmp_path / "local"), How(workers=2)))
    with cluster_executor(dask.address) as executor:
        found = run_batch(study, Store(tmp_path / "both"), executor=executor)
    assert batch_csv(found) == expected
    done = []

    def tell(event, item, text):
        if event == "done":
            done.append(item.key)
            if len(done) == 3:
                dask.workers[0].kill()

    with cluster_executor(dask.address) as executor:
        found = run_batch(study, Store(tmp_path / "one"), executor=executor, tell=tell)
    assert dask.workers[0].wait(5) == -9
    assert batch_csv(found) == expected
    assert len(done) == len(set(done)) == 10
    with cluster_executor(dask.address) as executor:
        again = run_batch(study, Store(tmp_path / "one"), executor=executor)
    assert again.computed == ()
    dask.workers[1].kill()
    dask.workers[1].wait()
    time.sleep(1.0)
    with pytest.raises(ModelError, match="has no workers; start some"):
        cluster_executor(dask.address).__enter__()


def test_an_address_without_a_scheduler_is_told(monkeypatch):
    """Nobody at the address: the message names it and says how to start a scheduler."""
    pytest.importorskip("distributed")
    monkeypatch.setattr("orthofem.study.batch.cluster.PATIENCE", 1.0)
    with pytest.raises(ModelError, match="No scheduler answers at 'tcp://127.0.0.1:9'"):
        cluster_executor("tcp://127.0.0.1:9").__enter__()
    with pytest.raises(ModelError, match="No scheduler answers at 'nonsense://x'"):
        cluster_executor("nonsense://x").__enter__()


def test_without_dask_the_message_says_how_to_get_it(monkeypatch):
    """A batch on a cluster without dask names the extra to install."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(MissingLibraryError, match=r"pip install 'orthofem\[cluster\]'"):
        cluster_executor("tcp://127.0.0.1:9").__enter__()
