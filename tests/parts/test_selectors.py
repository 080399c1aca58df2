import numpy as np
import pytest

from orthofem.parts import FaceAt, InBox, NearCircle, NearPoint, NearTube, OnCylinder, OnPlane

RANDOM = np.random.default_rng(77120345)
POINTS = RANDOM.uniform(-5, 5, (3, 200))


def test_plane_and_its_box():
    """A plane holds the points on it, and only those inside the box where there is one."""
    on = POINTS - np.outer([0.6, 0, 0.8], np.array([0.6, 0, 0.8]) @ POINTS)
    assert OnPlane((0, 0, 0), (3, 0, 4)).holds(on, 1e-9).all()
    assert not OnPlane((0, 0, 0), (3, 0, 4)).holds(on + 1e-3, 1e-6).any()
    far = (np.inf, np.inf, np.inf)
    half = OnPlane((0, 0, 0), (3, 0, 4), within=InBox((0, -np.inf, -np.inf), far))
    assert (half.holds(on, 1e-9) == (on[0] >= -1e-9)).all()


def test_cylinder_of_any_axis():
    """Points at the radius round a skew axis lie on it, whatever their height."""
    axis = np.array([1.0, 2, 2]) / 3
    first = np.cross(axis, [1.0, 0, 0])
    first /= np.linalg.norm(first)
    second = np.cross(axis, first)
    turn, height = RANDOM.uniform(0, 6, 50), RANDOM.uniform(-9, 9, 50)
    on = np.outer(axis, height) + 2 * (
        np.outer(first, np.cos(turn)) + np.outer(second, np.sin(turn))
    )
    assert OnCylinder((0, 0, 0), (1, 2, 2), 2.0).holds(on, 1e-9).all()
    assert not OnCylinder((0, 0, 0), (1, 2, 2), 2.1).holds(on, 1e-3).any()
    assert OnCylinder((0, 0, 0), (1, 2, 2), 2.1, tol=0.2).holds(on, 1e-3).all()


def test_zones_measure_true_distances():
    """The distance from a zone is that from the nearest of many points sampled on it."""
    turn = np.linspace(0, 2 * np.pi, 2001)
    circle = np.stack([np.full_like(turn, 1.0), 3 * np.cos(turn), 3 * np.sin(turn)])

    def nearest(samples):
        return np.linalg.norm(POINTS[:, :, None] - samples[:, None], axis=0).min(axis=1)

    ring = NearCircle((1, 0, 0), (2, 0, 0), 3.0)
    assert ring.distance(POINTS) == pytest.approx(nearest(circle), abs=1e-4)
    inside = NearCircle((1, 0, 0), (2, 0, 0), 3.0, within=1.5).distance(POINTS)
    assert inside == pytest.approx(np.maximum(nearest(circle) - 1.5, 0), abs=1e-4)
    steps = np.linspace(0, 4, 81)
    tube = np.concatenate([circle[:, ::10] + np.array([[s], [0], [0]]) for s in steps], axis=1)
    skin = NearTube((1, 0, 0), (4, 0, 0), 3.0).distance(POINTS)
    assert skin == pytest.approx(nearest(tube), abs=0.03)
    assert NearPoint((1, 2, 3), 0.5).distance(np.array([[1.0], [2], [5]])) == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: InBox((0, 0, 0), (1, 0, 1)), r"is empty"),
        (lambda: InBox((0, 0, 0), (1, float("nan"), 1)), r"is empty"),
        (lambda: OnPlane((0, 0, 0), (0, 0, 0)), r"plane normal"),
        (lambda: OnCylinder((0, 0, 0), (0, 0, 1), -1.0), r"cylinder radius = -1"),
        (lambda: FaceAt((0, 0)), r"face point"),
        (lambda: NearCircle((0, 0, 0), (0, 0, 0), 1.0), r"circle axis"),
        (lambda: NearTube((0, 0, 0), (0, 0, 0), 1.0), r"tube axis"),
        (lambda: NearPoint((0, 0, float("inf"))), r"zone point"),
    ],
)
def test_impossible_selectors_are_refused(make, message):
    """Each error names the number."""
    with pytest.raises(ValueError, match=message):
        make()
