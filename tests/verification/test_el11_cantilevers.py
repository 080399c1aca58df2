"""EL-11: cantilevers: exact field, shear, clamp, off-axis coupling, twisted beam."""

from __future__ import annotations

import numpy as np
import pytest
from sets import KAW3, PO, PT, R0

from meshes import block, box, crowded, graded, joined, twisted_beam
from orthofem.solve import Fixed, Model, Resultant, Traction, solve
from orthofem.tensors import (
    ElasticConstants,
    compliance,
    engineering_constants,
    frame,
    rotate_stiffness,
    rotation,
    stiffness,
)

KRYSL = "Krysl, FinEtools example files"
P6 = "own p-version hexahedra, p = 4 to 6"

# --- (a) exact orthotropic polynomial, plane strain ---------------------------------------------
L, HALF, THICK, PULL = 60.0, 5.0, 8.0, 20.0
INERTIA = 2 * HALF**3 * THICK / 3
EXACT = dict(source="Timoshenko & Goodier 1970, orthotropic form", grade="D")


def plane_strain():
    """Plane compliances b11, b12, b66 of PO."""
    S = compliance(PO)
    b = S - np.outer(S[:, 2], S[2]) / S[2, 2]
    return b[0, 0], b[0, 1], b[5, 5]


def bent(points):
    """Exact displacement."""
    x, y, z = points
    b11, b12, b66 = plane_strain()
    k = PULL / INERTIA
    u = -b11 * k * (L * x - x**2 / 2) * y - (b12 + b66) * k * y**3 / 6
    v = (
        -b12 * k / 2 * (L - x) * y**2
        + b11 * k * (L * x**2 / 2 - x**3 / 6)
        + b66 * k * HALF**2 * x / 2
    )
    return np.stack([u, v, 0 * z])


def end_shear(points, normals):
    """Parabolic shear traction of the end."""
    y = points[1]
    return np.stack([0 * y, PULL * (HALF**2 - y**2) / (2 * INERTIA), 0 * y])


def test_exact_field(verify):
    """(a) Orthotropic plane strain cantilever: deflection and stresses of the polynomial."""
    b = plane_strain()
    verify(
        "EL-11a",
        "b11, b12, b66",
        np.array(b) * 1e4,
        [2.69117647, -1.34330629, 8.69565217],
        atol=5.1e-9,
        **EXACT,
    )
    x = joined(graded(0, 15, 10, 15), crowded(15, 45, 20, 1 / 15), graded(45, 60, 5, 1))
    y = joined(graded(-5, -2.5, 10, 15), graded(-2.5, 0, 10, 1 / 15), graded(0, 5, 10, 15))
    mesh = block(x, y, np.array([0, THICK]))  # fine where the stress is read
    supports = [Fixed("x0", value=bent), Fixed("z0", (2,)), Fixed("z1", (2,))]
    found = solve(Model(mesh, {"body": stiffness(PO)}), supports, [[Traction("x1", end_shear)]])
    at = np.array([[L, 0, 0], [0, -HALF, 0], [30, 0, 0]], dtype=float).T
    tip = found.displacement_at(at)[1, 0, 0]
    verify("EL-11a", "v(L, 0)", tip, 0.60085934, rtol=1e-4, **EXACT)
    nodes = found.model.space.nodes
    verify(
        "EL-11a",
        "u, v, w at all nodes",
        found.displacement[..., 0],
        bent(nodes),
        rtol=1e-4,
        **EXACT,
    )
    stress = found.stress_at(at)[..., 0]
    verify("EL-11a", "sigma_xx(0, -c)", stress[0, 1], 9.0, rtol=1e-4, **EXACT)
    verify("EL-11a", "tau_max at mid-length", stress[5, 2], 0.375, rtol=1e-4, **EXACT)
    hold = found.reaction_on("x0")[1, 0]
    verify("EL-11a", "reaction at the root", hold, -PULL, rtol=1e-9, **EXACT)


# --- (b) isotropic block -------------------------------------------------------------------------
def test_isotropic_block(verify):
    """(b) A clamped block sheared at its end deflects as two independent codes say."""
    mesh = box((0, 0, 0), (90, 10, 20), (27, 4, 7))
    model = Model(mesh, {"body": stiffness(ElasticConstants.isotropic(E=1e3, nu=0.25))})
    found = solve(model, [Fixed("x0")], [[Traction("x1", (0, 0, -1e-3))]])
    tip = found.displacement_at(np.array([[90.0, 10, 0]]).T)[2, 0, 0]
    verify(
        "EL-11b", "u_z(90, 10, 0)", tip, -7.516310912734678e-3, rtol=2e-3, source=KRYSL, grade="P"
    )
    verify("EL-11b", "u_z(90, 10, 0) again", tip, -7.511e-3, rtol=2e-3, source=P6, grade="F")


# --- (c), (d) printed beams ----------------------------------------------------------------------
def tip_displacement(C):
    """Area-mean displacement of the loaded end."""
    mesh = block(graded(0, 60, 20, 15), crowded(-5, 5, 6, 3), crowded(-4, 4, 6, 3))
    pull = Resultant("x1", force=(0, 0, -20))
    found = solve(Model(mesh, {"body": C}), [Fixed("x0")], [[pull]])
    return found.mean_displacement("x1")[:, 0]


def test_rotated_beam(verify):
    """(c) A beam with turned print axes bends and drifts sideways; the clamp stiffens it."""
    C = rotate_stiffness(stiffness(PO), R0)
    ours = tip_displacement(C)
    verify("EL-11c", "mean tip u_z", ours[2], -1.1850, rtol=3e-3, source=P6, grade="F")
    verify(
        "EL-11c",
        "mean tip u_x, u_y",
        ours[:2],
        [-0.00081, -0.00063],
        atol=8e-6,
        source=P6,
        grade="F",
    )
    found = engineering_constants(np.linalg.inv(C))
    E, G = float(found["E1"]), float(found["G13"])
    inertia, area = 10 * 8**3 / 12, 80
    beam = 20 * 60**3 / (3 * E * inertia) + 20 * 60 / (5 / 6 * G * area)
    verify(
        "EL-11c",
        "Timoshenko beam formula",
        beam,
        1.2011,
        atol=5.1e-5,
        source="beam formula",
        grade="D",
    )
    assert 0.007 < beam / -ours[2] - 1 < 0.02  # the formula is not a 1 % target here


ALIGNED = {
    "PT, build along the beam": (PT, frame((1, 0, 0)), 1.4075, 1.4263),
    "PT, build along the load": (PT, np.eye(3), 1.0274, 1.0427),
    "KAW3, fibre along the beam": (KAW3, np.eye(3), 0.02118, 0.021218),
}


@pytest.mark.parametrize("name", ALIGNED)
def test_aligned_beams(name, verify):
    """(d) Aligned beams deflect a little less than the beam formula, as the clamp holds them."""
    constants, R, target, beam = ALIGNED[name]
    ours = -tip_displacement(rotate_stiffness(stiffness(constants), R))[2]
    verify(
        "EL-11d",
        f"{name}: mean tip u_z",
        ours,
        target,
        rtol=5e-3,
        source=P6,
        grade="F" if constants is PT else "F(M-h)",
    )
    assert ours < beam


# --- (e) twisted beam ----------------------------------------------------------------------------
def test_twisted_beam(verify):
    """(e) MacNeal and Harder's twisted beam, on cells that follow the twist.

    z is the thin axis of the clamped end and the wide axis of the tip, y the other one.
    """
    mesh = twisted_beam(12.0, 1.1, 0.32, 90.0, (32, 6, 2))
    model = Model(mesh, {"body": stiffness(ElasticConstants.isotropic(E=29e6, nu=0.22))})
    pulls = [[Resultant("x1", force=(0, 0, 1))], [Resultant("x1", force=(0, 1, 0))]]
    found = solve(model, [Fixed("x0")], pulls)
    tip = found.displacement_at(np.array([[12.0, 0, 0]]).T)[:, 0]
    ours = {"load along z": tip[2, 0], "load along y": tip[1, 1]}
    published = {"load along z": 5.424534868e-3, "load along y": 1.753248285e-3}
    solid = {"load along z": 5.4206e-3, "load along y": 1.75304e-3}
    for load, value in ours.items():
        verify(
            "EL-11e",
            load,
            value,
            published[load],
            rtol=5e-3,
            source="Zupan & Saje 2004, via Krysl, FinEtools",
            grade="P",
        )
        verify("EL-11e", f"{load}, as a solid", value, solid[load], rtol=5e-3, source=P6, grade="F")


# --- (f) a limit ---------------------------------------------------------------------------------
def test_extreme_fibres_lock():
    """(f) Documents a limit: fibres 1e5 times stiffer than the rest lock P2 cells, far too stiff.

    Krysl (FinEtools example files) gives -1.027498e-2. Printed polymers, ratio below 3, are far
    from this: cases (c) and (d) above. Should this fail, the limit is gone: rewrite the note.
    """
    fibres = ElasticConstants(
        E1=1e8, E2=1e3, E3=1e3, nu12=0.25, nu13=0.25, nu23=0.25, G12=200, G13=200, G23=200
    )
    C = rotate_stiffness(stiffness(fibres), rotation("y", -45))
    mesh = box((0, 0, 0), (90, 10, 20), (18, 3, 5))
    found = solve(Model(mesh, {"body": C}), [Fixed("x0")], [[Traction("x1", (0, 0, -1e-3))]])
    share = found.displacement_at(np.array([[90.0, 10, 0]]).T)[2, 0, 0] / -1.027498e-2
    print(f"EL-11f: {share:.3f} of the published tip displacement")
    assert 0 < share < 0.9
