"""Stiffness of a stick with joints against a side push."""

import math

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import JointFlexibility, Stick, StickStiffness, beam_flexibility
from orthofem.loads.impact import pinned_shape_factor

L, EI, GA = 900.0, 1.2e8, 4.0e5
STICK = Stick(length=L, joints=(225, 450, 675), diameter=30)


def hermite(edges, stiffness):
    """Stiffness matrix of a pinned beam with its own EI in each element (no shear)."""
    n = len(edges) - 1
    K = np.zeros((2 * n + 2, 2 * n + 2))
    for e in range(n):
        h = edges[e + 1] - edges[e]
        k = np.array(
            [
                [12, 6 * h, -12, 6 * h],
                [6 * h, 4 * h**2, -6 * h, 2 * h**2],
                [-12, -6 * h, 12, -6 * h],
                [6 * h, 2 * h**2, -6 * h, 4 * h**2],
            ]
        )
        K[2 * e : 2 * e + 4, 2 * e : 2 * e + 4] += stiffness[e] / h**3 * k
    return K


@pytest.mark.parametrize("x", [50.0, 225.0, 450.0, 820.0])
@pytest.mark.parametrize("angle", [0.0, 37.0, 180.0])
def test_plain_shaft(x, angle):
    """Without joints the stiffness is 3 EI L/(a^2 b^2), in every direction."""
    k = StickStiffness(STICK, EI).at(x, angle)
    assert k == pytest.approx(3 * EI * L / (x**2 * (L - x) ** 2), rel=1e-12)


def test_shear_softens():
    """Shear adds a b/(L GA) to the displacement per force."""
    k = StickStiffness(STICK, EI, GA).at(300.0)
    bend = 300**2 * 600**2 / (3 * EI * L)
    assert 1 / k == pytest.approx(bend + 300 * 600 / (L * GA), rel=1e-12)


@pytest.mark.parametrize("x", [100.0, 225.0, 230.0, 450.0, 600.0])
@pytest.mark.parametrize("angle", [0.0, 50.0])
def test_joint_like_the_shaft_changes_nothing(x, angle):
    """Windows with the flexibility of the plain shaft leave stiffness and shape unchanged."""
    joints = tuple(
        JointFlexibility(c - 60, c + 60, beam_flexibility(120.0, EI, GA)) for c in (225, 450, 675)
    )
    plain, jointed = StickStiffness(STICK, EI, GA), StickStiffness(STICK, EI, GA, joints)
    assert jointed.at(x, angle) == pytest.approx(plain.at(x, angle), rel=1e-10)
    assert jointed.shape_factor(x, angle) == pytest.approx(plain.shape_factor(x, angle), rel=1e-10)


@pytest.mark.parametrize("ratio", [0.2, 3.0])
@pytest.mark.parametrize("x", [100.0, 500.0, 800.0])
def test_softer_window_agrees_with_a_beam_of_elements(ratio, x):
    """A window of another EI: pushes outside it agree with a beam of finite elements."""
    joint = JointFlexibility(165.0, 285.0, beam_flexibility(120.0, ratio * EI))
    ours = StickStiffness(STICK, EI, joints=(joint,)).at(x)
    edges = np.array(sorted({0.0, 165.0, 285.0, x, L}))
    middle = (edges[1:] + edges[:-1]) / 2
    K = hermite(edges, np.where((middle > 165) & (middle < 285), ratio * EI, EI))
    n = len(edges) - 1
    free = np.setdiff1d(np.arange(2 * n + 2), [0, 2 * n])
    force = np.zeros(2 * n + 2)
    place = 2 * int(np.flatnonzero(edges == x)[0])
    force[place] = 1.0
    u = np.linalg.solve(K[np.ix_(free, free)], force[free])
    yields = u[np.flatnonzero(free == place)[0]]
    assert ours == pytest.approx(1 / yields, rel=1e-9)


def test_hinge_at_mid_length():
    """A very soft joint at mid-length: two straight halves, alpha 1/3, k = 4 k_theta/L."""
    soft = beam_flexibility(20.0, EI)
    turn = 1e-4  # rad per N mm at the middle of the window
    soft[5, 5] += turn
    soft[1, 5] += 10 * turn
    soft[5, 1] += 10 * turn
    soft[1, 1] += 100 * turn
    joint = JointFlexibility(440.0, 460.0, soft)
    stick = StickStiffness(STICK, EI * 1e4, joints=(joint,))
    assert stick.at(450.0, 0.0) == pytest.approx(16 / (L**2 * turn), rel=2e-3)
    assert stick.shape_factor(450.0, 0.0) == pytest.approx(1 / 3, rel=2e-3)


def test_direction_matters_for_a_joint_with_a_flat():
    """A joint softer one way than the other makes the stiffness depend on the direction."""
    matrix = beam_flexibility(120.0, EI)
    matrix[np.ix_([1, 5], [1, 5])] *= 4  # bending toward y
    stick = StickStiffness(STICK, EI, joints=(JointFlexibility(390.0, 510.0, matrix),))
    assert stick.at(450.0, 90.0) == pytest.approx(StickStiffness(STICK, EI).at(450.0), rel=1e-12)
    assert stick.at(300.0, 0.0) < 0.8 * stick.at(300.0, 90.0)
    assert stick.at(300.0, 0.0) < stick.at(300.0, 45.0) < stick.at(300.0, 90.0)


def test_displacements_are_reciprocal():
    """The displacement at x for a force at a is that at a for the same force at x."""
    matrix = beam_flexibility(100.0, EI / 3, GA / 2)
    stick = StickStiffness(STICK, EI, GA, (JointFlexibility(175.0, 275.0, matrix),))
    one = stick.flexibility(np.array([225.0]), 700.0)[0]
    other = stick.flexibility(np.array([700.0]), 225.0)[0]
    np.testing.assert_allclose(one, other.T, rtol=1e-12)


@pytest.mark.parametrize("x", [40.0, 225.0, 450.0, 700.0])
def test_shape_factor(x):
    """The mean square of the shape agrees with the closed form; 17/35 at mid-length."""
    ours = StickStiffness(STICK, EI).shape_factor(x)
    assert ours == pytest.approx(float(pinned_shape_factor(x, L)), rel=1e-12)
    if x == 450.0:
        assert ours == pytest.approx(17 / 35, rel=1e-12)


def test_beam_flexibility_carries_shear_and_twist():
    """Axial, twist and shear terms stand where they belong."""
    B = beam_flexibility(100.0, 1e6, GA=1e3, EA=1e4, GJ=1e5)
    np.testing.assert_allclose(np.diag(B)[[0, 3, 4]], [1e-2, 1e-3, 1e-4])
    assert B[1, 1] == pytest.approx(100**3 / 3e6 + 0.1)
    assert B[2, 4] == -B[1, 5]


def test_bad_joint_windows():
    """Windows that overlap, leave the stick or give energy back are refused."""
    B = beam_flexibility(120.0, EI)
    with pytest.raises(ValueError, match="overlap or leave"):
        StickStiffness(
            STICK, EI, joints=(JointFlexibility(100, 220, B), JointFlexibility(200, 320, B))
        )
    with pytest.raises(ValueError, match="overlap or leave"):
        StickStiffness(STICK, EI, joints=(JointFlexibility(-10, 110, B),))
    with pytest.raises(ValueError, match="x_low must lie below"):
        JointFlexibility(300, 200, B)
    with pytest.raises(ValueError, match="must be \\(6, 6\\)"):
        JointFlexibility(100, 220, np.eye(3))
    with pytest.raises(ValueError, match="not symmetric"):
        JointFlexibility(100, 220, np.triu(B))
    with pytest.raises(ValueError, match="not positive"):
        JointFlexibility(100, 220, -B)
    with pytest.raises(ValueError, match="joint flexibility is nan"):
        JointFlexibility(100, 220, B * math.nan)


def test_bad_shaft():
    """EI and GA must be above zero, and the push between the ends."""
    with pytest.raises(ValueError, match="EI of the shaft = 0"):
        StickStiffness(STICK, 0.0)
    with pytest.raises(ValueError, match="GA = -1"):
        StickStiffness(STICK, EI, -1.0)
    with pytest.raises(ValueError, match="station of the push = 900"):
        StickStiffness(STICK, EI).at(900.0)
    with pytest.raises(ValueError, match="station of the push"):
        StickStiffness(STICK, EI).shape_factor(0.0)


def test_joint_far_stiffer_than_the_shaft():
    """A window that would make the stick yield backwards is reported as a model error."""
    rigid = beam_flexibility(L, EI * 1e6)
    stick = StickStiffness(STICK, EI, joints=(JointFlexibility(0.0, L, rigid),))
    with pytest.raises(ModelError, match="far stiffer than the shaft"):
        stick.at(450.0)
