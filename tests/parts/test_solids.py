import numpy as np
import pytest

from orthofem.parts import (
    Box,
    Common,
    Cut,
    Cylinder,
    Extruded,
    Fused,
    HalfSpace,
    Imported,
    Pen,
    Revolved,
    polygon,
)

CONE = Revolved(polygon([(0, 0), (0, 3), (4, 0)]))


def test_closed_form_volumes():
    """Cone, box, bar and prism have their textbook volumes."""
    assert CONE.volume == pytest.approx(np.pi * 9 * 4 / 3)
    assert Box((1, 1, 1), (2, 3, 4)).volume == pytest.approx(24)
    assert Cylinder((0, 0, 0), (0, 3, 4), 2.0).volume == pytest.approx(np.pi * 4 * 5)
    assert Extruded(polygon([(0, 0), (3, 0), (0, 4)]), (1, 0, 5)).volume == pytest.approx(30)
    assert Cut(CONE, CONE).volume is None
    assert Common(CONE, CONE).volume is None
    assert Fused((CONE, CONE)).volume is None
    assert HalfSpace((0, 0, 0), (1, 0, 0)).volume is None
    assert Imported("part.step").volume is None


@pytest.mark.parametrize("seed", [918273, 564738])
def test_support_is_the_farthest_point(seed):
    """No point of a solid lies beyond its support in any direction, and one reaches it."""
    random = np.random.default_rng(seed)
    turn = random.uniform(0, 2 * np.pi, 4000)
    for _ in range(5):
        direction = random.normal(size=3)
        direction /= np.linalg.norm(direction)
        rim = np.stack([np.zeros_like(turn), 3 * np.cos(turn), 3 * np.sin(turn)])
        tip = np.array([[4.0], [0], [0]])
        reach = max((direction @ rim).max(), (direction @ tip).max())
        assert CONE.support(direction) == pytest.approx(reach, abs=1e-4)
        ends = np.hstack([rim, rim + np.array([[7.0], [0], [0]])])
        bar = Cylinder((0, 0, 0), (7, 0, 0), 3.0)
        assert bar.support(direction) == pytest.approx((direction @ ends).max(), abs=1e-4)
        corners = np.array(np.meshgrid([1, 3], [2, 5], [0, 4])).reshape(3, -1)
        block = Box((1, 2, 0), (2, 3, 4))
        assert block.support(direction) == pytest.approx((direction @ corners).max())
        foot = np.array([[0, 3, 0], [0, 0, 4], [1, 1, 1]], float)
        prism = np.hstack([foot, foot + np.array([[1.0], [0], [5]])])
        drawn = Extruded(polygon([(0, 0), (3, 0), (0, 4)]), (1, 0, 5), base=1.0)
        assert drawn.support(direction) == pytest.approx((direction @ prism).max())


def test_support_of_a_flat_is_the_flat():
    """Planing a flat moves the lowest point to the flat, and leaves the far side."""
    planed = Cut(Cylinder((0, 0, 0), (7, 0, 0), 3.0), HalfSpace((0, 2, 0), (0, 5, 0)))
    assert planed.support(np.array([0.0, 1, 0])) == pytest.approx(2)
    assert planed.support(np.array([0.0, -1, 0])) == pytest.approx(3)
    assert planed.support(np.array([1.0, 0, 0])) is None
    assert Common(CONE, CONE).support(np.array([1.0, 0, 0])) is None
    assert Fused((CONE, Common(CONE, CONE))).support(np.array([1.0, 0, 0])) is None
    assert Fused((CONE, Box((5, 0, 0), (1, 1, 1)))).support(np.array([1.0, 0, 0])) == 6
    assert HalfSpace((0, 0, 0), (1, 0, 0)).support(np.array([1.0, 0, 0])) == np.inf
    assert Imported("a.stp").support(np.array([1.0, 0, 0])) is None


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Box((0, 0, 0), (1, -2, 3)), r"box size along y = -2 mm"),
        (lambda: Box((0, 0, 0), (1, float("nan"), 3)), r"box size is nan"),
        (lambda: Box((0, 0), (1, 2, 3)), r"box corner is \(0, 0\); it must be three numbers"),
        (lambda: Cylinder((0, 0, 0), (0, 0, 0), 1.0), r"cylinder axis.*must have a direction"),
        (lambda: Cylinder((0, 0, 0), (1, 0, 0), 0.0), r"cylinder radius = 0 mm"),
        (lambda: Extruded(Pen(0, 0).line(1, 0).line(0, 1).close(), (1, 0, 0)), r"own plane"),
        (lambda: Fused(()), r"no solids"),
        (lambda: Imported("a.step", unit="furlong"), r"Unknown unit 'furlong'.*cm, inch, m, mm"),
        (lambda: Imported("a.step", scale=-1.0), r"scale = -1"),
    ],
)
def test_impossible_solids_are_refused(make, message):
    """Each error names the number and what is allowed."""
    with pytest.raises(ValueError, match=message):
        make()
