"""The library's side of ``library.py``, run by it in the library's own environment.

Everything that both sides measure alike stands here too: needs numpy, scipy and, for the library's
side alone, the library. ``python library_peer.py QUESTION.npz`` prints one line of JSON.
"""

from __future__ import annotations

import json
import sys
from time import perf_counter

import numpy as np
from memory import peak_memory

from orthofem.failure.tsai_hill import tsai_hill_index
from orthofem.materials.strengths import Strengths
from orthofem.tensors import to_print_axes

try:
    import netgen.meshing as nm
    import ngsolve as ng
except ImportError:  # our own side reads this file too, from an environment without the library
    nm = ng = None

STEPS = ("assemble", "factor", "solve", "index")
THREADS = 2


def worst_index(stress: np.ndarray, data: dict) -> list[float]:
    """Highest Tsai-Hill index of each load.

    Parameters
    ----------
    stress : ndarray of shape (6, n_cells, n_quad, n_loads)
        Part axes. [MPa]
    data : dict
        Regions, their print axes and strengths.
    """
    worst = np.zeros(stress.shape[-1])
    for region, (axes, strengths) in enumerate(zip(data["axes"], data["strengths"], strict=True)):
        local = to_print_axes(stress[:, data["region_of"] == region], axes)
        index = tsai_hill_index(local, Strengths(*strengths))
        worst = np.maximum(worst, index.max(axis=(0, 1)))
    return worst.tolist()


def library(exchange: str) -> dict:
    """Forms compiled by the library, its own sparse Cholesky."""
    data = dict(np.load(exchange))
    ng.SetNumThreads(THREADS)
    mesh = library_mesh(data)
    with ng.TaskManager():
        found = _timed(mesh, data)
    return found | {"threads": THREADS, "memory": peak_memory()}


def library_mesh(data: dict):
    """The exchanged mesh as the library's own, cells in the exchanged order."""
    inner = nm.Mesh(dim=3)
    inner.AddPoints(np.ascontiguousarray(data["points"].T))
    for number, name in enumerate(("clamped", "loaded"), start=1):
        inner.Add(nm.FaceDescriptor(surfnr=number, domin=1, domout=0, bc=number))
        inner.SetBCName(number - 1, name)
        inner.AddElements(2, number, np.ascontiguousarray(data[name].T.astype(np.int32)))
    cells = _oriented(data["points"], data["cells"])
    for region in range(len(data["stiffness"])):
        inner.SetMaterial(region + 1, str(region))
        chosen = cells[:, data["region_of"] == region]
        inner.AddElements(3, region + 1, np.ascontiguousarray(chosen.T.astype(np.int32)))
    return ng.Mesh(inner)


def _timed(mesh, data: dict) -> dict:
    clock, found = perf_counter(), {}
    # three unknowns a node as one block and the form as it stands: its quickest way here
    space = ng.H1(mesh, order=2, dim=3, dirichlet="clamped")
    u, v = space.TnT()
    stiffness = mesh.MaterialCF(
        {str(i): ng.CF(tuple(C.ravel()), dims=(6, 6)) for i, C in enumerate(data["stiffness"])}
    )
    form = ng.BilinearForm(space, symmetric=True)
    form += ng.InnerProduct(stiffness * strain(u), strain(v)) * ng.dx
    form.Assemble()
    found["assemble"], clock = perf_counter() - clock, perf_counter()
    inverse = form.mat.Inverse(space.FreeDofs(), inverse="sparsecholesky")
    found["factor"], clock = perf_counter() - clock, perf_counter()
    moved, found["energy"] = _solved(space, v, inverse, data)
    found["solve"], clock = perf_counter() - clock, perf_counter()
    found["worst"] = worst_index(stresses(mesh, stiffness, moved), _in_region_order(data))
    found["index"] = perf_counter() - clock
    return found | {"unknowns": space.ndof * 3, "cells": mesh.ne}


def strain(u):
    """Strain, order 11, 22, 33, 23, 13, 12, engineering shears."""
    g = ng.Grad(u)
    return ng.CF((g[0, 0], g[1, 1], g[2, 2], g[1, 2] + g[2, 1], g[0, 2] + g[2, 0],
                  g[0, 1] + g[1, 0]))  # fmt: skip


def _solved(space, v, inverse, data: dict) -> tuple[list, list]:
    arm = ng.CF((ng.x, ng.y, ng.z)) - ng.CF(tuple(data["centre"]))
    moved, energy = [], []
    for a, b in data["tractions"]:
        traction = ng.CF(tuple(a)) + ng.Cross(ng.CF(tuple(b)), arm)
        force = ng.LinearForm(traction * v * ng.ds("loaded")).Assemble()
        answer = ng.GridFunction(space)
        answer.vec.data = inverse * force.vec
        moved.append(answer)
        energy.append(0.5 * ng.InnerProduct(answer.vec, force.vec))
    return moved, energy


def stresses(mesh, stiffness, moved: list) -> np.ndarray:
    """Stress at the four points of the degree-two rule, (6, n_cells, 4, n_loads). [MPa]."""
    points = mesh.MapToAllElements(ng.IntegrationRule(ng.TET, 2), ng.VOL)
    values = [(stiffness * strain(answer)).Compile()(points) for answer in moved]
    return np.stack([value.reshape(mesh.ne, 4, 6).transpose(2, 0, 1) for value in values], axis=-1)


def _in_region_order(data: dict) -> dict:
    return data | {"region_of": np.sort(data["region_of"])}  # cells went in region by region


def _oriented(points: np.ndarray, cells: np.ndarray) -> np.ndarray:
    """Cells numbered so that all have the same handedness."""
    edges = points[:, cells[1:]] - points[:, cells[:1]]
    left = np.linalg.det(edges.transpose(2, 0, 1)) > 0
    turned = cells.copy()
    turned[2:, left] = cells[:1:-1, left]
    return turned


if __name__ == "__main__":
    sys.stdout.write(json.dumps(library(sys.argv[1])) + "\n")
