"""Unit answers of a coarser mesh serve a finer one, unless the loads have grown too much."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from orthofem.mesh import mesh_part
from orthofem.solve.contact import ThreadTie
from orthofem.study import SurfaceLoad, evaluate
from orthofem.study.contact import scouted

sys.path.insert(0, str(Path(__file__).parent))
from touching_parts import held, option, pinned, push

SIDE = SurfaceLoad("side", "Side", [[0, 0], [50, 0], [0, 50.0]], labels=("y", "z"))
PART = pinned()
COARSE, FINE = 0.5, 0.7


@pytest.fixture(scope="module")
def meshes():
    """Return a coarse and a finer mesh."""
    return [mesh_part(PART, refinement=level) for level in (COARSE, FINE)]


@pytest.fixture
def solved(monkeypatch):
    """Return the list of sizes that unit resultants are solved at from now on."""
    sizes, honest = [], scouted.units_of

    def counted(pieces, size):
        sizes.append(size)
        return honest(pieces, size)

    monkeypatch.setattr(scouted, "units_of", counted)
    return sizes


def test_a_finer_mesh_uses_them_again(meshes, solved):
    """Solved once for two meshes; the finer one's answer is that of its own unit answers."""
    chosen, setting = option("tied", PART, interfaces={"pin|sleeve": ThreadTie()}), held(SIDE)
    coarse = evaluate(chosen, meshes[0], setting)
    assert len(solved) == 1
    again = evaluate(chosen, meshes[1], setting, coarser=coarse)
    assert len(solved) == 1
    alone = evaluate(chosen, meshes[1], setting)
    assert len(solved) == 2
    assert again.case("side").label == alone.case("side").label
    assert again.case("side").reserve == pytest.approx(alone.case("side").reserve, rel=1e-9)
    size = np.sqrt(np.outer(*[np.diag(alone.contact.flexibility)] * 2))
    apart = (again.contact.flexibility - alone.contact.flexibility) / size
    assert 0 < np.abs(apart).max() < 0.01


def test_loads_of_another_size_ask_for_new_ones(meshes, solved):
    """With play the answer does not scale: twice the load is solved at its own size."""
    chosen = option("play", PART, interfaces={"pin|sleeve": ThreadTie(clearance=0.01)})
    coarse = evaluate(chosen, meshes[0], held(push(300.0)))
    before = len(solved)
    evaluate(chosen, meshes[0], held(push(310.0)), coarser=coarse)
    assert len(solved) == before
    evaluate(chosen, meshes[0], held(push(600.0)), coarser=coarse)
    assert len(solved) == before + 1
    assert solved[-1][0] == pytest.approx(600.0)
