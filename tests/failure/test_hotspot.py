"""Averaging over a ball within one region."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.failure import averaged, averaging, check_resolution


def cloud(number=3000, seed=84017, size=4.0):
    """Random points in a cube, with volumes and two regions parted at half height."""
    draw = np.random.default_rng(seed)
    points = draw.uniform(0, size, (3, number))
    return points, draw.uniform(0.5, 1.5, number), (points[2] > size / 2).astype(int)


def test_weights_agree_with_a_plain_loop():
    """The sparse weights are those of a loop over all points."""
    points, volumes, groups = cloud(400)
    weights, counts = averaging(points, volumes, groups, radius=0.9)
    for i in range(400):
        near = np.linalg.norm(points - points[:, [i]], axis=0) <= 0.9
        inside = near & (groups == groups[i])
        np.testing.assert_allclose(
            weights[[i]].toarray()[0], np.where(inside, volumes, 0) / volumes[inside].sum()
        )
        assert counts[i] == inside.sum()


def test_rows_sum_to_one():
    """A constant stress is its own average."""
    weights, _ = averaging(*cloud(), radius=0.6)
    np.testing.assert_allclose(weights.sum(axis=1), 1.0, rtol=1e-12)


def test_balls_stay_in_their_region():
    """A stress that jumps between regions is not smeared across the border."""
    points, volumes, groups = cloud()
    weights, _ = averaging(points, volumes, groups, radius=1.0)
    np.testing.assert_allclose(weights @ (groups * 7.0), groups * 7.0, atol=1e-12)


def test_linear_field_at_the_middle_of_a_full_ball():
    """A ball round the middle of a fine regular grid gives the value there for a linear field."""
    axis = np.linspace(-2, 2, 41)
    points = np.array(np.meshgrid(axis, axis, axis)).reshape(3, -1)
    ones, zeros = np.ones(points.shape[1]), np.zeros(points.shape[1], int)
    weights, counts = averaging(points, ones, zeros, 1.003, centres=np.zeros((3, 1)))
    field = 3.0 + 2.0 * points[0] - points[2]
    np.testing.assert_allclose(weights @ field, [3.0], rtol=1e-12)
    np.testing.assert_allclose(counts[0] * 0.1**3, 4 / 3 * np.pi, rtol=0.02)
    np.testing.assert_allclose(weights @ points[0] ** 2, 1 / 5, rtol=0.02)  # mean of x² in a ball


def test_centres_by_number_and_by_place_agree():
    """Points given by number and by place have the same balls."""
    points, volumes, groups = cloud(800)
    some = np.array([5, 700, 41])
    by_number, _ = averaging(points, volumes, groups, 0.8, centres=some)
    by_place, _ = averaging(points, volumes, groups, 0.8, centres=points[:, some])
    np.testing.assert_allclose(by_number.toarray(), by_place.toarray())


def test_border_node_can_be_asked_for_each_region():
    """One place on a border has a ball in each region that it is asked for."""
    points, volumes, groups = cloud(3000)
    places = np.full((3, 2), 2.0)
    weights, _ = averaging(points, volumes, groups, 0.8, places, centre_groups=[0, 1])
    np.testing.assert_allclose(weights @ (groups * 1.0), [0.0, 1.0], atol=1e-12)


def test_empty_ball_takes_the_nearest_point_and_counts_none():
    """A ball without a point takes the nearest of its region, and is told by its count."""
    points = np.array([[0.0, 5.0], [0, 0], [0, 0]])
    weights, counts = averaging(points, [1, 1], [0, 0], 0.5, centres=np.array([[1.0], [0], [0]]))
    np.testing.assert_allclose(weights.toarray(), [[1.0, 0.0]])
    assert counts[0] == 0


def test_average_of_stress_with_loads():
    """All components and loads are averaged with the same weights."""
    points, volumes, groups = cloud(300)
    weights, _ = averaging(points, volumes, groups, 1.0, centres=np.arange(7))
    stress = np.random.default_rng(70901).normal(size=(6, 300, 2, 3))
    ours = averaged(weights, stress)
    assert ours.shape == (6, 7, 2, 3)
    np.testing.assert_allclose(ours[4, :, 1, 2], weights @ stress[4, :, 1, 2])


def test_average_refuses_a_stress_at_other_points():
    """A stress with another number of points is refused."""
    weights, _ = averaging(*cloud(300), 1.0, centres=np.arange(7))
    with pytest.raises(ValueError, match="weights are for 300 points"):
        averaged(weights, np.zeros((6, 299)))


def test_resolution_is_checked():
    """Balls with too few points are refused, with how many and what to do."""
    check_resolution([10, 11], radius=1.0)
    with pytest.raises(ModelError, match=r"1 of 3 balls of radius 1.5 mm.*emptiest 4.*refine"):
        check_resolution([10, 4, 30], radius=1.5)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"radius": 0.0}, "radius = 0 mm; it must be above zero"),
        ({"radius": np.nan}, "radius is nan"),
        ({"volumes": np.ones(299)}, r"volumes \(299,\) and groups \(300,\) do not fit"),
        ({"volumes": -np.ones(300)}, "smallest volume is -1"),
        ({"points": np.full((3, 300), np.nan)}, "points is nan"),
        ({"centres": np.zeros(4)}, r"centres has shape \(4,\) and type float64"),
        ({"centres": np.zeros((3, 4)), "centre_groups": [0, 0]}, "there are 4 centres"),
    ],
)
def test_bad_input_is_refused(change, message):
    """What does not fit is refused with what was given."""
    points, volumes, groups = cloud(300)
    given = {"points": points, "volumes": volumes, "groups": groups, "radius": 1.0} | change
    with pytest.raises(ValueError, match=message):
        averaging(**given)


def test_region_without_points_is_refused():
    """A centre in a region that has no points is refused, with the regions that have."""
    with pytest.raises(ModelError, match=r"Region 9 has no points.*\[0, 1\]"):
        averaging(*cloud(300), 1.0, np.zeros((3, 1)), centre_groups=[9])


def test_balls_too_large_in_all_are_refused(monkeypatch):
    """Balls that would fill the memory are refused with the remedy."""
    monkeypatch.setattr("orthofem.failure.hotspot._LARGEST", 1000)
    with pytest.raises(ModelError, match="more than 1,000 of the 3,000 points.*smaller radius"):
        averaging(*cloud(), radius=3.0)
