import runpy
from pathlib import Path

import numpy as np
import pytest

from orthofem.mesh import check_file, mesh_part
from orthofem.parts import PartFile

MESHES = Path(__file__).parent.parent.parent / "meshes"
MAKER = runpy.run_path(str(MESHES / "make_boot_hook.py"))


def test_kept_file_is_what_the_maker_makes(tmp_path):
    """The file in meshes/ is the maker's, byte for byte but for the last digits of numbers."""
    made = MAKER["write"](tmp_path / "boot_hook.step")
    kept = MESHES / "boot_hook.step"
    assert kept.stat().st_size < 300_000
    ours, theirs = check_file(made), check_file(kept)
    assert ours.volume == pytest.approx(theirs.volume, rel=1e-9)
    assert ours.size == pytest.approx(theirs.size, rel=1e-9)
    assert (ours.n_faces, ours.n_solids) == (theirs.n_faces, 1)
    assert made.read_text().splitlines()[:5] == kept.read_text().splitlines()[:5]


def test_hook_has_its_two_faces():
    """Clamp bore and hook pad are found, with the areas of the drawing."""
    part = PartFile(path=MESHES / "boot_hook.step", surfaces=MAKER["SURFACES"]).part()
    mesh = mesh_part(part, size=4.0).mesh
    bore = mesh.p[:, mesh.facets[:, mesh.boundaries["clamp_bore"]]]
    assert np.hypot(bore[0], bore[1]) == pytest.approx(15.0, abs=1e-6)
    pad = mesh.p[:, mesh.facets[:, mesh.boundaries["hook_pad"]]]
    area = np.linalg.norm(np.cross(pad[:, 1] - pad[:, 0], pad[:, 2] - pad[:, 0], axis=0), axis=0)
    assert area.sum() / 2 == pytest.approx(14 * (18 - 4 - 8))
