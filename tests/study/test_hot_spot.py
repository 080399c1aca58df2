"""A study reads its hot spots by the form it names."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.failure import HOT_SPOTS
from orthofem.mesh import mesh_part
from orthofem.parts import Shaft
from orthofem.solve import Model
from orthofem.study import HeldPart, Option, Print, Study, SurfaceLoad, evaluate, run
from orthofem.study.evaluate import ball_weights, stiffness_field
from orthofem.study.hot_spot import hot_spot_weights

BEND = SurfaceLoad("bend", "Bent", (0.0, 0.0, 0.0), (0.0, 0.0, 500.0))
HELD = HeldPart("lower_end", "upper_end", [BEND])
OPTION = Option("bar", Shaft(outer_diameter=12.0).part(60.0), {"shaft": Print("pla")})


@pytest.fixture(scope="module")
def meshed():
    """Return a mesh of a plain bar."""
    return mesh_part(OPTION.part, refinement=0.8)


def test_volume_form_is_the_ball_of_half_the_length(meshed):
    """The volume form has the very weights of the ball average of half its length."""
    space = Model(meshed.mesh, stiffness_field(OPTION, meshed)).space
    cells, nodes = space.cells("shaft"), np.arange(0, 60, 7)
    found, held = hot_spot_weights("volume", space, cells, nodes, 2.1)
    ball, inside = ball_weights(space, cells, nodes, 1.05)
    assert abs(found - ball).max() < 1e-12
    np.testing.assert_array_equal(held, inside)


def test_each_form_reads_a_bent_bar_at_its_own_depth(meshed):
    """Bent bar of radius R: point reads at depth L/2, line at L, and a bent bar breaks later so.

    The stress falls linearly to the axis, so the reserve is that of the skin over 1 - depth / R.
    """
    radius, length = 6.0, 1.2
    found = {
        form: evaluate(OPTION, meshed, HELD, radius=length / 2, hot_spot=form).worst[0].reserve
        for form in HOT_SPOTS
    }
    skin = 28.0 * np.pi * radius**3 / 4 / 500.0
    assert found["point"] == pytest.approx(skin / (1 - length / 2 / radius), rel=0.02)
    assert found["line"] == pytest.approx(skin / (1 - length / radius), rel=0.02)
    assert skin < found["volume"] < found["point"]


def test_a_study_hands_its_form_down():
    """The same study by point and by line form gives different reserves, in the right order."""
    study = Study("forms", [OPTION], HELD, refinements=(0.5,), radius=1.0)
    read = {form: run(replace(study, hot_spot=form)).rows[0].worst.reserve for form in HOT_SPOTS}
    assert read["volume"] < read["point"] < read["line"]
