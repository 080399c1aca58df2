"""What the reduced model refuses, and small facts it rests on."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PT

from meshes import box
from orthofem.errors import ModelError
from orthofem.solve import Model
from orthofem.solve.reduced import ReducedSpace, Reference
from orthofem.tensors import frame, isotropic_mean, rotate_stiffness, stiffness

REGIONS = {"still": lambda c: c[0] < 1, "turning": lambda c: c[0] > 1}
MESH = box((0, 0, 0), (2, 1, 1), (2, 1, 1), regions=REGIONS)
PRINT = rotate_stiffness(stiffness(PT), frame((1, 2, 0)))


def reference(turning=("turning",), still=PRINT):
    """Small bar with one turning half."""
    return Reference(Model(MESH, {"still": still, "turning": PRINT}), turning, "x1", "x0")


def test_an_unknown_turning_region_lists_the_choices():
    """A region that is not there cannot turn."""
    with pytest.raises(ValueError, match="Unknown turning region 'turn'. Did you mean 'turning'"):
        reference(("turn",))


def test_a_stiffness_that_differs_from_place_to_place_cannot_turn():
    """Wound beads have no single stiffness."""
    with pytest.raises(ValueError, match="differs from place to place"):
        reference(
            ("still",),
            lambda points: np.broadcast_to(PRINT[:, :, None, None], (6, 6, *points.shape[1:])),
        )


def test_an_empty_space_does_not_answer():
    """Nothing can be said before one full answer."""
    with pytest.raises(ModelError, match="is empty"):
        ReducedSpace.empty(reference()).respond({"turning": PRINT})


def test_every_turning_region_needs_a_stiffness():
    """A stiffness too few or too many is refused by name."""
    with pytest.raises(ValueError, match="differs in still"):
        reference().turned({"turning": PRINT, "still": PRINT})


def test_the_full_solve_says_when_it_does_not_settle():
    """Running out of steps is an error, never a result."""
    made = reference()
    with pytest.raises(ModelError, match="did not settle in 1 steps"):
        made.solve(made.turned({"turning": PRINT}), limit=1)


def test_the_preconditioned_solve_takes_few_steps():
    """The bounds of the mean foretell the steps: ten bring seven digits."""
    made = reference()
    model = made.turned({"turning": PRINT})
    answer = made.solve(model, tolerance=1e-7, limit=10)
    residual = made.forces - model.matrix @ answer
    residual[made.held] = 0.0
    assert np.abs(residual).max() < 1e-5 * np.abs(made.forces).max()


def test_what_is_known_adds_nothing():
    """An answer that the space holds already leaves it as it is."""
    made = reference()
    answer = made.solve(made.turned({"turning": PRINT}))
    space = ReducedSpace.empty(made).enriched(answer)
    assert space.enriched(answer @ np.ones((6, 2))).size == space.size


def test_random_functionals_measure_the_norm_of_a_residual():
    """The mean square of many functionals is the square of the residual's norm, within 10 %."""
    made = reference()
    functionals = made.random_functionals(2000, 31_337_201)
    residual = made.forces[:, :1].copy()
    residual[made.held] = 0.0
    truth = float((residual * made.riesz(residual)).sum())
    assert float(((functionals.T @ residual) ** 2).mean()) == pytest.approx(truth, rel=0.1)


def test_a_model_with_another_stiffness_shares_its_mesh_and_pattern():
    """Only the stiffness is made anew, and it is checked like the first one."""
    model = Model(MESH, {"still": PRINT, "turning": PRINT})
    mean = isotropic_mean(PRINT)
    other = model.with_stiffness({"still": PRINT, "turning": mean})
    assert other.pattern is model.pattern
    assert other.space is model.space
    fresh = Model(MESH, {"still": PRINT, "turning": mean})
    assert abs(other.matrix - fresh.matrix).max() < 1e-9 * abs(fresh.matrix).max()
    with pytest.raises(ModelError, match="not positive definite"):
        model.with_stiffness({"still": PRINT, "turning": -mean})
