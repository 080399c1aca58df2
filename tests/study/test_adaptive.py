"""Refinement where the reserve factor gets its error from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.mesh import mesh_part
from orthofem.parts.coupons.notched_bar import ShoulderBar
from orthofem.study import HeldPart, Option, Print, Study, SurfaceLoad, evaluate, run, steps
from orthofem.study.batch.case import case_of, solve_case
from orthofem.study.batch.stored import stored_answers, stored_reached
from orthofem.study.refinement.goal import goal_errors, hot_places
from orthofem.study.refinement.levels import Level, global_estimates, local_estimates
from orthofem.study.row import rows_of

BEND = SurfaceLoad("bend", "Bent", (0.0, 0.0, 0.0), (0.0, 0.0, -500.0))
HELD = HeldPart("lower_end", "upper_end", [BEND])
COUPON = replace(ShoulderBar().part(), refine=())  # nobody says where it must be fine
OPTION = Option("shoulder", COUPON, {"bar": Print("pla")})
STUDY = Study("notched coupon", [OPTION], HELD, refinements=(0.6,), uncertainty=0.02)


@pytest.mark.slow
def test_it_takes_fewer_unknowns_than_refining_everywhere():
    """Two percent on a notched coupon: adaptive with less than half of the unknowns of uniform.

    Both read the same limit within what they leave open.
    """
    result = run(STUDY)
    (row,), found = result.rows, result.reached["shoulder"]
    print(found.sentence, found.unknowns, row.worst.reserve, row.extrapolated)
    assert found.reached
    assert row.uncertainty <= 0.02
    uniform = []
    for level in (0.6, 0.9, 1.35, 2.0):
        uniform.append(evaluate(OPTION, mesh_part(COUPON, refinement=level), HELD))
        if len(uniform) > 1 and rows_of("", uniform)[0].uncertainty <= 0.02:
            break
    (other,) = rows_of("", uniform)
    unknowns = uniform[-1].part_mesh.report.n_unknowns
    print(f"uniform: {unknowns} unknowns, {other.worst.reserve}, sure to {other.uncertainty:.3f}")
    assert other.uncertainty <= 0.02
    assert found.unknowns[-1] < 0.5 * unknowns
    assert row.tied_with(other)


@pytest.fixture(scope="module")
def coarse():
    """Return the coupon's answer on its coarsest mesh."""
    return evaluate(OPTION, mesh_part(COUPON, refinement=0.6), HELD)


def test_the_goal_looks_at_the_hot_spot(coarse):
    """Half of the estimated error sits within a few radii of the hot spots, in few cells."""
    (goal,) = goal_errors(coarse)
    mesh = coarse.model.mesh
    middle = mesh.p[:, mesh.t].mean(axis=1)
    away = np.linalg.norm(middle - goal.places[:, :1], axis=0)
    share = goal.shares[0]
    assert share[away < 5.0].sum() > 0.5 * share.sum()
    assert (away < 5.0).sum() < 0.3 * away.size
    assert goal.size == pytest.approx(goal.shares.sum(axis=1).max())
    np.testing.assert_allclose(hot_places(coarse, coarse.worst[0])[:, 0], coarse.worst[0].place)


def test_a_limit_ends_it_and_is_told():
    """With no room for a second mesh nothing is promised: not reached, and why."""
    result = run(replace(STUDY, limit_unknowns=7000))
    found = result.reached["shoulder"]
    assert not found.reached
    assert len(found.unknowns) == 1
    assert "NOT reached" in found.sentence
    assert "7,000 are allowed" in found.sentence
    assert not result.rows[0].uncertainty <= 0.02


def test_a_stored_case_tells_the_same(coarse):
    """A case of a batch refines as the study does, and its stored form keeps the estimates."""
    study = replace(STUDY, uncertainty=0.5)
    expected = run(study)
    kept = solve_case(case_of(study, OPTION))
    answers = stored_answers(kept, HELD)
    (row,), (wanted,) = rows_of("shoulder", answers), expected.rows
    assert row.uncertainty == pytest.approx(wanted.uncertainty, rel=1e-6)
    assert row.extrapolated == pytest.approx(wanted.extrapolated, rel=1e-6)
    assert stored_reached(kept).unknowns == expected.reached["shoulder"].unknowns
    assert stored_reached(solve_case(case_of(replace(study, uncertainty=None), OPTION))) is None


def test_progress_stays_within_what_was_announced():
    """No more progress lines than the study announces."""
    told = []
    run(replace(STUDY, limit_unknowns=7000), told.append)
    assert 0 < len(told) <= steps(STUDY)


def level(finer, reserve, error):
    """Return one mesh of a row with one load case."""
    return Level(finer, np.array([reserve]), np.array([error]))


def test_hot_spots_and_far_field_are_told_apart():
    """Local estimates compare meshes of one far field, global ones the pair that changed it."""
    row = [level(1.0, 2.0, 0.16), level(1.0, 2.1, 0.04), level(2.0, 2.2, 0.04)]
    (local,), (whole,) = local_estimates(row), global_estimates(row)
    assert local.uncertainty == pytest.approx(0.1 / 2.1)
    assert whole.uncertainty == pytest.approx(0.1 / 2.2)
    assert np.isnan(global_estimates(row[:2])[0].uncertainty)


def test_meshes_whose_error_has_not_halved_prove_nothing():
    """A second mesh hardly better than the first leaves the uncertainty open."""
    (found,) = local_estimates([level(1.0, 2.0, 0.16), level(1.0, 2.0, 0.1)])
    assert np.isnan(found.uncertainty)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"uncertainty": 0.0}, "uncertainty = 0; it must lie between 0.005 and 1"),
        ({"uncertainty": float("nan")}, "uncertainty is nan"),
        ({"limit_unknowns": 0}, "limit of unknowns = 0"),
        ({"hot_spot": "ball"}, "Unknown hot spot form 'ball'.*line, point, volume"),
    ],
)
def test_wishes_that_make_no_sense_are_refused(change, message):
    """Each bad wish gets its own message."""
    with pytest.raises(ValueError, match=message):
        replace(STUDY, **change)
