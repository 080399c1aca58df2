"""Unknowns against time and memory, direct and iterative, with fitted exponents.

Each size runs in a process of its own: ``python tests/benchmarks/growth.py``.
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
from spine import question

from orthofem.mesh import mesh_part
from orthofem.solve import Balanced, Model, Supported
from orthofem.solve.unit import balanced_pulls
from orthofem.study.evaluate import stiffness_field

SIZES = (0.3, 0.5, 1.0, 1.5, 2.0)
METHODS = ("direct", "iterative")


def main() -> None:
    """Print the table; ``--one`` is for the inner processes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--one", nargs=2, metavar=("METHOD", "REFINEMENT"))
    options = parser.parse_args()
    if options.one:
        sys.stdout.write(json.dumps(one(options.one[0], float(options.one[1]))))
    else:
        sys.stdout.write(report())


def one(method: str, refinement: float) -> dict:
    """Assemble and solve six unit loads once."""
    option, _ = question()
    part_mesh = mesh_part(option.part, refinement=refinement)
    start = perf_counter()
    model = Model(part_mesh.mesh, stiffness_field(option, part_mesh))
    pulls = balanced_pulls("upper_end", "lower_end", (0.0, 0.0, 0.0))
    solution = Supported(model, [Balanced()], method).solve(pulls)
    return {
        "method": method, "unknowns": part_mesh.report.n_unknowns,
        "seconds": perf_counter() - start, "iterations": max(solution.iterations, default=0),
        "memory": peak_memory(),
    }  # fmt: skip


def report() -> str:
    """Run all sizes and return the table with fitted exponents."""
    lines = [
        "**Growth.** Assembly and solve of six unit loads.",
        "",
        "| solver | unknowns | time [s] | memory [GB] | iterations |",
        "|---|---|---|---|---|",
    ]
    for method in METHODS:
        rows = [_in_process(method, size) for size in SIZES]
        lines += [
            f"| {method} | {r['unknowns']:,} | {r['seconds']:.1f} | {r['memory']:.2f} | "
            f"{r['iterations'] or '-'} |" for r in rows
        ]  # fmt: skip
        n = np.log([r["unknowns"] for r in rows])
        time = np.polyfit(n, np.log([r["seconds"] for r in rows]), 1)[0]
        memory = np.polyfit(n[1:], np.log([r["memory"] for r in rows[1:]]), 1)[0]
        lines.append(f"| {method}, exponent | | {time:.2f} | {memory:.2f} | |")
    return "\n".join([*lines, ""])


def _in_process(method: str, refinement: float) -> dict:
    command = [sys.executable, str(Path(__file__)), "--one", method, str(refinement)]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


if __name__ == "__main__":
    main()
