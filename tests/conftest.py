"""Shared by all tests: the record of verification cases, printed and kept for the README."""

from __future__ import annotations

import json
import os
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

RECORD = Path(__file__).parent.parent / ".verification.json"
ROW = "verification"
MOST_WORKERS = 4  # of up to a gigabyte each
THREADS = ("OMP_NUM_THREADS", "MKL_NUM_THREADS", "OPENBLAS_NUM_THREADS")


@pytest.fixture
def verify(request):
    """Compare one number with its published or exact target, print and record the difference.

    Call as ``verify(case, quantity, ours, target, source=..., grade=..., rtol=... | atol=...,
    why=...)``. `why` gives the reason where the target is not the published number.
    """

    def check(case, quantity, ours, target, *, source, grade, rtol=0.0, atol=0.0, why=""):
        ours, target = np.asarray(ours, float), np.asarray(target, float)
        assert ours.shape == target.shape, f"{ours.shape} is not {target.shape}"
        assert np.isfinite(ours).all(), f"{case} {quantity}: {ours}"
        size = np.abs(target).max(initial=0.0)
        allowed = atol + rtol * size
        error = np.abs(ours - target)
        worst = np.unravel_index(error.argmax(), error.shape)
        row = {
            "case": case,
            "quantity": quantity,
            "source": source,
            "grade": grade,
            "target": float(target[worst]),
            "ours": float(ours[worst]),
            "difference": float(error[worst]),
            "allowed": float(allowed),
            "size": float(size),
            "relative": bool(atol == 0.0 and size > 0.0),
            "rounded": bool(0.0 < atol <= 0.65 * _last_digit(target)),
            "why": why,
            "test": request.node.nodeid,
        }
        request.node.user_properties.append((ROW, row))
        print(
            f"{case} {quantity}: ours {row['ours']:.7g}, target {row['target']:.7g} "
            f"[{grade}, {source}], difference {row['difference']:.2e}, allowed {allowed:.2e}"
        )
        assert (error <= allowed).all(), (
            f"{case} {quantity}: ours {ours}, target {target}, off by {error}, allowed {allowed}"
        )

    return check


def _last_digit(target) -> float:
    """Unit of the last digit that targets are printed with; 0 where whole numbers tell none."""
    numbers = [Decimal(repr(value)) for value in target.ravel().tolist() if value % 1]
    return 10.0 ** min(number.as_tuple().exponent for number in numbers) if numbers else 0.0


class Record:
    """The rows of one run, from whichever worker they come."""

    def __init__(self):
        self.rows: list[dict] = []

    def pytest_runtest_logreport(self, report):
        """Take the rows of a test that ended."""
        if report.when == "call":
            self.rows += [row for name, row in report.user_properties if name == ROW]

    def pytest_sessionfinish(self):
        """Merge this run's rows into the record, so that quick and slow runs add up."""
        if not self.rows:
            return
        kept = json.loads(RECORD.read_text()) if RECORD.exists() else []
        ran = {row["test"] for row in self.rows}
        form = self.rows[0].keys()  # rows that an older form of this file wrote are left behind
        kept = [row for row in kept if row["test"] not in ran and row.keys() == form]
        rows = sorted(kept + self.rows, key=lambda row: (row["case"], row["quantity"]))
        RECORD.write_text(json.dumps(rows, indent=1))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers(config):
    """A worker a core for the whole suite; none for tests that are named, which start sooner so."""
    whole = config.args_source is config.ArgsSource.TESTPATHS
    return min(MOST_WORKERS, os.cpu_count() or 1) if whole else 0


def pytest_configure(config):
    """Keep a record, unless this is a worker: its rows go to the process that started it."""
    if hasattr(config, "workerinput"):
        return
    config.pluginmanager.register(Record())
    if getattr(config.option, "numprocesses", None):  # workers fill the cores, a thread each
        os.environ.update(dict.fromkeys(THREADS, "1"))
