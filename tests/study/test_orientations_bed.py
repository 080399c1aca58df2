"""A sweep's directions are held against the bed's two sides, not against its height alone."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np

from orthofem.mesh import mesh_part
from orthofem.parts import Box, Part, Piece
from orthofem.report.orientations import Orientations


def test_directions_too_long_for_the_bed_are_impractical():
    """A block of 60 by 20 by 20 mm stands on a bed of 40 by 40 and does not lie on it."""
    mesh = mesh_part(Part("b", (Piece("b", Box((0, 0, 0), (60, 20, 20))),)))
    result = SimpleNamespace(sweep=SimpleNamespace(part_mesh=mesh))
    plain = Orientations("t", result, "b", np.eye(3), highest=100.0)
    assert not plain.impractical.any()
    found = Orientations("t", result, "b", np.eye(3), highest=100.0, bed=(40.0, 40.0))
    assert found.impractical.tolist() == [False, True, True]
    assert "beyond a bed of 40 x 40 mm" in found._why()
    across = Orientations("t", result, "b", np.eye(3), highest=100.0, bed=(57.0, 57.0))
    # turned by 45 degrees it takes (60 + 20) / sqrt 2 = 56.6 mm of each side
    assert across.impractical.tolist() == [False, False, False]
