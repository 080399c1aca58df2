"""EL-12: round hole in an orthotropic plate, the whole field after Lekhnitskii."""

from __future__ import annotations

import numpy as np
import pytest
from holes import IN_PLANE, RADIUS, Hole, along_edge, pair, plane_strain
from sets import BORON, GLASS, KAW, PO, PT

from meshes import plate_with_hole
from orthofem.solve import Fixed, Model, solve
from orthofem.tensors import compliance, frame, rotate_compliance, rotation

HALF, THICK = 5.0, 0.1
CHOSEN = dict(source="Lekhnitskii 1968, set PO", grade="D")
LEKHNITSKII = "Lekhnitskii 1968"


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
            f"{name}: angle of {label}, closed form [degrees]",
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
            f"{name}: node of {label} [degrees]",
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
