"""Rotations, frames and what they do to stress and stiffness."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.tensors import (
    ElasticConstants,
    compliance,
    frame,
    rotate_compliance,
    rotate_stiffness,
    rotation,
    stiffness,
    strain_bond,
    stress_bond,
    stress_components,
    stress_tensor,
    to_print_axes,
)

PO = ElasticConstants(3400, 2900, 2500, 0.36, 0.34, 0.33, 1150, 1000, 900)


def some_rotations(number=12, seed=40813):
    """Rotations about random axes, shape (3, 3, number)."""
    draw = np.random.default_rng(seed)
    return np.stack(
        [rotation(draw.normal(size=3), draw.uniform(-180, 180)) for _ in range(number)], axis=-1
    )


def test_rotation_is_right_handed_and_proper():
    """Turning about an axis keeps it, keeps lengths, and turns by the right hand."""
    R = rotation((1, -2, 0.5), 70)
    np.testing.assert_allclose(R @ [1, -2, 0.5], [1, -2, 0.5])
    np.testing.assert_allclose(R @ R.T, np.eye(3), atol=1e-14)
    np.testing.assert_allclose(np.linalg.det(R), 1.0)
    np.testing.assert_allclose(rotation("x", 90) @ [0, 1, 0], [0, 0, 1], atol=1e-15)
    np.testing.assert_allclose(rotation("y", 90) @ [0, 0, 1], [1, 0, 0], atol=1e-15)


def test_letters_are_the_axes():
    """A letter and its vector turn alike."""
    for letter, vector in zip("xyz", np.eye(3), strict=True):
        np.testing.assert_array_equal(rotation(letter, 33), rotation(vector, 33))


@pytest.mark.parametrize(
    ("axis", "message"),
    [
        ("w", "Unknown axis 'w'. Choose one of: x, y, z"),
        ((0, 0, 0), "has no direction"),
        ((1, 0), r"has shape \(2,\)"),
        ((1, 0, np.nan), r"is nan at index \(2,\)"),
    ],
)
def test_bad_axis_is_refused(axis, message):
    """An axis that is none is refused."""
    with pytest.raises(ValueError, match=message):
        rotation(axis, 10)


def test_angle_that_is_not_finite_is_refused():
    """A NaN angle is refused."""
    with pytest.raises(ValueError, match="degrees is nan"):
        rotation("x", np.nan)


@pytest.mark.parametrize("build", [(1, 0, 0), (0, -2, 0), (0, 0, 1), (1, 2, -3)])
@pytest.mark.parametrize("bead", [None, (0.3, 1, 0.2)])
def test_frame_is_right_handed_with_build_third(build, bead):
    """The third axis is the build direction, and the three are a right-handed frame."""
    R = frame(build, bead)
    np.testing.assert_allclose(R.T @ R, np.eye(3), atol=1e-14)
    np.testing.assert_allclose(np.linalg.det(R), 1.0)
    np.testing.assert_allclose(R[:, 2], np.array(build) / np.linalg.norm(build))


def test_bead_is_laid_into_the_layer():
    """A bead given at an angle to the layer keeps its direction within the layer."""
    R = frame(build=(0, 0, 1), bead=(3, 4, 5))
    np.testing.assert_allclose(R[:, 0], [0.6, 0.8, 0])


def test_bead_along_build_is_refused():
    """A bead along the build direction is refused with both directions."""
    with pytest.raises(ValueError, match=r"bead direction \[0.0, 0.0, 1.0\] runs along the build"):
        frame(build=(0, 0, 2), bead=(0, 0, 5))


def test_direction_without_length_is_refused():
    """A build direction without length is refused."""
    with pytest.raises(ValueError, match="build direction = .* has no direction"):
        frame(build=(0, 0, 0))


def test_bond_matrix_is_the_tensor_rule():
    """M turns components as R s R^T turns tensors, point by point."""
    R, stress = some_rotations(), np.random.default_rng(11273).normal(size=(6, 12))
    M = stress_bond(R)
    for n in range(12):
        tensor = R[:, :, n] @ stress_tensor(stress[:, n]) @ R[:, :, n].T
        np.testing.assert_allclose(M[:, :, n] @ stress[:, n], stress_components(tensor))


def test_strain_bond_keeps_the_work():
    """Stress times strain is the same in both frames."""
    R, draw = some_rotations(), np.random.default_rng(60289)
    stress, strain = draw.normal(size=6), draw.normal(size=6)
    turned = np.einsum("ijn,j,ikn,k->n", stress_bond(R), stress, strain_bond(R), strain)
    np.testing.assert_allclose(turned, stress @ strain)


def test_stiffness_and_compliance_turn_together():
    """The turned compliance is the inverse of the turned stiffness."""
    R = rotation((1, 1, 0.3), 51)
    C, S = rotate_stiffness(stiffness(PO), R), rotate_compliance(compliance(PO), R)
    np.testing.assert_allclose(C @ S, np.eye(6), atol=1e-12)


@pytest.mark.parametrize("turn", [rotate_stiffness, rotate_compliance])
def test_many_frames_agree_with_one_at_a_time(turn):
    """A field of frames gives at each point what that frame gives alone."""
    R, C = some_rotations(), stiffness(PO)
    field = turn(C, R.reshape(3, 3, 4, 3))
    assert field.shape == (6, 6, 4, 3)
    np.testing.assert_allclose(field[:, :, 2, 1], turn(C, R[:, :, 7]))
    np.testing.assert_allclose(turn(field, R.reshape(3, 3, 4, 3).swapaxes(0, 1))[..., 3, 2], C,
                               atol=1e-9)  # fmt: skip


def test_print_axes_undo_the_bond_matrix():
    """Stress in print axes, turned to part axes, comes back."""
    R, stress = some_rotations(), np.random.default_rng(3719).normal(size=(6, 12, 5))
    part = np.einsum("ijn,jnl->inl", stress_bond(R), stress)
    np.testing.assert_allclose(to_print_axes(part, R), stress)


def test_one_frame_serves_all_points():
    """A single frame and the same frame at every point agree."""
    R, stress = rotation((1, 2, 3), 77), np.random.default_rng(5477).normal(size=(6, 4, 3, 2))
    field = np.broadcast_to(R[:, :, None, None], (3, 3, 4, 3))
    once = to_print_axes(stress, R)
    assert once.shape == stress.shape
    np.testing.assert_allclose(to_print_axes(stress, field), once)


def test_frames_at_other_points_are_refused():
    """Frames that do not go with the points of the stress are refused."""
    with pytest.raises(ValueError, match=r"R has points \(12,\) but stress has points \(5,\)"):
        to_print_axes(np.zeros((6, 5)), some_rotations())


def test_wrong_shapes_are_refused():
    """A frame or stiffness of another size is refused."""
    with pytest.raises(ValueError, match=r"R has shape \(2, 2\); it must be \(3, 3\)"):
        stress_bond(np.eye(2))
    with pytest.raises(ValueError, match=r"stiffness has shape \(3, 3\); it must be \(6, 6\)"):
        rotate_stiffness(np.eye(3), np.eye(3))
