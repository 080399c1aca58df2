"""Solids of several verification cases: elliptic plates, and notched bars from the mesh room."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from skfem import MeshTet2

from meshes import extruded, placed, rectangle_grid, sides
from orthofem.mesh import PartMesh, mesh_part
from orthofem.parts import (
    NearCircle,
    NearPoint,
    OnPlane,
    Outline,
    Part,
    Pen,
    Piece,
    Refinement,
    Revolved,
)
from orthofem.solve import Model, Solution, balanced_unit_responses
from orthofem.tensors import ElasticConstants, frame, rotate_stiffness, stiffness

STEEL = stiffness(ElasticConstants.isotropic(210e3, 0.3))
INNER, OUTER = (2000.0, 1000.0), (3250.0, 2750.0)  # semi-axes of the elliptic plates [mm]


def elliptic_plate(across, round_it, levels) -> MeshTet2:
    """Quarter of an elliptic annulus: inner, outer, y0 (the cut y = 0), x0, z0, z1.

    `across` and `round_it` run from 0 to 1, from the inner to the outer ellipse and from the
    cut y = 0 to the cut x = 0; all nodes lie on true ellipses.
    """

    def place(x):
        angle = 0.5 * np.pi * x[1]
        a, b = ((1 - x[0]) * i + x[0] * o for i, o in zip(INNER, OUTER, strict=True))
        return np.stack([a * np.cos(angle), b * np.sin(angle), x[2]])

    names = ("inner", "outer", "y0", "x0", "z0", "z1")
    ends = sides((0, 0, levels[0]), (1, 1, levels[-1]), names)
    return placed(extruded(*rectangle_grid(across, round_it), levels), ends, place)


# factors on the unit resultants Fx, Fy, Fz, Mx, My, Mz; Mz < 0 pulls at the side +y
PULL = {
    "tension": (1, 0, 0, 0, 0, 0),
    "bending": (0, 0, 0, 0, 0, -1),
    "torsion": (0, 0, 0, 1, 0, 0),
}


@dataclass(frozen=True)
class Notch:
    """A round bar along x with an arc in its outline, and where on the arc to look.

    The place on the arc is told by the angle from its point nearest to the bar's axis. [mm, deg]
    """

    outline: Outline
    neck: float
    radius: float
    look: float

    @property
    def centre(self) -> tuple[float, float]:
        """Centre of the arc in the (x, r) plane."""
        return 0.0, self.neck / 2 + self.radius

    def at(self, degrees: float) -> tuple[float, float, float]:
        """Point on the arc on the side +y."""
        x, r = self.centre
        angle = np.radians(degrees)
        return x + self.radius * np.sin(angle), r - self.radius * np.cos(angle), 0.0

    def nominal(self, load: str) -> float:
        """Nominal stress in the neck for a unit force or moment. [MPa]"""
        d = self.neck
        area, modulus = np.pi * d**2 / 4, np.pi * d**3 / 32
        return {"tension": 1 / area, "bending": 1 / modulus, "torsion": 0.5 / modulus}[load]


def upright(kind: float | ElasticConstants) -> np.ndarray:
    """Stiffness of a Poisson's ratio, or of a printed material built along the bar."""
    if isinstance(kind, float):
        return stiffness(ElasticConstants.isotropic(3000.0, kind))
    return rotate_stiffness(stiffness(kind), frame((1, 0, 0)))


def fillet(D: float, d: float, r: float) -> Notch:
    """Shoulder with a fillet: thin shank on the side -x, tangent to the arc at angle 0."""
    thin, thick = -2.5 * d, r + 1.6 * D
    pen = Pen(thin, 0).line(thick, 0).line(thick, D / 2).line(r, D / 2).line(r, d / 2 + r)
    outline = pen.arc(0, d / 2, (0, d / 2 + r)).line(thin, d / 2).close()
    return Notch(outline, d, r, 15.0)


def groove(D: float, d: float, r: float) -> Notch:
    """Groove all round with a half circle at its root, straight flanks if it is deeper."""
    end, centre = 2 * D, (0, d / 2 + r)
    pen = Pen(-end, 0).line(end, 0).line(end, D / 2).line(r, D / 2).line(r, d / 2 + r)
    pen = pen.arc(0, d / 2, centre).arc(-r, d / 2 + r, centre).line(-r, D / 2).line(-end, D / 2)
    return Notch(pen.close(), d, r, 0.0)


def notched_mesh(notch: Notch, edges: int) -> PartMesh:
    """Mesh with `edges` elements to a quarter of the arc at the place to look, on one side.

    Round the rest of the bar the arc has a quarter of that: the peak is a local one.
    """
    size = 0.95 * notch.radius * np.pi / 2 / edges
    x, r, _ = notch.at(notch.look)
    low, high = (f(notch.outline.points(1)[0]) for f in (np.min, np.max))
    return mesh_part(
        Part(
            "notched",
            (Piece("bar", Revolved(notch.outline)),),
            {"low": OnPlane((low, 0, 0), (1, 0, 0)), "high": OnPlane((high, 0, 0), (1, 0, 0))},
            refine=(
                Refinement(NearPoint((x, r, 0), 0.5 * notch.radius), size),
                Refinement(NearCircle((x, 0, 0), (1, 0, 0), r, 0.5 * notch.radius), 4 * size),
            ),
        ),
        notch.neck / 3,
    )


def concentration(notch: Notch, stiffness: np.ndarray, edges: int) -> dict:
    """Largest stress on the arc over nominal, and its angle, for each load.

    The largest tangential stress in tension and bending, the largest shear in torsion, among all
    nodes on the arc in the fine zone.
    """
    found = balanced_unit_responses(
        Model(notched_mesh(notch, edges).mesh, {"bar": stiffness}), "high", "low"
    ).solution
    return {load: peak(notch, found, load) for load in PULL}


def peak(notch: Notch, found: Solution, load: str) -> tuple[float, float]:
    """Largest tangential stress or shear over nominal, and the angle where it is."""
    space = found.model.space
    skin = space.basis.get_dofs(space.mesh.boundary_facets()).flatten()
    x, y, z = space.nodes[:, skin]
    away = np.stack([x, np.hypot(y, z)]) - np.reshape(notch.centre, (2, 1))
    far = np.linalg.norm(space.nodes[:, skin] - np.reshape(notch.at(notch.look), (3, 1)), axis=0)
    on = (np.abs(np.hypot(*away) - notch.radius) < 1e-3 * notch.radius) & (far < 0.5 * notch.radius)
    angle, turn = np.arctan2(away[0], -away[1])[on], np.arctan2(z, y)[on]
    stress = found.nodal_stress("bar")[:, skin[on]] @ np.array(PULL[load], float)
    lead, shear = in_tangent_plane(stress, angle, turn)
    value = (shear if load == "torsion" else lead) / notch.nominal(load)
    best = int(np.argmax(value))
    return float(value[best]), float(np.degrees(angle[best]))


def in_tangent_plane(stress, angle, turn) -> tuple[np.ndarray, np.ndarray]:
    """Largest normal stress and largest shear in the plane that touches the arc."""
    along = np.stack([np.cos(angle), np.sin(angle) * np.cos(turn), np.sin(angle) * np.sin(turn)])
    hoop = np.stack([0 * turn, -np.sin(turn), np.cos(turn)])
    full = stress[[[0, 5, 4], [5, 1, 3], [4, 3, 2]]]
    a, b, c = (
        np.einsum("in,ijn,jn->n", left, full, right)
        for left, right in ((along, along), (hoop, hoop), (along, hoop))
    )
    radius = np.hypot((a - b) / 2, c)
    return (a + b) / 2 + radius, radius
