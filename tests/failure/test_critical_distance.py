"""Point, line and volume forms of the theory of critical distances as rows of weights."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.failure import HOT_SPOTS, RegionField, critical_length, line_value, point_value
from orthofem.failure.critical_distance import BALL
from orthofem.failure.least_squares import fitted


def half_space(thickness=2.0, step=0.05):
    """Grid below the plane y = 0 down to a thickness, with that plane and its far side."""
    across = np.arange(-1.5, 1.5 + 1e-9, step)
    down = -np.arange(step / 2, thickness, step)
    points = np.stack(np.meshgrid(across, down, across)).reshape(3, -1)
    flat = np.arange(-1.5, 1.6, 0.25)
    sides = [np.stack(np.meshgrid(flat, [y], flat)).reshape(3, -1) for y in (0.0, -thickness)]
    inward = np.zeros((3, 2 * sides[0].shape[1]))
    inward[1] = np.repeat([-1.0, 1.0], sides[0].shape[1])
    return RegionField(points, np.full(points.shape[1], step**3), np.hstack(sides), inward)


PLACES = np.array([[0.0, 0.2], [0.0, 0.0], [0.0, 0.1]])


@pytest.mark.parametrize("form", HOT_SPOTS)
def test_a_constant_stress_is_read_as_it_is(form):
    """Rows of every form sum to one, and every place is told how many samples it has."""
    weights, held = HOT_SPOTS[form](half_space(), PLACES, 0.8)
    np.testing.assert_allclose(weights.sum(axis=1), 1.0, rtol=1e-12)
    assert (held > 50).all()


@pytest.mark.parametrize(("form", "depth"), [("point", 0.4), ("line", 0.8), ("volume", 0.15)])
def test_a_linear_stress_is_read_at_the_middle_of_the_form(form, depth):
    """Depth L/2 for the point, L for the line, 3/8 of L/2 for the half ball at a flat surface."""
    field = half_space()
    weights, _ = HOT_SPOTS[form](field, PLACES, 0.8)
    read = weights @ field.points.T
    exact = PLACES.T - [0.0, depth, 0.0]
    np.testing.assert_allclose(read, exact, atol=0.003 if form == "volume" else 1e-9)


@pytest.mark.parametrize(("form", "depth"), [("point", 0.3), ("line", 0.15)])
def test_a_wall_thinner_than_the_form_ends_it(form, depth):
    """In a wall of 0.3 mm a material length of 0.8 mm reads no further than the wall goes."""
    field = half_space(thickness=0.3, step=0.025)
    weights, _ = HOT_SPOTS[form](field, PLACES, 0.8)
    read = -(weights @ field.points[1])
    assert (read <= 0.3 + 0.025).all()
    np.testing.assert_allclose(read, depth, atol=0.09)


def test_fit_is_exact_for_linear_fields_at_scattered_points():
    """A linear field is read exactly at places inside a random cloud."""
    draw = np.random.default_rng(40621)
    points, places = draw.uniform(0, 1, (3, 500)), draw.uniform(0.2, 0.8, (3, 40))
    weights = fitted(points, draw.uniform(0.5, 1.5, 500), places)
    np.testing.assert_allclose(weights @ points.T, places.T, atol=1e-10)


def test_fit_is_second_order():
    """Halving the spacing of the samples leaves a quarter of the error of a curved field."""

    def error(step):
        points = np.stack(np.meshgrid(*[np.arange(0, 1 + step, step)] * 3)).reshape(3, -1)
        places = np.random.default_rng(7).uniform(0.3, 0.7, (3, 200))
        weights = fitted(points, np.ones(points.shape[1]), places)
        return np.abs(weights @ np.sin(3 * points[0]) - np.sin(3 * places[0])).max()

    assert error(0.04) < 0.35 * error(0.08)


def test_ball_round_a_crack_front_is_on_the_careful_side():
    """At the toughness the mean of the opening stress over the ball is 1.098 times the strength."""
    length = 1.0
    t = np.linspace(-BALL, BALL, 61)
    points = np.stack(np.meshgrid(t, t, t)).reshape(3, -1)
    points = points[:, np.linalg.norm(points, axis=0) <= BALL] + 1e-9
    r, angle = np.hypot(*points[:2]), np.arctan2(points[1], points[0])
    opening = np.cos(angle / 2) * (1 + np.sin(angle / 2) * np.sin(1.5 * angle))
    stress = np.sqrt(np.pi * length) / np.sqrt(2 * np.pi * np.maximum(r, 0.02)) * opening
    assert stress.mean() == pytest.approx(1.0984, rel=0.015)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: critical_length(0.0, 60.0), "toughness = 0"),
        (lambda: critical_length(90.0, -1.0), "strength = -1 MPa"),
        (lambda: point_value(np.sqrt, 0.0), "material length = 0 mm"),
        (lambda: line_value(np.sqrt, float("nan")), "material length is nan"),
        (lambda: HOT_SPOTS["line"](half_space(), PLACES[0], 1.0), r"places has shape \(2,\)"),
        (lambda: HOT_SPOTS["volume"](half_space(), PLACES, -1.0), "material length = -1"),
        (
            lambda: RegionField(np.zeros((3, 4)), np.ones(3), PLACES, PLACES),
            r"volumes has shape \(3,\); it must be \(4,\)",
        ),
        (
            lambda: RegionField(np.zeros((3, 4)), np.ones(4), PLACES[:, :0], PLACES[:, :0]),
            "no surface points",
        ),
    ],
)
def test_what_makes_no_sense_is_refused(make, message):
    """Each bad number or shape has its own message."""
    with pytest.raises(ValueError, match=message):
        make()
