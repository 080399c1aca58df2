"""A look at a part file before it is used: size, volume, faces, and what is wrong with it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from orthofem.errors import ModelError
from orthofem.mesh.session import session
from orthofem.mesh.step import check_size, gmsh_box, read_solids
from orthofem.mesh.stl import problems, read_stl
from orthofem.parts import Imported, check_part_path


@dataclass(frozen=True)
class FileReport:
    """What a part file holds.

    Parameters
    ----------
    path, kind : str
        The file; "STEP" or "STL".
    unit : str or None
        Unit that was stated; None: the file's own, mm for STL.
    size : tuple of 3 floats
        Box round it [mm].
    volume : float
        Enclosed volume [mm3].
    n_solids : int
        Solids of a STEP file; 1 for a closed STL surface, else 0.
    n_faces : int
        Faces of a STEP file, triangles of an STL file.
    watertight : bool
        Whether it encloses a solid.
    problems : tuple of str
        What must be put right first, each with its place.
    """

    path: str
    kind: str
    unit: str | None
    size: tuple[float, float, float]
    volume: float
    n_solids: int
    n_faces: int
    watertight: bool
    problems: tuple[str, ...]


def check_file(path: str | Path, unit: str | None = None, scale: float = 1.0) -> FileReport:
    """Look at a STEP or STL file.

    Parameters
    ----------
    path : str or Path
        The file.
    unit : str or None
        Unit of its numbers: "mm", "cm", "m", "inch". None: what a STEP file declares, mm for an
        STL file.
    scale : float
        Further factor on all lengths [-].

    Returns
    -------
    report : FileReport
        What it holds; `problems` is empty where it can be used.

    Raises
    ------
    ModelError
        If the file is not there, of another kind, or cannot be read at all.
    """
    solid = Imported(str(path), unit, scale)
    if check_part_path(path).suffix.lower() == ".stl":
        return _stl_report(solid)
    return _step_report(solid)


def _stl_report(solid: Imported) -> FileReport:
    surface = read_stl(solid)
    wrong = problems(surface)
    closed = not wrong
    found = (*wrong, *_size_problem(surface.box, solid))
    return FileReport(
        solid.path, "STL", solid.unit, _size(surface.box), abs(surface.volume) if closed else 0.0,
        int(closed), surface.triangles.shape[1], closed, found,
    )  # fmt: skip


def _step_report(solid: Imported) -> FileReport:
    with session() as gmsh:
        volumes = read_solids(gmsh, solid)
        box = gmsh_box(gmsh, volumes)
        gmsh.model.occ.synchronize()
        n_faces = len(gmsh.model.getEntities(2))
        volume = sum(gmsh.model.occ.getMass(*entity) for entity in volumes)
    found = list(_size_problem(box, solid))
    if volume <= 0:
        found.append(f"the solids enclose {volume:g} mm3; a face must be missing or turned round")
    return FileReport(
        solid.path, "STEP", solid.unit, _size(box), float(volume), len(volumes), n_faces,
        volume > 0, tuple(found),
    )  # fmt: skip


def _size(box: np.ndarray) -> tuple[float, float, float]:
    x, y, z = (box[1] - box[0]).tolist()
    return x, y, z


def _size_problem(box: np.ndarray, solid: Imported) -> tuple[str, ...]:
    try:
        check_size(box, solid)
    except ModelError as error:
        return (str(error),)
    return ()
