"""The marsh-walk stick's own joints in contact under a kick: every direction, every joint."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from orthofem.mesh import mesh_part
from orthofem.solve import Model
from orthofem.solve.contact.settle import STEPS
from orthofem.study.contact.apart import apart
from orthofem.study.reading import Reader, densities, stiffness_field

SCRIPT = Path(__file__).parent.parent.parent / "studies" / "joint_contact.py"
CASE = "side_kick"


def _study():
    spec = importlib.util.spec_from_file_location(SCRIPT.stem, SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.study()


STUDY = _study()
TOUCHING = {option.name: option for option in STUDY.options if option.interfaces}


def test_the_demo_has_each_kind_of_stud():
    """Printed on, loose upright and loose lying are judged in contact; what is glued is not."""
    assert {"stud printed on, upright", "loose stud, upright", "loose stud, lying"} <= set(TOUCHING)
    assert not any("glued" in name for name in TOUCHING)


@pytest.mark.slow
@pytest.mark.parametrize("name", TOUCHING)
def test_the_kick_settles_with_no_point_changing(name):
    """All directions at all joints end: a point presses or is open, never both, never neither."""
    option = TOUCHING[name]
    part_mesh = mesh_part(option.part, refinement=0.5)
    bonded = STUDY.setting.respond(Model(part_mesh.mesh, stiffness_field(option, part_mesh)))
    density = densities(option, part_mesh)
    loadings = STUDY.setting.loadings(bonded, density)
    kick = next(loading for loading in loadings if loading.name == CASE).resultants
    found = apart(Reader(option, part_mesh), STUDY.setting).solve(kick)
    assert len(found.steps) == kick.shape[1] >= 6
    assert 0 < max(found.steps) < STEPS
    assert found.solution.residual < 1e-6
    moved = np.abs(found.solution.displacement).max()
    for zone in found.zones.values():
        assert (zone.pressure >= 0).all()
        assert (zone.opening >= -1e-6 * moved).all()
        assert not (zone.pressure * zone.opening).any()
        assert zone.overlap < 1e-4
    # what crosses the interface is the kick itself: nothing is lost on the way
    total = sum(zone.resultant() for zone in found.zones.values())
    size = np.abs(kick).max(axis=1)
    for way in (1, 2, 4, 5):
        np.testing.assert_allclose(np.abs(total[way]), np.abs(kick[way]), atol=2e-3 * size[way])
