"""Fields written for a viewer come back as they were."""

from __future__ import annotations

import meshio
import numpy as np
import pytest
from skfem import Basis, ElementTetP2, Functional, MeshTet1, MeshTet2

from orthofem.errors import ModelError
from orthofem.mesh.vtu import write_vtu


@pytest.fixture(scope="module")
def ball():
    """A unit ball."""
    return MeshTet2.init_ball(nrefs=1)


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_volume_survives_the_file(tmp_path, ball):
    """Read back, the curved cells have the volume they had: the node order is right."""
    read = meshio.read(write_vtu(tmp_path / "ball.vtu", ball))
    again = MeshTet2(read.points.T, read.cells_dict["tetra10"].T)
    volumes = [
        Functional(lambda w: 1.0 + 0 * w.x[0]).assemble(Basis(mesh, ElementTetP2(), intorder=4))
        for mesh in (ball, again)
    ]
    assert volumes[1] == pytest.approx(volumes[0], rel=1e-12)
    assert volumes[0] == pytest.approx(4 / 3 * np.pi, rel=0.03)


def test_middle_nodes_lie_between_their_ends(tmp_path):
    """In a file of straight cells, nodes 4 to 9 halve the edges 01, 12, 02, 03, 13, 23."""
    mesh = MeshTet2.from_mesh(MeshTet1().refined(1))
    read = meshio.read(write_vtu(tmp_path / "cube.vtu", mesh))
    points = read.points[read.cells_dict["tetra10"]]
    ends = [(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)]
    middles = np.stack([(points[:, a] + points[:, b]) / 2 for a, b in ends], axis=1)
    assert points[:, 4:] == pytest.approx(middles, abs=1e-14)


def test_fields_survive_the_file(tmp_path, ball):
    """Component-first fields come back as rows, one a node or a cell."""
    displacement = 0.1 * ball.doflocs
    region = np.arange(ball.nelements)
    path = write_vtu(
        tmp_path / "new" / "ball.vtu",
        ball,
        {"displacement [mm]": displacement, "index [-]": ball.doflocs[0]},
        {"region": region},
    )
    read = meshio.read(path)
    assert read.point_data["displacement [mm]"] == pytest.approx(displacement.T)
    assert read.point_data["index [-]"] == pytest.approx(ball.doflocs[0])
    assert (read.cell_data["region"][0] == region).all()


def test_nothing_but_the_file_is_left(tmp_path, ball):
    """Writing twice leaves one file and no temporary ones."""
    for _ in range(2):
        write_vtu(tmp_path / "ball.vtu", ball)
    assert [path.name for path in tmp_path.iterdir()] == ["ball.vtu"]


def test_a_field_of_the_wrong_length_is_refused(tmp_path, ball):
    """A field without one value a node, or a cell, is named with its shape."""
    with pytest.raises(ValueError, match=r"Field 'index' has shape \(3,\); give one value a node"):
        write_vtu(tmp_path / "ball.vtu", ball, {"index": np.zeros(3)})
    with pytest.raises(ValueError, match=r"Field 'region' .* give one value a cell"):
        write_vtu(tmp_path / "ball.vtu", ball, cell_data={"region": np.zeros(3)})
    assert not list(tmp_path.iterdir())


def test_a_folder_that_cannot_be_made_is_refused(tmp_path, ball):
    """A file where the folder should be gives an error that says what to do."""
    (tmp_path / "taken").write_text("")
    with pytest.raises(ModelError, match=r"Cannot write '.*ball.vtu'.* folder that you may write"):
        write_vtu(tmp_path / "taken" / "ball.vtu", ball)


def test_a_write_that_is_refused_keeps_the_old_file(tmp_path, ball, monkeypatch):
    """When the system refuses half way, the old file stays whole and no rest is left."""
    (tmp_path / "ball.vtu").write_text("old")

    def refuse(path, *_, **__):
        path.write_text("half")
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("orthofem.mesh.vtu.meshio.write", refuse)
    with pytest.raises(ModelError, match="Permission denied"):
        write_vtu(tmp_path / "ball.vtu", ball)
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("ball.vtu", "old")]
