"""One solid, from plain data to a boundary representation."""

from __future__ import annotations

from collections.abc import Callable
from types import ModuleType

import numpy as np

from orthofem.errors import ModelError
from orthofem.mesh.step import import_step
from orthofem.parts import (
    Arc,
    Box,
    Common,
    Cut,
    Cylinder,
    Extruded,
    Fused,
    HalfSpace,
    Imported,
    Outline,
    Plane,
    Revolved,
    Solid,
)

DimTags = list[tuple[int, int]]
FAR = 1e4  # mm; reach of planes and half spaces, above the largest part allowed


def shape(gmsh: ModuleType, solid: Solid) -> DimTags:
    """Build a solid in the open session.

    Parameters
    ----------
    gmsh : module
        An open session.
    solid : Solid
        What to build.

    Returns
    -------
    volumes : list of (3, tag)
        The volumes made; several where the solid has parts that lie apart.

    Raises
    ------
    ModelError
        If nothing is left of the solid.
    """
    volumes = _MAKERS[type(solid)](gmsh, solid)
    if not volumes:
        raise ModelError(f"Nothing is left of the solid {type(solid).__name__}; check its tool.")
    return volumes


def outline_face(gmsh: ModuleType, outline: Outline, base: float = 0.0) -> int:
    """Build the plane face inside an outline, in the plane z = base; give its tag."""
    occ = gmsh.model.occ
    corners = [occ.addPoint(*begin, base) for begin, _ in outline.pairs()]
    curves = []
    for k, segment in enumerate(outline.segments):
        begin, end = corners[k], corners[(k + 1) % len(corners)]
        if isinstance(segment, Arc):
            centre = occ.addPoint(*segment.centre, base)
            curves.append(occ.addCircleArc(begin, centre, end))
            occ.remove([(0, centre)])
        else:
            curves.append(occ.addLine(begin, end))
    return occ.addPlaneSurface([occ.addCurveLoop(curves)])


def plane_face(gmsh: ModuleType, plane: Plane) -> DimTags:
    """Build a square far larger than any part in a plane."""
    occ = gmsh.model.occ
    normal, first, second = _triad(plane.normal)
    centre = np.array(plane.point, float)
    # near the part's own origin: far-off centres would cost digits
    corners = [centre + FAR * (a * first + b * second) for a, b in _SQUARE]
    points = [occ.addPoint(*corner) for corner in corners]
    lines = [occ.addLine(points[k], points[(k + 1) % 4]) for k in range(4)]
    return [(2, occ.addPlaneSurface([occ.addCurveLoop(lines)]))]


_SQUARE = ((-1, -1), (1, -1), (1, 1), (-1, 1))


def _triad(normal) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    unit = np.array(normal, float) / np.linalg.norm(normal)
    helper = np.eye(3)[np.argmin(np.abs(unit))]
    first = np.cross(unit, helper)
    first /= np.linalg.norm(first)
    return unit, first, np.cross(unit, first)


def _revolved(gmsh: ModuleType, solid: Revolved) -> DimTags:
    face = outline_face(gmsh, solid.outline)
    made = gmsh.model.occ.revolve([(2, face)], 0, 0, 0, 1, 0, 0, 2 * np.pi)
    return _only_volumes(gmsh, made, [(2, face)])


def _extruded(gmsh: ModuleType, solid: Extruded) -> DimTags:
    face = outline_face(gmsh, solid.outline, solid.base)
    made = gmsh.model.occ.extrude([(2, face)], *solid.direction)
    return [entity for entity in made if entity[0] == 3]


def _only_volumes(gmsh: ModuleType, made: DimTags, drawn: DimTags) -> DimTags:
    # a full turn leaves the drawn face behind, on no volume's skin
    gmsh.model.occ.remove(drawn, recursive=True)
    return [entity for entity in made if entity[0] == 3]


def _box(gmsh: ModuleType, solid: Box) -> DimTags:
    return [(3, gmsh.model.occ.addBox(*solid.corner, *solid.size))]


def _cylinder(gmsh: ModuleType, solid: Cylinder) -> DimTags:
    return [(3, gmsh.model.occ.addCylinder(*solid.base, *solid.axis, solid.radius))]


def _half_space(gmsh: ModuleType, solid: HalfSpace) -> DimTags:
    face = plane_face(gmsh, Plane(solid.point, solid.normal))
    unit = np.array(solid.normal, float) / np.linalg.norm(solid.normal)
    made = gmsh.model.occ.extrude(face, *(FAR * unit))
    return [entity for entity in made if entity[0] == 3]


def _cut(gmsh: ModuleType, solid: Cut) -> DimTags:
    return gmsh.model.occ.cut(shape(gmsh, solid.solid), shape(gmsh, solid.tool))[0]


def _common(gmsh: ModuleType, solid: Common) -> DimTags:
    return gmsh.model.occ.intersect(shape(gmsh, solid.solid), shape(gmsh, solid.tool))[0]


def _fused(gmsh: ModuleType, solid: Fused) -> DimTags:
    volumes = [volume for one in solid.solids for volume in shape(gmsh, one)]
    if len(volumes) == 1:
        return volumes
    return gmsh.model.occ.fuse(volumes[:1], volumes[1:])[0]


def _imported(gmsh: ModuleType, solid: Imported) -> DimTags:
    return import_step(gmsh, solid)


_MAKERS: dict[type, Callable[..., DimTags]] = {
    Revolved: _revolved,
    Extruded: _extruded,
    Box: _box,
    Cylinder: _cylinder,
    HalfSpace: _half_space,
    Cut: _cut,
    Common: _common,
    Fused: _fused,
    Imported: _imported,
}
