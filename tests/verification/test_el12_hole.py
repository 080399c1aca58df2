"""EL-12: round hole in an orthotropic plate, the whole field after Lekhnitskii."""

from __future__ import annotations

import numpy as np
import pytest
from sets import BORON, GLASS, KAW, PO, PT, plane

from meshes import plate_with_hole
from orthofem.solve import Fixed, Model, solve
from orthofem.tensors import compliance, frame, rotate_compliance, rotation

RADIUS, HALF, THICK = 1.0, 5.0, 0.1
IN_PLANE = [0, 1, 5]
CHOSEN = dict(source="Lekhnitskii 1968, set PO", grade="D")
LEKHNITSKII = "Lekhnitskii 1968"


def plane_strain(S):
    """Plane compliances (3, 3) of xx, yy, xy with no strain along z."""
    b = S - np.outer(S[:, 2], S[2]) / S[2, 2]
    return b[np.ix_(IN_PLANE, IN_PLANE)]


class Hole:
    """Exact stress and displacement round a hole under remote stresses sx, sy, t."""

    def __init__(self, b, sx=1.0, sy=0.0, t=0.0):
        self.b, self.remote = b, (sx, sy, t)
        roots = np.roots([b[0, 0], -2 * b[0, 2], 2 * b[0, 1] + b[2, 2], -2 * b[1, 2], b[1, 1]])
        mu = self.mu = roots[roots.imag > 0]
        right = [-RADIUS / 2 * (sy - 1j * t), RADIUS / 2 * (t - 1j * sx)]
        self.A = np.linalg.solve(np.stack([[1, 1], mu]), right)
        self.p = b[0, 0] * mu**2 + b[0, 1] - b[0, 2] * mu
        self.r = b[0, 1] * mu + b[1, 1] / mu - b[1, 2]

    def _mapped(self, x, y):
        mu = self.mu.reshape(2, *np.ones(np.ndim(x), int))
        z = x + mu * y
        q = np.sqrt(z**2 - RADIUS**2 * (1 + mu**2) + 0j)
        scale = RADIUS * (1 - 1j * mu)
        q = np.where(np.abs(z + q) >= np.abs(z - q), q, -q)
        return mu, q, (z + q) / scale

    def stress(self, x, y):
        """xx, yy, xy at points."""
        mu, q, zeta = self._mapped(x, y)
        F = -self.A.reshape(mu.shape) / (zeta * q)
        terms = 2 * np.stack([(mu**2 * F).sum(0), F.sum(0), -(mu * F).sum(0)]).real
        return np.reshape(self.remote, (3,) + (1,) * np.ndim(x)) + terms

    def displacement(self, points):
        """Displacement at points (3, n), none along z."""
        x, y, z = points
        mu, _, zeta = self._mapped(x, y)
        share = self.A.reshape(mu.shape) / zeta
        u, v = (2 * (c.reshape(mu.shape) * share).sum(0).real for c in (self.p, self.r))
        ex, ey, g = self.b @ self.remote
        return np.stack([u + ex * x + g * y / 2, v + ey * y + g * x / 2, 0 * z])

    def round_edge(self, degrees):
        """Stress along the edge of the hole."""
        return along_edge(self.stress(*(RADIUS * unit(degrees))), degrees)


def unit(degrees):
    """Unit vectors at these angles."""
    return np.stack([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])


def along_edge(stress, degrees):
    """Stress along the edge of the hole from xx, yy, xy."""
    c, s = unit(degrees)
    return stress[0] * s**2 + stress[1] * c**2 - 2 * stress[2] * s * c


def solved(S, quarter, counts, ratio, crowd):
    """Exact field, nodal angles round the hole and the stress along its edge there."""
    exact = Hole(plane_strain(S))
    mesh = plate_with_hole(RADIUS, HALF, THICK, counts, quarter, ratio, crowd)
    supports = [Fixed("outer", (0, 1), exact.displacement), Fixed("z0", (2,)), Fixed("z1", (2,))]
    if quarter:
        supports += [Fixed("x0", (0,)), Fixed("y0", (1,))]
    found = solve(Model(mesh, {"body": np.linalg.inv(S)}), supports, [[]])
    nodes = found.model.space.surface_nodes("hole")
    x, y, _ = found.model.space.nodes[:, nodes]
    angle = np.degrees(np.arctan2(y, x)).round(6) % 360
    edge = along_edge(found.nodal_stress("body")[IN_PLANE][:, nodes, 0], angle)
    angles, place = np.unique(angle, return_inverse=True)
    return exact, found, angles, np.bincount(place, edge) / np.bincount(place)


# --- print axes along the load --------------------------------------------------------------------
def pair(constants, i, j):
    """Lamina of the directions i and j of a solid, i along the load, as plane stress."""
    S = compliance(constants)
    shear = {(0, 1): 5, (0, 2): 4, (1, 2): 3}[min(i, j), max(i, j)]
    return plane(1 / S[i, i], 1 / S[j, j], -S[i, j] / S[i, i], 1 / S[shear, shear])


def turned(build, bead):
    """Compliance of PO printed this way up."""
    return rotate_compliance(compliance(PO), frame(build, bead))


# compliance in test axes (x the load, z the plate normal), K(90), K(0), tolerance, source, grade
ALIGNED = {
    "KAW along 1": (pair(KAW, 0, 1), 6.75048, -0.23855, 0.03, "KAW", "D(S)"),
    "KAW along 2": (pair(KAW, 1, 0), 2.37178, -4.19200, 0.03, "KAW", "D(S)"),
    "GLASS along 1": (pair(GLASS, 0, 1), 4.62278, -0.46287, 0.01, "GLASS", "D(M-h)"),
    "GLASS along 2": (pair(GLASS, 1, 0), 2.67688, -2.16044, 0.01, "GLASS", "D(M-h)"),
    "BORON along 1": (pair(BORON, 0, 1), 7.53262, -0.30114, 0.01, "BORON", "D(M-h)"),
    "BORON along 2": (pair(BORON, 1, 0), 2.96724, -3.32070, 0.01, "BORON", "D(M-h)"),
    "PO load 1, normal 3, plane stress": (pair(PO, 0, 1), 3.09811, -0.92355, 0.01, "PO", "D"),
    "PO load 1, normal 3": (turned((0, 0, 1), (1, 0, 0)), 3.09473, -0.92806, 0.01, "PO", "D"),
    "PO load 2, normal 3, plane stress": (pair(PO, 1, 0), 2.93771, -1.08278, 0.01, "PO", "D"),
    "PO load 2, normal 3": (turned((0, 0, 1), (0, 1, 0)), 2.94404, -1.07751, 0.01, "PO", "D"),
    "PO load 3, normal 2, plane stress": (pair(PO, 2, 0), 2.92743, -1.16619, 0.01, "PO", "D"),
    "PO load 3, normal 2": (turned((1, 0, 0), (0, 1, 0)), 2.92706, -1.17706, 0.01, "PO", "D"),
    "PO load 1, normal 2, plane stress": (pair(PO, 0, 2), 3.24775, -0.85749, 0.01, "PO", "D"),
    "PO load 1, normal 2": (turned((0, -1, 0), (1, 0, 0)), 3.26827, -0.84957, 0.01, "PO", "D"),
}
IN_FE = [name for name in ALIGNED if "plane stress" not in name]


def solid(case):
    """Compliance of a case."""
    return case if isinstance(case, np.ndarray) else compliance(case)


@pytest.mark.parametrize("name", ALIGNED)
def test_edge_factor_by_closed_form(name, verify):
    """The exact field used as boundary condition has the factors of the axis formula."""
    S, top, side, _, source, grade = ALIGNED[name]
    b = plane_strain(solid(S))
    root = np.sqrt(b[1, 1] / b[0, 0])
    formula = [1 + np.sqrt(2 * root + (2 * b[0, 1] + b[2, 2]) / b[0, 0]), -1 / root]
    ours = Hole(b).round_edge(np.array([90.0, 0.0]))
    np.testing.assert_allclose(ours, formula, rtol=1e-9)
    verify(
        "EL-12",
        f"{name}: K(90), K(0), closed form",
        ours,
        [top, side],
        rtol=1e-5,
        source=f"{LEKHNITSKII}, set {source}",
        grade=grade,
    )


@pytest.mark.parametrize("name", IN_FE)
def test_edge_factor_on_axis(name, verify):
    """Solved quarter plate: stress at the hole beside and in line with the load."""
    S, top, side, tolerance, source, grade = ALIGNED[name]
    exact, found, angles, edge = solved(solid(S), True, (20, 26, 1), 300.0, 12.0)
    source = f"{LEKHNITSKII}, set {source}"
    ours = edge[[np.argmin(abs(angles - 90)), np.argmin(angles)]]
    verify("EL-12", f"{name}: K(90)", ours[0], top, rtol=tolerance, source=source, grade=grade)
    verify("EL-12", f"{name}: K(0)", ours[1], side, rtol=tolerance, source=source, grade=grade)
    verify(
        "EL-12",
        f"{name}: edge all round",
        edge,
        exact.round_edge(angles),
        rtol=tolerance,
        source=source,
        grade=grade,
    )


# --- print axes turned against the load -----------------------------------------------------------
def fibre(degrees):
    """Compliance of KAW turned in its plane."""
    return rotate_compliance(compliance(KAW), rotation("z", degrees))


half = np.sqrt(0.5)
# compliance, K(90), (angle, max), (angle, min), tolerance, grade
TURNED = {
    "KAW +30": (fibre(30), 2.64402, (113.665, 5.52248), (141.552, -1.22904), 0.03, "D(S)"),
    "KAW +45": (fibre(45), None, (124.026, 4.29539), (147.653, -2.22101), 0.03, "D(S)"),
    "PT +45": (
        rotate_compliance(compliance(PT), frame((half, half, 0), (0, 0, 1))),
        2.88458,
        (84.455, 2.91050),
        (4.718, -1.01263),
        0.01,
        "D",
    ),
}


@pytest.mark.parametrize("name", TURNED)
def test_edge_factor_off_axis(name, verify):
    """Solved full plate: the peak leaves 90 degrees, and is found where the field has it.

    Angles to one spacing of the nodes round the hole, 1.4 degrees.
    """
    S, beside, top, low, tolerance, grade = TURNED[name]
    exact, found, angles, edge = solved(S, False, (18, 32, 1), 200.0, 1.0)
    source = f"{LEKHNITSKII}, set {name.split()[0]}"
    half_turn = angles < 180
    angles, edge = angles[half_turn], edge[half_turn]
    wanted = exact.round_edge(angles)
    fine = np.linspace(0, 180, 180001)
    smooth = exact.round_edge(fine)
    for label, (angle, target), pick in (("max", top, np.argmax), ("min", low, np.argmin)):
        verify(
            "EL-12",
            f"{name}: {label}, closed form",
            smooth[pick(smooth)],
            target,
            atol=5.1e-6,
            source=source,
            grade=grade,
        )
        verify(
            "EL-12",
            f"{name}: angle of {label}, closed form",
            fine[pick(smooth)],
            angle,
            atol=1.1e-3,
            source=source,
            grade=grade,
        )
        verify(
            "EL-12",
            f"{name}: {label}",
            edge[pick(edge)],
            target,
            rtol=tolerance,
            source=source,
            grade=grade,
        )
        verify(
            "EL-12",
            f"{name}: angle of {label}",
            angles[pick(edge)],
            angle,
            atol=1.41,
            source=source,
            grade=grade,
        )
    if beside:
        verify(
            "EL-12",
            f"{name}: K(90)",
            edge[np.argmin(abs(angles - 90))],
            beside,
            rtol=tolerance,
            source=source,
            grade=grade,
        )
    verify(
        "EL-12", f"{name}: edge all round", edge, wanted, rtol=tolerance, source=source, grade=grade
    )
