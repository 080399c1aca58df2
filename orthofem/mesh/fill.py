"""From a checked STL surface to a volume that can be meshed."""

from __future__ import annotations

from types import ModuleType

import numpy as np

from orthofem.errors import ModelError
from orthofem.mesh.build import Built
from orthofem.mesh.step import check_size
from orthofem.mesh.stl import problems, read_stl
from orthofem.parts import Imported, Part

SHARP = 35.0  # degrees; edges sharper than this part two faces


def fill_stl(gmsh: ModuleType, part: Part) -> Built:
    """Read the STL file of a part and make its inside a volume of the open session.

    Raises
    ------
    ModelError
        If the part has bands, a core or further pieces, or the surface is not sound.
    """
    piece, solid = part.pieces[0], part.pieces[0].solid
    many = len(part.pieces) > 1 or piece.core is not None or piece.splits
    if many or not isinstance(solid, Imported):
        raise ModelError(
            f"Part '{part.name}' comes from an STL file, which is one piece without bands or "
            "core; for those give a STEP file."
        )
    surface = read_stl(solid)
    check_size(surface.box, solid)
    found = problems(surface)
    if found:
        raise ModelError(f"'{solid.path}' does not enclose a solid: {'; '.join(found)}.")
    _add_triangles(gmsh, surface.points, surface.triangles)
    mesh, geo = gmsh.model.mesh, gmsh.model.geo
    mesh.classifySurfaces(np.radians(SHARP), True, True, np.pi)
    mesh.createGeometry()
    loop = geo.addSurfaceLoop([tag for _, tag in gmsh.model.getEntities(2)])
    volume = geo.addVolume([loop])
    geo.synchronize()
    area, inside = float(surface.areas.sum()), abs(surface.volume)
    diagonal = float(np.linalg.norm(surface.box[1] - surface.box[0]))
    return Built({piece.name: [volume]}, {piece.name: inside}, area, 2 * inside / area, diagonal)


def _add_triangles(gmsh: ModuleType, points: np.ndarray, triangles: np.ndarray) -> None:
    face = gmsh.model.addDiscreteEntity(2)
    tags = np.arange(1, points.shape[1] + 1)
    gmsh.model.mesh.addNodes(2, face, tags, points.T.ravel())
    gmsh.model.mesh.addElementsByType(face, 2, [], tags[triangles].T.ravel())
