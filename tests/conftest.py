"""Shared by all tests: the record of verification cases, printed and kept for the README."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

RECORD = Path(__file__).parent.parent / ".verification.json"
KEY = pytest.StashKey[list[dict]]()


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
        scale = np.abs(target).max() if target.size else 0.0
        error = np.abs(ours - target)
        relative = float(error.max() / scale) if scale else float(error.max())
        worst = np.unravel_index(error.argmax(), error.shape)
        row = {
            "case": case,
            "quantity": quantity,
            "source": source,
            "grade": grade,
            "target": float(target[worst]),
            "ours": float(ours[worst]),
            "difference": relative,
            "why": why,
            "test": request.node.nodeid,
        }
        request.config.stash.setdefault(KEY, []).append(row)
        print(
            f"{case} {quantity}: ours {row['ours']:.7g}, target {row['target']:.7g} "
            f"[{grade}, {source}], difference {relative:.2e}"
        )
        allowed = atol + rtol * (np.abs(target) if target.size < 2 else scale)
        assert (error <= allowed).all(), (
            f"{case} {quantity}: ours {ours}, target {target}, off by {error}, allowed {allowed}"
        )

    return check


def pytest_sessionfinish(session):
    """Merge this run's rows into the record, so that quick and slow runs add up."""
    rows = session.config.stash.get(KEY, [])
    if not rows:
        return
    kept = json.loads(RECORD.read_text()) if RECORD.exists() else []
    ran = {row["test"] for row in rows}
    kept = [row for row in kept if row["test"] not in ran] + rows
    RECORD.write_text(json.dumps(sorted(kept, key=lambda r: (r["case"], r["quantity"])), indent=1))
