"""Print frames: where the beads run at each point, and the stiffness that follows."""

import numpy as np
import pytest

from orthofem.materials import PrintFrame, load, stack_stiffness, stiffness_of, turned_layers
from orthofem.tensors import frame, rotate_stiffness, rotation, stiffness

POINTS = np.array([[1.0, 2.0, 3.0], [4.0, 0.0, -3.0], [0.0, 5.0, 2.0]])


def test_upright_beads_around_run_along_the_circumference():
    """In an upright round piece the bead is perpendicular to the radius and to the axis."""
    R = PrintFrame(beads="around").axes(POINTS)
    radius = POINTS * [[0], [1], [1]]
    assert R.shape == (3, 3, 3)
    np.testing.assert_allclose(np.einsum("ip,ip->p", R[:, 0], radius), 0, atol=1e-12)
    np.testing.assert_allclose(R[0, 0], 0, atol=1e-12)
    np.testing.assert_allclose(R[:, 2], [[1] * 3, [0] * 3, [0] * 3])


@pytest.mark.parametrize("build", [(1, 0, 0), (0, 0, 1), (1, 0, 1), (0.2, -1, 0.4)])
def test_beads_around_give_a_rotation_everywhere(build):
    """Print axes are orthonormal and right-handed at every point, on the axis too."""
    points = np.concatenate([POINTS, np.zeros((3, 1)), [[7.0], [0.0], [0.0]]], axis=1)
    points = np.concatenate([points, np.outer(build, [3.0])], axis=1)
    R = PrintFrame(build=build, beads="around").axes(points)
    identity = np.broadcast_to(np.eye(3)[..., None], R.shape)
    np.testing.assert_allclose(np.einsum("kip,kjp->ijp", R, R), identity, atol=1e-12)
    np.testing.assert_allclose(np.linalg.det(np.moveaxis(R, -1, 0)), 1.0)
    np.testing.assert_allclose(R[:, 2].T, np.tile(frame(build)[:, 2], (points.shape[1], 1)))


def test_beads_around_a_lying_piece_run_along_it():
    """The outline of a layer of a lying round piece runs along the piece."""
    R = PrintFrame(build=(0, 0, 1), beads="around").axes(POINTS)
    np.testing.assert_allclose(np.abs(R[0, 0]), 1.0)


def test_beads_around_a_tilted_piece_stay_in_layer_and_outline():
    """Tilted: the bead lies in the layer and is tangent to the round outline."""
    R = PrintFrame(build=(1, 0, 1), beads="around").axes(POINTS)
    radius = POINTS * [[0], [1], [1]]
    np.testing.assert_allclose(np.einsum("ip,ip->p", R[:, 0], radius), 0, atol=1e-12)
    np.testing.assert_allclose(R[0, 0] + R[2, 0], 0, atol=1e-12)


def test_winding_axis_may_be_moved():
    """Beads wind round the line through `centre`."""
    moved = PrintFrame(beads="around", centre=(0, 10, 0)).axes([[0.0], [15.0], [0.0]])
    np.testing.assert_allclose(np.abs(moved[:, 0, 0]), [0, 0, 1], atol=1e-12)


def test_stiffness_of_transverse_material_ignores_beads():
    """For a set alike in all directions of the layer, the bead direction changes nothing."""
    pla = load("pla")
    along = stiffness_of(pla, PrintFrame(build=(1, 2, 3)))
    around = stiffness_of(pla, PrintFrame(build=(1, 2, 3), beads="around"))
    np.testing.assert_array_equal(along, around)
    turned = rotate_stiffness(stiffness(pla.constants), frame((1, 2, 3), (5, -1, 0)))
    np.testing.assert_allclose(along, turned, rtol=1e-12, atol=1e-9)


def test_stiffness_of_isotropic_material_ignores_the_frame():
    """Steel is the same any way up."""
    steel = load("steel")
    C = stiffness_of(steel, PrintFrame(build=(1, 2, 3)))
    np.testing.assert_allclose(C, stiffness(steel.constants))


def test_stiffness_of_wound_material_turns_with_the_point():
    """Wound beads: a quarter turn of the point about the axis turns the stiffness with it."""
    pla = load("pla_ud_f")
    points = np.array([[0.0, 0.0], [5.0, 0.0], [0.0, 5.0]])
    C = stiffness_of(pla, PrintFrame(beads="around"), points)
    assert C.shape == (6, 6, 2)
    assert C[2, 2, 0] > 1.02 * C[1, 1, 0]  # the bead runs along z at y = 5
    np.testing.assert_allclose(
        rotate_stiffness(C[..., 0], rotation("x", 90)), C[..., 1], rtol=1e-12, atol=1e-9
    )


def test_alternating_layers_are_the_stack_of_both():
    """Alternating: in the layer x and y become alike; the stack's exact mean is used."""
    pla = load("pla_ud_f")
    C = stiffness_of(pla, PrintFrame(build=(0, 0, 1), bead=(1, 0, 0), beads="alternating"))
    both = stack_stiffness(turned_layers(stiffness(pla.constants), (0, 90)))
    np.testing.assert_allclose(C, both, rtol=1e-12, atol=1e-9)
    assert C[0, 0] == pytest.approx(C[1, 1])


def test_carbon_rod_is_stiff_along_its_bead():
    """The fibre of the rod runs along the bead of its frame."""
    C = stiffness_of(load("carbon_rod"), PrintFrame(build=(0, 0, 1), bead=(1, 0, 0)))
    assert C[0, 0] > 10 * C[1, 1]


def test_unknown_bead_layout():
    """A misspelt bead layout is answered with the choices."""
    with pytest.raises(ValueError, match="Did you mean 'around'.*alternating"):
        PrintFrame(beads="arround")


def test_bead_along_build():
    """A bead cannot run along the build direction."""
    with pytest.raises(ValueError, match="runs along the build direction"):
        PrintFrame(build=(1, 0, 0), bead=(2, 0, 0))


def test_axis_without_direction():
    """A winding axis of no length is refused."""
    with pytest.raises(ValueError, match="winding axis"):
        PrintFrame(axis=(0, 0, 0))


def test_centre_of_wrong_size():
    """The centre is a point."""
    with pytest.raises(ValueError, match="centre = .*three numbers"):
        PrintFrame(centre=(0, 0))


def test_around_needs_points():
    """Beads that run around need places, and the message says so."""
    with pytest.raises(ValueError, match="give points"):
        stiffness_of(load("pla_ud_f"), PrintFrame(beads="around"))
    with pytest.raises(ValueError, match=r"points have shape \(2, 3\)"):
        PrintFrame(beads="around").axes(np.zeros((2, 3)))
    with pytest.raises(ValueError, match="points is nan"):
        PrintFrame(beads="around").axes([[np.nan], [0], [0]])
