"""Mesh to index of one study, ours against general form assembly with SciPy's direct solver.

The sides run in processes of their own, on the same mesh and element order, with six unit loads,
one after the other in one call: ``python tests/benchmarks/spine.py``. Ratios are what counts. The
peer runs twice: with SciPy's solver as it comes, and with the ordering and symmetric mode that
suit this matrix best.
"""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from pathlib import Path
from time import perf_counter

import numpy as np
from memory import peak_memory
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementTetP2, ElementVector

from orthofem.loads import Person, Stick
from orthofem.mesh import mesh_part
from orthofem.parts import JOINTS, Shaft
from orthofem.solve import (
    Balanced,
    Model,
    Resultant,
    Solution,
    UnitResponses,
    balanced_unit_responses,
)
from orthofem.solve.supports import hold
from orthofem.study import LYING, Option, Print, StickWindow
from orthofem.study.evaluate import judge, stiffness_field

REFINEMENTS = {"small": 0.75, "full": 1.0}
STEPS = ("mesh", "assemble", "solve", "index")


def main() -> None:
    """Run both sides and print the table; ``--side`` is for the inner processes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--size", choices=REFINEMENTS, default="full")
    parser.add_argument("--side", choices=SIDES)
    options = parser.parse_args()
    if options.side:
        sys.stdout.write(json.dumps(run_side(options.side, REFINEMENTS[options.size])))
        return
    sys.stdout.write(report(options.size))


def report(size: str = "full") -> str:
    """Run all sides and return their table."""
    return table(*(in_process(side, size) for side in SIDES))


def in_process(side: str, size: str) -> dict:
    """Run one side in a process of its own, so that its peak memory is its own."""
    command = [sys.executable, str(Path(__file__)), "--side", side, "--size", size]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def table(ours: dict, tuned: dict, plain: dict) -> str:
    """Markdown table of all sides and the ratios to ours."""
    sides = (ours, tuned, plain)
    rows = [(step, *(side[step] for side in sides)) for step in STEPS]
    rows.append(("mesh to index", *(sum(side[s] for s in STEPS) for side in sides)))
    rows.append(("peak memory [GB]", *(side["memory"] for side in sides)))
    head = "| step | ours | tuned | ratio | as it comes | ratio |"
    lines = [
        f"**One study, mesh to index.** {ours['unknowns']:,} unknowns, six unit loads, the same "
        "mesh; seconds, and ratio to ours. Peer: general form assembly with SciPy's direct "
        "solver, tuned for a symmetric matrix, and as it comes.",
        "",
        head,
        "|---|---|---|---|---|---|",
        *(f"| {name} | {a:.2f} | {b:.2f} | {b / a:.1f} | {c:.2f} | {c / a:.1f} |"
          for name, a, b, c in rows),
        "",
        f"Reserve factors differ by {_difference(*sides):.0e} at most (the peer picks its own "
        "quadrature).",
        "",
    ]  # fmt: skip
    return "\n".join(lines)


def run_side(side: str, refinement: float) -> dict:
    """Time one side step by step."""
    clock = [perf_counter()]

    def lap() -> float:
        clock.append(perf_counter())
        return clock[-1] - clock[-2]

    option, setting = question()
    part_mesh = mesh_part(option.part, refinement=refinement)
    found = {"mesh": lap()}
    responses = SIDES[side](option, part_mesh, lap, found)
    answer = judge(option, part_mesh, setting, responses)
    found["index"] = lap()
    found["reserve"] = [worst.reserve for worst in answer.worst]
    found["unknowns"] = part_mesh.report.n_unknowns
    found["memory"] = peak_memory()
    return found


def question() -> tuple[Option, StickWindow]:
    """The loose stud printed lying, in the stick, walked on and kicked from all sides."""
    person, shaft = Person(mass=80.0, height=1700.0), Shaft(outer_diameter=32.0)
    stick = Stick.for_person(person, pieces=4, diameter=shaft.outer_diameter)
    part = JOINTS["loose_stud"](core_diameter=20.0, flat=3.0).part(shaft)
    prints = {"lower": Print("pla"), "upper": Print("pla"), "stud": Print("pla", LYING)}
    cases = ("everyday_walking", "full_weight", "side_kick")
    return Option("loose stud, lying", part, prints), StickWindow(person, stick, cases)


def ours(option, part_mesh, lap, found) -> UnitResponses:
    """Batched assembly into a fixed pattern, supernodal direct solver."""
    model = Model(part_mesh.mesh, stiffness_field(option, part_mesh))
    model.blocks  # noqa: B018
    found["assemble"] = lap()
    responses = balanced_unit_responses(model, "upper_end", "lower_end")
    found["solve"] = lap()
    return responses


def peer(option, part_mesh, lap, found, **settings) -> UnitResponses:
    """General form assembly, then SciPy's own direct solver."""
    matrix = sum(
        _form(stiffness).assemble(_region_basis(part_mesh.mesh, region))
        for region, stiffness in stiffness_field(option, part_mesh).items()
    )
    found["assemble"] = lap()
    model = Model(part_mesh.mesh, stiffness_field(option, part_mesh))
    applied = np.stack([_pair(unit).forces(model) - _pair(unit, "lower_end").forces(model)
                        for unit in np.eye(6)], axis=-1)  # fmt: skip
    held, _ = hold(model.space, [Balanced()])
    free = np.setdiff1d(np.arange(matrix.shape[0]), held)
    factor = splu(matrix[free][:, free].tocsc(), **settings)
    moved = np.zeros((matrix.shape[0], 6))
    moved[free] = factor.solve(applied.reshape(-1, 6)[free])
    found["solve"] = lap()
    solution = Solution(
        model, moved.reshape(-1, 3, 6).transpose(1, 0, 2), applied.transpose(1, 0, 2),
        [None] * 6, "scipy", 0.0,
    )  # fmt: skip
    return UnitResponses(solution, (0.0, 0.0, 0.0))


def tuned_peer(option, part_mesh, lap, found) -> UnitResponses:
    """The peer with the ordering that suits a symmetric matrix."""
    return peer(
        option, part_mesh, lap, found, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )  # fmt: skip


SIDES = {"ours": ours, "tuned": tuned_peer, "plain": peer}


def _region_basis(mesh, region: str) -> Basis:
    """Basis with the quadrature that the library picks by itself."""
    return Basis(mesh, ElementVector(ElementTetP2()), elements=mesh.subdomains[region])


def _form(stiffness: np.ndarray) -> BilinearForm:
    def strain(u):
        g = u.grad
        return np.stack([g[0, 0], g[1, 1], g[2, 2], g[1, 2] + g[2, 1], g[0, 2] + g[2, 0],
                         g[0, 1] + g[1, 0]])  # fmt: skip

    def energy(u, v, _):
        return np.einsum("i...,i...", np.tensordot(stiffness, strain(u), 1), strain(v))

    return BilinearForm(energy)


def _pair(unit: np.ndarray, surface: str = "upper_end") -> Resultant:
    return Resultant(surface, tuple(unit[:3]), tuple(unit[3:]), (0.0, 0.0, 0.0))


def _difference(ours: dict, *peers: dict) -> float:
    reference = np.array(ours["reserve"])
    return max(float(np.abs(np.array(p["reserve"]) / reference - 1).max()) for p in peers)


if __name__ == "__main__":
    main()
