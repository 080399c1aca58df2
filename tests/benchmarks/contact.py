"""Pieces in contact against the same pieces bonded: one load, a further one, seven unlike ones.

Both sides with the same direct solver in the same run, each from the mesh on.
``python tests/benchmarks/contact.py [--unknowns 110000]``.
"""

from __future__ import annotations

import argparse
import sys
from time import perf_counter

import numpy as np

from orthofem.mesh import mesh_part
from orthofem.mesh.split import split
from orthofem.parts import JOINTS, Shaft
from orthofem.solve import Balanced, Model, Supported, balanced_pulls
from orthofem.solve.contact import ThreadTie, Touching
from orthofem.study import LYING, Option, Print
from orthofem.study.reading import stiffness_field

SHAFT = Shaft(outer_diameter=32.0)
PLA = Print("pla")
SETS = balanced_pulls("upper_end", "lower_end", (0.0, 0.0, 0.0))
SIDEWAYS = [0, 100.0, 0, 0, 0, 8000.0]
UNLIKE = np.array([
    SIDEWAYS,
    [0, -100.0, 0, 0, 0, -2000.0],
    [0, 0, 100.0, 0, -8000.0, 0],
    [0, 0, -100.0, 0, 2000.0, 0],
    [-300.0, 0, 0, 0, 0, 0],
    [0, 0, 0, 5000.0, 0, 0],
    [-100.0, 60.0, -60.0, 0, 3000.0, 3000.0],
]).T  # fmt: skip
"""Seven loads of unlike directions: forces of both ways sideways, along, a twist, one of all."""


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--unknowns", type=int, default=110_000)
    sys.stdout.write(report(parser.parse_args().unknowns))


def report(unknowns: int = 110_000) -> str:
    """Time a stud printed on and a loose one, and return the table."""
    columns = [_column(option, face, unknowns) for option, face in _options()]
    lines = [
        "**Contact.** Against bonded solves of the same mesh, same direct solver.", "",
        f"| what | {' | '.join(option.name for option, _ in _options())} |",
        f"|{'---|' * (len(columns) + 1)}",
        *(f"| {what} | {' | '.join(c[what] for c in columns)} |" for what in columns[0]), "",
        "One load: eliminating all but the interface's unknowns is most of it. Unlike loads: each",
        "finds what is closed by some twenty full-matrix steps, a few of them with a new factor,",
        "whose cost grows with the cube of the interface's unknowns.", "",
    ]  # fmt: skip
    return "\n".join(lines)


def _options() -> list[tuple[Option, str]]:
    ends = {"lower": PLA, "upper": PLA}
    printed = JOINTS["printed_stud"](core_diameter=20.0).part(SHAFT)
    loose = JOINTS["loose_stud"](core_diameter=20.0, flat=3.0).part(SHAFT)
    return [
        (Option("stud printed on", printed, ends), "lower|upper"),
        (Option("loose stud, lying", loose, {**ends, "stud": Print("pla", LYING)}), "stud|upper"),
    ]


def _column(option: Option, face: str, unknowns: int) -> dict[str, str]:
    """All timings of one option."""
    whole = _mesh(option, unknowns)
    bonded = stiffness_field(option, whole)
    once, _ = _timed(lambda: _bonded(whole, bonded, 1))
    seven, _ = _timed(lambda: _bonded(whole, bonded, len(UNLIKE.T)))
    first, (touching, found) = _timed(lambda: _touching(option, whole, face))
    further, _ = _timed(lambda: touching.solve(SETS, UNLIKE[:, 1:2]))
    all_, each = _timed(lambda: touching.solve(SETS, UNLIKE))
    prepare = first - further
    interface = len(touching.prepared.condensed.kept)
    return {
        "unknowns, of the interface": f"{whole.report.n_unknowns:,}, {interface:,}",
        "bonded solve, one load [s]": f"{once:.2f}",
        "contact, pieces prepared and one load [s]": f"{first:.2f}",
        "**ratio**": f"**{first / once:.1f}**",
        "one further load [s]; in bonded solves": f"{further:.2f}; {further / once:.1f}",
        "seven unlike loads, prepared too [s]": f"{prepare + all_:.2f}",
        "in bonded solves of these seven": f"{(prepare + all_) / seven:.1f}",
        "steps until no point changed, each load": ", ".join(map(str, each.steps)),
        "closed area under the first [%]": f"{100 * _closed(found):.0f}",
    }


def _mesh(option: Option, unknowns: int):
    """Mesh of about so many unknowns: sizes corrected once by the cube root."""
    mesh = mesh_part(option.part)
    if abs(mesh.report.n_unknowns / unknowns - 1) > 0.1:
        finer = (unknowns / mesh.report.n_unknowns) ** (1 / 3)
        mesh = mesh_part(option.part, refinement=finer)
    return mesh


def _bonded(whole, stiffness, loads: int):
    """Assemble, factorise, and solve for so many load sets."""
    sets = [SETS[i % len(SETS)] for i in range(loads)]
    return Supported(Model(whole.mesh, stiffness), [Balanced()]).solve(sets)


def _touching(option: Option, whole, face: str):
    """Split, assemble, eliminate all but the interface's unknowns, and solve one load."""
    parted = split(whole, [face])
    model = Model(parted.mesh, stiffness_field(option, parted))
    touching = Touching(model, [Balanced()], {face: ThreadTie()})
    return touching, touching.solve(SETS, UNLIKE[:, :1])


def _closed(found) -> float:
    return float(next(iter(found.zones.values())).closed_share[0])


def _timed(work):
    start = perf_counter()
    result = work()
    return perf_counter() - start, result


if __name__ == "__main__":
    main()
