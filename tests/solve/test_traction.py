"""Faces between regions: their samples, sheets and sides, and the traction read on them."""

import numpy as np
import pytest
import scipy.sparse as sp

from meshes import box
from orthofem.errors import ModelError
from orthofem.solve import Fixed, Model, Pressure, face_of, face_traction, solve
from orthofem.tensors import ElasticConstants, stiffness

CORE = {
    "core": lambda x: (np.abs(x) < 1).all(axis=0),
    "rest": lambda x: (np.abs(x) > 1).any(axis=0),
}
C = stiffness(ElasticConstants.isotropic(1000.0, 0.3))


@pytest.fixture(scope="module")
def buried():
    """Model of a cube inside a cube, of one material."""
    mesh = box((-2, -2, -2), (2, 2, 2), (4, 4, 4), regions=CORE)
    return Model(mesh, {"core": C, "rest": C})


def test_a_face_knows_its_area_sides_and_sheets(buried):
    """A buried cube has 24 mm2 of face in six sheets, normals out of it, cells on both sides."""
    face = face_of(buried.space, buried.mesh.subdomains["core"])
    assert face.areas.sum() == pytest.approx(24.0)
    assert len(np.unique(face.sheets)) == 6
    np.testing.assert_allclose((face.points * face.normals).sum(axis=0), 1.0)
    assert np.isin(face.cells[0], buried.mesh.subdomains["core"]).all()
    assert np.isin(face.cells[1], buried.mesh.subdomains["rest"]).all()


def test_samples_of_a_face_integrate_fourth_degree(buried):
    """The moments of the cube's face up to fourth degree are exact."""
    face = face_of(buried.space, buried.mesh.subdomains["core"])
    x, y, _ = face.points
    assert (face.areas * x**2).sum() == pytest.approx(2 * 4 + 4 * 4 / 3, rel=1e-12)
    assert (face.areas * x**2 * y**2).sum() == pytest.approx(4 * 4 / 3 + 2 * 4 / 9, rel=1e-12)


def test_traction_of_a_region_under_pressure_on_all_sides(buried):
    """Pressed evenly, every point of the buried face carries the pressure along its normal."""
    mesh = buried.mesh
    skin = [Pressure(name, 5.0) for name in ("x0", "x1", "y0", "y1", "z0", "z1")]

    def shrunk(points):
        return -5.0 * (1 - 2 * 0.3) / 1000.0 * points

    found = solve(buried, [Fixed("x0", value=shrunk)], [skin])
    face = face_of(buried.space, mesh.subdomains["core"])
    traction = face_traction(found, face)
    each = sp.eye_array(face.areas.size, format="csr")
    balanced, by_stress = (t.reshape(face.normals.shape) for t in traction.averaged(each))
    np.testing.assert_allclose(balanced, -5.0 * face.normals, atol=1e-8)
    np.testing.assert_allclose(by_stress, -5.0 * face.normals, atol=1e-8)
    top = traction.only(face.normals[2, :, 0] > 0.5)
    sums = top.averaged(sp.csr_array(top.face.areas.reshape(1, -1)))[0]
    assert sums[:, 0, 0] == pytest.approx([0, 0, -20.0], abs=1e-8)


def test_nodes_loaded_from_outside_are_left_to_the_stress():
    """Where a border meets a loaded end its nodes carry that load too, and are not corrected."""
    sides = {"low": lambda x: x[0] < 1, "high": lambda x: x[0] > 1}
    mesh = box((0, 0, 0), (2, 1, 1), (2, 2, 2), regions=sides)
    model = Model(mesh, {"low": C, "high": 3 * C})
    found = solve(model, [Fixed("x0")], [[Pressure("z1", 2.0)]])
    face = face_of(model.space, mesh.subdomains["low"])
    traction = face_traction(found, face)
    loaded = np.abs(found.applied[:, face.nodes, 0]).max(axis=0) > 1e-3
    assert loaded.any()
    assert np.abs(traction.correction[loaded]).max() == 0.0
    assert np.abs(traction.correction[~loaded]).max() > 0.0


def test_cells_that_meet_no_others_have_no_face(buried):
    """The whole part has no face inside."""
    with pytest.raises(ModelError, match="no face between regions"):
        face_of(buried.space, np.arange(buried.mesh.nelements))
