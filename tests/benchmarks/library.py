"""Assembly, factor, solve and index, ours against a compiled general-purpose library.

``python tests/benchmarks/library.py [--refinement 0.5] [--env FOLDER]``. The library comes from the
package index into a virtual environment of its own, in a temporary folder or in FOLDER, which is
made if it is not there and used again if it is. Both sides read the same mesh from a file, straight
sides and quadratic tetrahedra, one end clamped, six unit loads on the other, and run one after the
other in processes of their own (the library's is ``library_peer.py``). Ratios are what counts.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
from dataclasses import astuple
from pathlib import Path
from time import perf_counter

import numpy as np
from library_peer import STEPS, worst_index
from memory import peak_memory
from skfem import MeshTet1, MeshTet2
from spine import question

from orthofem.mesh import mesh_part
from orthofem.solve import Fixed, Model, Supported, Traction
from orthofem.study.evaluate import stiffness_field

HERE = Path(__file__).parent
PACKAGES = ("ngsolve", "numpy", "scipy")
CLAMPED, LOADED = "lower_end", "upper_end"


def main() -> None:
    """Run both sides and print the table; ``--side`` is for the inner processes."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--refinement", type=float, default=1.0)
    parser.add_argument("--env", type=Path, help="virtual environment of the library")
    parser.add_argument("--side", choices=SIDES)
    parser.add_argument("--exchange", type=Path)
    options = parser.parse_args()
    if options.side:
        answer = SIDES[options.side](options.exchange, options.refinement)
        sys.stdout.write(json.dumps(answer))
        return
    sys.stdout.write(report(options.refinement, options.env))


def report(refinement: float = 1.0, env: Path | None = None) -> str:
    """Run both sides and return their table."""
    with tempfile.TemporaryDirectory() as folder:
        python = library_python(env or Path(folder, "env"))
        exchange = Path(folder, "question.npz")
        itself = (sys.executable, str(Path(__file__)), "--exchange", str(exchange), "--side")
        in_process(*itself, "mesh", "--refinement", str(refinement))
        ours = in_process(*itself, "ours")
        library = in_process(str(python), str(HERE / "library_peer.py"), str(exchange))
    return table(ours, library)


def library_python(env: Path) -> Path:
    """Interpreter of an environment that holds the library; makes it if it is not there."""
    python = env / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not python.exists():
        subprocess.run([sys.executable, "-m", "venv", str(env)], check=True)
    install = [str(python), "-m", "pip", "install", "--quiet", *PACKAGES]
    tried = subprocess.run(install, capture_output=True, text=True)
    if tried.returncode:
        raise RuntimeError(
            f"Could not install {', '.join(PACKAGES)} into {env}; give the folder of an "
            f"environment that holds them with --env. pip said:\n{tried.stderr}"
        )
    return python


def in_process(*command: str) -> dict:
    """Run one side in a process of its own that finds this checkout."""
    paths = [str(HERE.parent.parent), os.environ.get("PYTHONPATH", "")]
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, paths))}
    done = subprocess.run(command, capture_output=True, text=True, env=environment)
    if done.returncode:
        raise RuntimeError(f"{' '.join(command)} failed:\n{done.stderr}")
    return json.loads(done.stdout.splitlines()[-1])


def table(ours: dict, library: dict) -> str:
    """Markdown table of both sides and the ratio to ours."""
    if ours["unknowns"] != library["unknowns"]:
        raise RuntimeError(f"Not the same system: {ours['unknowns']} and {library['unknowns']}.")
    rows = [(step, ours[step], library[step]) for step in STEPS]
    rows.append(("all four", *(sum(side[step] for step in STEPS) for side in (ours, library))))
    rows.append(("peak memory [GB]", ours["memory"], library["memory"]))
    lines = [
        f"**Against a compiled general-purpose library.** {ours['unknowns']:,} unknowns, the same "
        f"{ours['cells']:,} straight-sided quadratic tetrahedra, one end clamped, six unit loads; "
        "seconds, and ratio to ours. The library assembles in compiled code and factorises with "
        f"its own sparse Cholesky, on {library['threads']} threads.",
        "",
        "| step | ours | library | ratio |",
        "|---|---|---|---|",
        *(f"| {name} | {a:.2f} | {b:.2f} | {b / a:.1f} |" for name, a, b in rows),
        "",
        f"Strain energies of the unit loads differ by {_difference(ours, library, 'energy'):.0e} "
        f"at most, highest indices by {_difference(ours, library, 'worst'):.0e} (relative).",
        "",
    ]
    return "\n".join(lines)


def _difference(ours: dict, library: dict, what: str) -> float:
    found = float(np.abs(np.array(library[what]) / np.array(ours[what]) - 1).max())
    if not found < 1e-6:
        raise RuntimeError(f"The sides disagree on {what}: {ours[what]} and {library[what]}.")
    return found


def write_question(exchange: Path, refinement: float) -> dict:
    """Mesh the part and write all that both sides need, in plain arrays."""
    option, _ = question()
    part_mesh = mesh_part(option.part, refinement=refinement)
    mesh = part_mesh.mesh
    corners, cells = np.unique(mesh.t, return_inverse=True)
    straight = MeshTet1(mesh.doflocs[:, corners], cells.reshape(mesh.t.shape))
    if not np.array_equal(corners[straight.facets], mesh.facets):
        raise RuntimeError("Facets changed their numbers when the mesh was straightened.")
    regions = list(part_mesh.piece_of)
    region_of = np.full(mesh.nelements, -1)
    for number, region in enumerate(regions):
        region_of[mesh.subdomains[region]] = number
    prints = [option.print_of(region, part_mesh.piece_of[region]) for region in regions]
    stiffness = stiffness_field(option, part_mesh)
    loaded = straight.facets[:, mesh.boundaries[LOADED]]
    centre, tractions = unit_tractions(straight.p[:, loaded])
    np.savez(
        exchange, points=straight.p, cells=straight.t, region_of=region_of,
        stiffness=np.stack([stiffness[region] for region in regions]),
        axes=np.stack([printed.frame.axes() for printed in prints]),
        strengths=np.array([astuple(printed.loaded.strengths) for printed in prints]),
        clamped=straight.facets[:, mesh.boundaries[CLAMPED]], loaded=loaded, centre=centre,
        tractions=tractions,
    )  # fmt: skip
    return {}


def unit_tractions(corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Linear tractions a + b x (point - centre) with unit resultants.

    Parameters
    ----------
    corners : ndarray of shape (3, 3, n_facets)
        Component, corner, facet. [mm]

    Returns
    -------
    centre : ndarray of shape (3,)
        Centroid of the surface. [mm]
    tractions : ndarray of shape (6, 2, 3)
        a [MPa] and b [MPa/mm] of each of the three forces and three moments.
    """
    middles = 0.5 * (corners + np.roll(corners, 1, axis=1))  # exact for quadratics
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0], axis=0)
    weight = np.broadcast_to(np.linalg.norm(normals, axis=0) / 6, middles.shape[1:])
    centre = (middles * weight).sum(axis=(1, 2)) / weight.sum()
    modes = np.zeros((6, 3, *weight.shape))
    for axis, unit in enumerate(np.eye(3)):
        modes[axis] = unit[:, None, None]
        modes[3 + axis] = np.cross(unit, middles - centre[:, None, None], axisb=0, axisc=0)
    gram = np.einsum("icqf,jcqf,qf->ij", modes, modes, weight)
    return centre, np.linalg.inv(gram).reshape(6, 2, 3)


def ours(exchange: Path, refinement: float) -> dict:
    """Batched assembly into a fixed pattern, supernodal direct solver."""
    data = dict(np.load(exchange))
    mesh, stiffness = our_mesh(data)
    loads = [[Traction(LOADED, _linear(*pair, data["centre"]))] for pair in data["tractions"]]
    clock, found = perf_counter(), {}
    model = Model(mesh, stiffness)
    model.blocks  # noqa: B018
    found["assemble"], clock = perf_counter() - clock, perf_counter()
    supported = Supported(model, [Fixed(CLAMPED)], method="direct")
    found["factor"], clock = perf_counter() - clock, perf_counter()
    solution = supported.solve(loads)
    found["solve"], clock = perf_counter() - clock, perf_counter()
    found["worst"] = worst_index(solution.stress, data)
    found["index"] = perf_counter() - clock
    found["energy"] = solution.energy.tolist()
    found["unknowns"], found["cells"] = model.space.n_unknowns, model.mesh.nelements
    found["memory"] = peak_memory()
    return found


def our_mesh(data: dict) -> tuple[MeshTet2, dict]:
    """Exchanged mesh, and the stiffness of its regions."""
    mesh = MeshTet1(data["points"], data["cells"])
    number = {tuple(sorted(facet)): i for i, facet in enumerate(mesh.facets.T.tolist())}
    surfaces = {CLAMPED: "clamped", LOADED: "loaded"}
    boundaries = {
        name: np.array([number[tuple(sorted(facet))] for facet in data[key].T.tolist()])
        for name, key in surfaces.items()
    }
    regions = [str(i) for i in range(len(data["stiffness"]))]
    cells = {region: np.flatnonzero(data["region_of"] == int(region)) for region in regions}
    quadratic = MeshTet2.from_mesh(mesh).with_boundaries(boundaries).with_subdomains(cells)
    # the library's mesh comes with its edges and faces worked out, so ours does too
    quadratic.facets, quadratic.edges, quadratic.f2t  # noqa: B018
    return quadratic, dict(zip(regions, data["stiffness"], strict=True))


def _linear(a: np.ndarray, b: np.ndarray, centre: np.ndarray):
    def traction(points, normals):
        arm = points - centre[:, None, None]
        return a[:, None, None] + np.cross(b, arm, axisb=0, axisc=0)

    return traction


SIDES = {"mesh": write_question, "ours": ours}

if __name__ == "__main__":
    main()
