import numpy as np
import pytest

from orthofem.mesh.crossing import crossings


def slow_crossings(points, triangles):
    """The obvious twin: every edge of one against every other triangle, by linear solves."""
    found = set()
    count = triangles.shape[1]
    for i in range(count):
        for j in range(count):
            if i == j:
                continue
            a, b = points[:, triangles[:, i]], points[:, triangles[:, j]]
            for p, q in ((0, 1), (1, 2), (2, 0)):
                matrix = np.stack([a[:, q] - a[:, p], b[:, 0] - b[:, 1], b[:, 0] - b[:, 2]], axis=1)
                along, u, v = np.linalg.solve(matrix, b[:, 0] - a[:, p])
                if 0 <= along <= 1 and u >= 0 and v >= 0 and u + v <= 1:
                    found.add((min(i, j), max(i, j)))
    return sorted(found)


@pytest.mark.parametrize("seed", [310774, 902651, 118274])
@pytest.mark.parametrize("count", [2, 17, 60])
def test_same_pairs_as_the_slow_twin(seed, count):
    """Random triangles: exactly the pairs that the obvious search finds."""
    random = np.random.default_rng(seed)
    centre = np.repeat(random.uniform(0, 4, (3, count)), 3, axis=1)
    points = centre + random.uniform(-1, 1, (3, 3 * count))
    triangles = np.arange(3 * count).reshape(count, 3).T
    got = [tuple(pair) for pair in crossings(points, triangles).T.tolist()]
    assert got == slow_crossings(points, triangles)


def test_neighbours_do_not_cross():
    """Triangles that share corners or edges on a closed surface are not reported."""
    corner = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], float).T
    faces = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]]).T
    assert crossings(corner, faces).shape == (2, 0)


@pytest.mark.parametrize(
    ("third", "crossed"), [((0.5, 1.0, 0.0), True), ((0.5, -1.0, 0.0), False), ((0, 0, 1), False)]
)
def test_fold_on_a_shared_edge(third, crossed):
    """Two triangles with one edge overlap when they lie on the same side in one plane."""
    points = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0], third], float).T
    assert (crossings(points, np.array([[0, 0], [1, 1], [2, 3]])).shape[1] == 1) == crossed


@pytest.mark.parametrize(("shift", "crossed"), [(0.4, True), (2.0, False)])
def test_overlap_in_one_plane(shift, crossed):
    """Coplanar triangles overlap or lie apart."""
    one = np.array([[0, 1, 0], [0, 0, 1], [0, 0, 0]], float)
    points = np.hstack([one, one + np.array([[shift], [0.1], [0]])])
    pairs = crossings(points, np.array([[0, 3], [1, 4], [2, 5]]))
    assert (pairs.shape[1] == 1) == crossed


def test_corner_that_touches_a_face_counts():
    """A corner resting on another triangle's inside is a touch, and is reported."""
    points = np.array([[0, 0, 0], [4, 0, 0], [0, 4, 0], [1, 1, 0], [1, 2, 3], [2, 1, 3]], float).T
    assert crossings(points, np.array([[0, 3], [1, 4], [2, 5]])).tolist() == [[0], [1]]
