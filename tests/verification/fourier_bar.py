"""Shoulder fillet of a round bar in the half plane, one Fourier harmonic: no tetrahedra at all.

An independent way to the concentration factors of NOTCH-1: displacements (u_x cos n t, u_r cos n t,
u_t sin n t) over the (x, r) half plane, quadratic triangles, n = 0 for tension and torsion, 1 for
bending. The material is alike in all directions across the bar, so the harmonics do not mix.
"""

from __future__ import annotations

import numpy as np
import skfem
from skfem import Basis, BilinearForm, ElementTriP2, ElementVector, FacetBasis, LinearForm, MeshTri2

from orthofem.mesh.session import session
from orthofem.tensors import ElasticConstants, stiffness

HARMONIC = {"tension": 0, "bending": 1, "torsion": 0}


def half_plane(D: float, d: float, r: float, edges: int) -> MeshTri2:
    """Mesh of the half plane: thin shank to the left, arc from (0, d/2) on, `edges` to the arc."""
    thin, thick = -2.5 * d, r + 1.6 * D
    with session() as gmsh:
        occ = gmsh.model.occ
        corners = [(thin, 0), (thick, 0), (thick, D / 2), (r, D / 2), (r, d / 2 + r), (0, d / 2),
                   (thin, d / 2)]  # fmt: skip
        if D / 2 - d / 2 - r < 1e-9:
            corners.pop(3)
        points = [occ.addPoint(x, y, 0) for x, y in corners]
        centre, lines = occ.addPoint(0, d / 2 + r, 0), []
        for a, b, (xa, _) in zip(points, points[1:] + points[:1], corners, strict=True):
            arc = corners[points.index(b)] == (0, d / 2) and xa == r
            lines.append(occ.addCircleArc(a, centre, b) if arc else occ.addLine(a, b))
        occ.addPlaneSurface([occ.addCurveLoop(lines)])
        occ.remove([(0, centre)])
        occ.synchronize()
        field = gmsh.model.mesh.field
        tag = field.add("MathEval")
        fine = r * np.pi / 2 / edges
        away = f"sqrt(({r / 2}-x)^2+({d / 2 + r / 3}-y)^2)"
        field.setString(tag, "F", f"{fine}+0.15*(abs({away}-{r})+({away}-{r}))/2")
        field.setAsBackgroundMesh(tag)
        gmsh.option.setNumber("Mesh.MeshSizeMax", d / 8)
        gmsh.model.mesh.generate(2)
        gmsh.model.mesh.setOrder(2)
        tags, flat, _ = gmsh.model.mesh.getNodes()
        cells = gmsh.model.mesh.getElementsByType(9)[1].reshape(-1, 6).T
    row = np.empty(int(tags.max()) + 1, int)
    row[tags.astype(int)] = np.arange(tags.size)
    kept, cells = np.unique(row[cells.astype(int)], return_inverse=True)
    return MeshTri2(flat.reshape(-1, 3)[kept, :2].T, cells.reshape(6, -1))


def strain(n: int, u, x):
    """Strains xx, rr, tt, xr, xt, rt of one harmonic."""
    r, g = x[1], u.grad
    return np.stack([
        g[0, 0], g[1, 1], (n * u[2] + u[1]) / r,
        g[0, 1] + g[1, 0], g[2, 0] - n * u[0] / r, g[2, 1] - (u[2] + n * u[1]) / r,
    ])  # fmt: skip


def concentration(D, d, r, kind: float | ElasticConstants, edges: int = 48) -> dict[str, float]:
    """Largest tangential stress on the arc over nominal (shear in torsion), by load."""
    constants = ElasticConstants.isotropic(3000.0, kind) if isinstance(kind, float) else kind
    C = stiffness(constants)[np.ix_([2, 0, 1, 4, 3, 5], [2, 0, 1, 4, 3, 5])]
    # print axis 3 lies along the bar: x r t from 3 1 2, shears xr xt rt from 13 23 12
    mesh = half_plane(D, d, r, edges)
    basis = Basis(mesh, ElementVector(ElementTriP2(), 3), intorder=5)
    return {load: _factor(load, basis, C, (D, d, r)) for load in HARMONIC}


def _factor(load, basis, C, sizes) -> float:
    n, (D, d, r) = HARMONIC[load], sizes
    mesh, low, high = basis.mesh, -2.5 * d, r + 1.6 * D

    @BilinearForm
    def energy(u, v, w):
        stress = np.einsum("ij,j...->i...", C, strain(n, u, w.x))
        return (stress * strain(n, v, w.x)).sum(axis=0) * w.x[1]

    @LinearForm
    def pull(v, w):
        rising = 1.0 if load == "tension" else 2 * w.x[1] / d
        return -v[2 if load == "torsion" else 0] * rising * w.x[1]  # out of the thin end

    end = mesh.facets_satisfying(lambda x: np.isclose(x[0], low), boundaries_only=True)
    K = energy.assemble(basis)
    f = pull.assemble(FacetBasis(mesh, basis.elem, facets=end, intorder=5))
    x, y = basis.doflocs
    component = np.tile([0, 1, 2], x.size // 3)
    on_axis, far = np.isclose(y, 0), np.isclose(x, high)
    held = np.zeros(x.size, bool)
    if load == "torsion":
        held |= (component != 2) | on_axis | far
    elif load == "tension":
        held |= (component == 2) | (far & (component == 0)) | (on_axis & (component == 1))
    else:  # on the axis a harmonic of one has no u_x and u_r = -u_t: told by u_r below
        held |= (component == 0) & (on_axis | far)
        held |= (component > 0) & on_axis & far
    u = skfem.solve(*skfem.condense(K, f, D=np.flatnonzero(held)))
    return _largest(load, basis, C, u, (d, r))


def _largest(load, basis, C, u, sizes) -> float:
    """Largest stress at nodes on the arc, each the mean of the triangles that meet there."""
    n, (d, r) = HARMONIC[load], sizes
    mesh = basis.mesh
    corners = np.array([[0, 1, 0, 0.5, 0.5, 0], [0, 0, 1, 0, 0.5, 0.5]], float)
    known = basis.X
    spread = np.linalg.lstsq(
        np.vstack([np.ones(known.shape[1]), known]), np.vstack([np.ones(6), corners]), rcond=None
    )[0].T
    e = strain(n, basis.interpolate(u), basis.global_coordinates())
    stress = np.einsum("ij,jcq,nq->inc", C, e, spread)
    nodes = mesh.dofs.element_dofs  # of the geometry: corners, then edges
    at = np.asarray(mesh.doflocs)[:, nodes]
    away = np.stack([at[0], at[1] - d / 2 - r])
    on = np.abs(np.hypot(*away) - r) < 1e-4 * r
    on &= (away[0] >= -1e-6 * r) & (away[1] <= 1e-6 * r)
    angle = np.arctan2(away[0], -away[1])
    c, s = np.cos(angle), np.sin(angle)
    value = np.hypot(stress[4], stress[5]) if load == "torsion" else (
        stress[0] * c**2 + stress[1] * s**2 + 2 * stress[3] * s * c
    )  # fmt: skip
    flat = nodes[on]
    met = np.bincount(flat)
    return float((np.bincount(flat, value[on])[met > 0] / met[met > 0]).max())
