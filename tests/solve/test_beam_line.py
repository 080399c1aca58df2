"""Beams: statics, taper, hinges, windows of joints, bowing, modes, and what they refuse."""

from __future__ import annotations

import math

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import JointFlexibility, beam_flexibility, on_tip_and_hand, point_load
from orthofem.solve.beam import (
    Hinge,
    Hold,
    Sections,
    beam,
    buckling,
    dinnik_load,
    jointed_load,
    modes,
    nodal_forces,
    round_stiffness,
    solve_beam,
    stepped_load,
    stepped_sections,
    straight_axial,
    sway_amplification,
    uniform_sections,
)

E, G, D, L = 3000.0, 1100.0, 30.0, 900.0
STIFF = round_stiffness(E, G, D)
EA, GA, _, GJ, EI, _ = STIFF
LINE_MASS = 1.24e-6 * math.pi / 4 * D**2
SHAFT = uniform_sections(STIFF, LINE_MASS, LINE_MASS * D**2 / 8)
ENDS = (Hold(0, (0, 1, 2, 3)), Hold(L, (1, 2)))
ROOT = (Hold(0, range(6)),)


def pushed(line, station, force):
    """Forces on the unknowns of six resultants at a node."""
    out = np.zeros((line.n_unknowns, 1))
    out[line.unknowns[line.node(station)], 0] = force
    return out


@pytest.mark.parametrize("element", [900.0, 300.0, 45.0])
def test_cantilever_is_exact_on_any_mesh(element):
    """Deflection, turn, stretch and twist of a cantilever do not depend on its elements."""
    line = beam(L, SHAFT, element=element)
    found = solve_beam(line, ROOT, pushed(line, L, (5.0, 1.0, -2.0, 100.0, 30.0, 40.0)))
    F = beam_flexibility(L, EI, GA, EA, GJ)
    expected = F @ [5.0, 1.0, -2.0, 100.0, 30.0, 40.0]
    np.testing.assert_allclose(found.moved(L)[:, 0], expected, rtol=1e-9)


def test_cone_is_exact():
    """Tip deflection of a tapered cantilever is the integral of its flexibility."""

    def cone(x):
        return round_stiffness(E, G, 30.0 - x / 60.0)

    line = beam(L, Sections(cone), element=300.0)
    found = solve_beam(line, ROOT, pushed(line, L, (0, 1, 0, 0, 0, 0))).moved(L)[1, 0]
    x, w = np.polynomial.legendre.leggauss(60)
    x, w = L * (x + 1) / 2, L * w / 2
    stiff = cone(x)
    assert found == pytest.approx(w @ ((L - x) ** 2 / stiff[5] + 1 / stiff[1]), rel=1e-5)


def test_resultants_follow_the_signs_of_the_loads():
    """Section resultants are those that the handle side puts on the tip side, at every node."""
    load = point_load((300.0, 4.0, -7.0), force=(-50.0, 20.0, 10.0), moment=(1e3, 2e3, -3e3),
                      station=400.0)  # fmt: skip
    loads = on_tip_and_hand(load, L)
    line = beam(L, SHAFT, stations=(250.0, 400.0, 700.0))
    found = solve_beam(line, ENDS, nodal_forces(line, loads))
    for x in (0.0, 250.0, 400.0, 700.0, 900.0):
        np.testing.assert_allclose(found.at(x), loads.resultants(x), rtol=1e-7, atol=1e-6)
    np.testing.assert_allclose(found.displacement[line.unknowns[-1, 1:3]], 0, atol=1e-12)


def test_loads_between_nodes_keep_balance():
    """A load that enters between two nodes is shared so that force and moment stay the same."""
    line = beam(L, SHAFT, element=100.0)
    load = point_load((333.0, 5.0, 0.0), force=(7.0, 3.0, 2.0), moment=(1.0, 2.0, 3.0))
    forces = nodal_forces(line, load)[line.unknowns, 0]
    arm = np.zeros((len(line.x), 3))
    arm[:, 0] = line.x
    moment = forces[:, 3:] + np.cross(arm, forces[:, :3])
    ours = np.concatenate([forces[:, :3].sum(axis=0), moment.sum(axis=0)])
    np.testing.assert_allclose(ours, load.net()[:, 0], atol=1e-9)


def test_load_off_the_beam():
    """A load beyond the ends is refused."""
    with pytest.raises(ValueError, match="A load enters at 950 to 950 mm, off the beam"):
        nodal_forces(beam(L, SHAFT), point_load((950.0, 0, 0), force=(0, 1, 0)))


def test_axial_force_of_the_straight_beam():
    """Compression acts between the loads that make it, and nowhere else."""
    loads = point_load((600.0, 0, 0), force=(-80.0, 0, 0)).joined(
        point_load((150.0, 0, 0), force=(80.0, 0, 0))
    )
    line = beam(L, SHAFT, stations=(150.0, 600.0))
    axial = straight_axial(line, loads, 0)
    middle = (line.x[1:] + line.x[:-1]) / 2
    np.testing.assert_allclose(axial, np.where((middle > 150) & (middle < 600), -80.0, 0.0))


def test_hinge_turns_and_nothing_else():
    """A hinge that only bends leaves displacement whole and adds its turn."""
    line = beam(L, SHAFT, hinges=[Hinge(300.0, (0, 0, 0, 0, 0, 1e-5))])
    found = solve_beam(line, ROOT, pushed(line, L, (0, 1, 0, 0, 0, 0)))
    below, above = (found.moved(300.0, above=side)[:, 0] for side in (False, True))
    np.testing.assert_allclose((above - below)[5], 1e-5 * 600.0)
    np.testing.assert_allclose((above - below)[:5], 0, atol=1e-12)
    plain = beam_flexibility(L, EI, GA)[1, 1]
    assert found.moved(L)[1, 0] == pytest.approx(plain + 1e-5 * 600.0**2, rel=1e-9)


@pytest.mark.parametrize("ratio", [0.05, 1.0, 7.0])
def test_window_replaces_the_shaft(ratio):
    """A joint's window, softer or stiffer than the shaft, is exact from end to end."""
    window = JointFlexibility(240.0, 360.0, beam_flexibility(120.0, *ratio * STIFF[[4, 1, 0, 3]]))
    table = np.stack([STIFF, ratio * STIFF, STIFF], axis=1)
    lines = beam(L, SHAFT, [window]), beam(L, stepped_sections((240.0, 360.0), table))
    tips = [solve_beam(x, ROOT, pushed(x, L, (3.0, 1, 2, 9, 0, 0))).moved(L) for x in lines]
    np.testing.assert_allclose(tips[0], tips[1], rtol=1e-6, atol=1e-15)


def test_unsymmetric_window():
    """A window that bends more at one end, with coupling, is exact from end to end as well."""
    matrix = beam_flexibility(120.0, *STIFF[[4, 1, 0, 3]])
    arm = 100.0  # a soft place 100 mm below its upper end
    matrix[1, 1] += arm**2 * 2e-6
    matrix[5, 5] += 2e-6
    matrix[1, 5] += arm * 2e-6
    matrix[5, 1] += arm * 2e-6
    line = beam(L, SHAFT, [JointFlexibility(240.0, 360.0, matrix)])
    hinge = beam(L, SHAFT, hinges=[Hinge(260.0, (0, 0, 0, 0, 0, 2e-6))])
    for push in ((0, 1, 0, 0, 0, 0), (0, 0, 1, 0, 0, 50)):
        tips = [solve_beam(x, ROOT, pushed(x, L, push)).moved(L)[:, 0] for x in (line, hinge)]
        np.testing.assert_allclose(tips[0], tips[1], rtol=1e-7, atol=1e-15)


def test_round_column_has_two_equal_buckling_loads():
    """A round column buckles to all sides at one load; both of its shapes are found."""
    found = buckling(beam(L, SHAFT), ENDS, -1.0, count=4)
    assert found.factors[0] == pytest.approx(found.factors[1], rel=1e-8)
    assert found.factors[2] == pytest.approx(found.factors[3], rel=1e-8)
    assert found.factors[2] / found.factors[0] == pytest.approx(4.0, rel=0.02)  # shear
    assert np.linalg.matrix_rank(found.shapes[:, :2]) == 2


def test_pull_does_not_buckle():
    """A beam in tension, or not pressed at all, has no buckling load."""
    line = beam(L, SHAFT)
    for axial in (+1.0, 0.0):
        assert np.isinf(buckling(line, ENDS, axial).factors).all()


def test_springs_hold_instead_of_supports():
    """A very stiff spring is a support; a soft hand lets the stick sway at k L."""
    line = beam(L, SHAFT)
    held = buckling(line, ENDS, -1.0).factors[0]
    firm = (ENDS[0], Hold(L, (1, 2), stiffness=1e6))
    assert buckling(line, firm, -1.0).factors[0] == pytest.approx(held, rel=1e-3)
    soft = (ENDS[0], Hold(L, (1, 2), stiffness=0.5))
    assert buckling(line, soft, -1.0).factors[0] == pytest.approx(0.5 * L, rel=2e-2)


def test_bowing_is_refused_above_the_buckling_load():
    """Just below its buckling load a column is solved, just above it is refused."""
    line = beam(L, SHAFT)
    limit = buckling(line, ENDS, -1.0).factors[0]
    side = pushed(line, 450.0, (0, 1, 0, 0, 0, 0))
    assert solve_beam(line, ENDS, side, -0.99 * limit).moved(450.0)[1, 0] > 0
    with pytest.raises(ModelError, match="no stable rest.*below the buckling load"):
        solve_beam(line, ENDS, side, -1.01 * limit)


@pytest.mark.parametrize("holds", [(), (Hold(0, (0, 1, 2)),), (Hold(0, (0, 3)), Hold(L, (1, 2)))])
def test_loose_beam(holds):
    """Supports that leave a rigid motion are refused."""
    line = beam(L, SHAFT)
    with pytest.raises(ModelError, match="no stable rest"):
        solve_beam(line, holds, pushed(line, L, (0, 1, 0, 0, 0, 0)))


def test_modes_of_known_beams():
    """Frequencies of a cantilever and of a beam on two ends, slender, are those of the books."""
    thin = uniform_sections(round_stiffness(E, 1e9, 10.0), 1e-4, 1e-3)
    stiff = E * math.pi * 10**4 / 64
    line = beam(L, thin)
    unit = math.sqrt(1000 * stiff / (1e-4 * L**4))
    cantilever = modes(line, ROOT, 4).omega / unit
    np.testing.assert_allclose(cantilever, np.array([1.8751, 1.8751, 4.6941, 4.6941]) ** 2, 2e-4)
    both = modes(line, ENDS, 4)
    np.testing.assert_allclose(both.omega / unit, np.pi**2 * np.array([1, 1, 4, 4]), rtol=1e-4)
    product = both.shapes.T @ (line.mass @ both.shapes)
    np.testing.assert_allclose(product, np.eye(4), atol=1e-6)
    np.testing.assert_allclose(both.frequency, both.omega / (2 * math.pi))
    assert line.total_mass == pytest.approx(1e-4 * L)


def test_modes_need_mass():
    """A beam without mass does not swing."""
    with pytest.raises(ModelError, match="has no mass"):
        modes(beam(L, uniform_sections(STIFF)), ENDS)


def test_sideways_reads_the_unknowns():
    """Displacement between nodes follows the beam's own shape, in both planes."""
    line = beam(L, SHAFT, element=300.0)
    found = solve_beam(line, ROOT, pushed(line, L, (0, 1.0, -2.0, 0, 0, 0)))
    read = np.einsum("nau,uv->na", line.sideways([137.0, 450.0, 900.0]), found.displacement)
    fine = beam(L, SHAFT, element=10.0, stations=(137.0, 450.0))
    truth = solve_beam(fine, ROOT, pushed(fine, L, (0, 1.0, -2.0, 0, 0, 0)))
    for place, ours in zip((137.0, 450.0, 900.0), read, strict=True):
        np.testing.assert_allclose(ours, truth.moved(place)[1:3, 0], rtol=1e-8)
    with pytest.raises(ValueError, match="place on the beam = 950 mm"):
        line.sideways([950.0])


# --- what is refused -----------------------------------------------------------------------------
def test_bad_beams():
    """Overlapping windows, hinges in windows, doubled hinges and places off the line."""
    matrix = beam_flexibility(120.0, EI, GA, EA, GJ)
    windows = [JointFlexibility(x, x + 120.0, matrix) for x in (200.0, 280.0)]
    with pytest.raises(ValueError, match="joint windows 200-320, 280-400 mm overlap"):
        beam(L, SHAFT, windows)
    soft = (0, 0, 0, 0, 1e-5, 1e-5)
    with pytest.raises(ValueError, match="The hinge at 250 mm lies in a joint window"):
        beam(L, SHAFT, windows[:1], [Hinge(250.0, soft)])
    with pytest.raises(ValueError, match="Two hinges stand at one station"):
        beam(L, SHAFT, hinges=[Hinge(250.0, soft), Hinge(250.0, soft)])
    with pytest.raises(ValueError, match="station of the beam = 950 mm"):
        beam(L, SHAFT, stations=(950.0,))
    with pytest.raises(ValueError, match=r"No node of the beam stands at 123\.4 mm"):
        beam(L, SHAFT).node(123.4)


def test_bad_hinges():
    """A hinge of the wrong shape, and one that would give energy back."""
    with pytest.raises(ValueError, match="give six numbers or a symmetric"):
        Hinge(100.0, np.ones((5, 5)))
    with pytest.raises(ValueError, match="pushing would give energy"):
        Hinge(100.0, (0, 0, 0, 0, -1e-5, 0))


def test_bad_supports():
    """Unknown parts and springs without stiffness."""
    with pytest.raises(ValueError, match="choose from 0 to 5: ux, uy"):
        Hold(0.0, (6,))
    with pytest.raises(ValueError, match="support stiffness = 0"):
        Hold(0.0, (1,), stiffness=0.0)


def test_bad_sections():
    """Sections of the wrong shape, without stiffness, infinite where they may not be."""
    with pytest.raises(ValueError, match="EIy = 0 at"):
        beam(L, uniform_sections((1.0, 1.0, 1.0, 1.0, 0.0, 1.0)))
    with pytest.raises(ValueError, match="EA = inf"):
        beam(L, uniform_sections((math.inf, 1.0, 1.0, 1.0, 1.0, 1.0)))
    with pytest.raises(ValueError, match="section stiffness has shape"):
        beam(L, Sections(lambda x: np.ones((5, x.size))))
    with pytest.raises(ValueError, match="one column more than steps"):
        stepped_sections((100.0,), np.ones((6, 3)))


def test_bad_columns():
    """Closed forms refuse numbers that they do not hold for."""
    with pytest.raises(ValueError, match="EI of the column = 0"):
        stepped_load((0.0, 1.0), (1.0, 1.0))
    with pytest.raises(ValueError, match="power = 5; choose 1, 2, 3 or 4"):
        dinnik_load(1.0, 0.5, 5, 1.0)
    with pytest.raises(ValueError, match="ratio of I = 1"):
        dinnik_load(1.0, 1.0, 2, 1.0)
    with pytest.raises(ValueError, match="give one above zero for each"):
        jointed_load(1.0, (0.5,), (0.0,), 1.0)
    with pytest.raises(ValueError, match="must increase, inside the column"):
        jointed_load(1.0, (1.5,), (1.0,), 1.0)
    with pytest.raises(ValueError, match="axial force over buckling load = 1"):
        sway_amplification(1.0)
    assert set(sway_amplification(0.0).values()) == {1.0}
