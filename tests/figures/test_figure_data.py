"""Data that does not fit together is refused where it is made."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.figures import IndexCut, IndexSurface, PiecePrint


@pytest.mark.parametrize(
    ("name", "change", "message"),
    [
        ("print_directions", {"pieces": (PiecePrint("stud"),)}, "no piece 'stud'.* lower, upper"),
        ("governing_mode", {"mode": np.zeros(3, int)}, r"mode has shape \(3,\)"),
        ("governing_mode", {"modes": ("layers part",)}, "from -1 to 1; give -1 to 0"),
        ("reserve_by_option", {"wanted": np.ones(3)}, r"shape \(3,\); it must be \(2,\)"),
        ("reserve_by_option", {"wanted": np.array([0.0, 1])}, "a wanted factor is zero or below"),
        ("reserve_by_option", {"reserve": np.ones((2, 2))}, r"reserve has shape \(2, 2\)"),
        ("reserve_by_option", {"mode": (("", ""),)}, r"mode has shape \(1, 2\)"),
        ("deflection", {"displacement": np.zeros((2, 4))}, r"it must be \(2, 9\)"),
        ("refinement", {"size": np.ones((2, 1))}, "two meshes at least"),
        ("refinement", {"raw": np.ones((2, 3))}, r"raw has shape \(2, 3\)"),
    ],
)  # fmt: skip
def test_misfits_are_named(samples, name, change, message):
    """Shapes, names and factors that cannot be are refused with what is wanted."""
    with pytest.raises(ValueError, match=message):
        replace(samples[name], **change)


def test_an_empty_table_is_refused(table):
    """A table of no options has nothing to draw."""
    with pytest.raises(ValueError, match="has 0 options and 2 cases"):
        replace(table, options=(), reserve=np.ones((0, 2)), mode=np.empty((0, 2), str))


def test_pictures_check_their_arrays(section, surface):
    """Points, triangles, groups, values and frame must fit each other."""
    for change in (
        {"points": section.points[:1]}, {"group": section.group[:3]}, {"frame": np.eye(2)},
        {"triangles": section.triangles[:2]}, {"values": section.values[:3]},
    ):  # fmt: skip
        with pytest.raises(ValueError, match="SectionPicture: .* has shape"):
            replace(section, **change)
    for change in (
        {"points": surface.points[:2]}, {"group": surface.group[:3]},
        {"values": surface.values[:3]}, {"displacement": surface.points[:2]},
        {"cut": np.zeros(2, bool)}, {"triangles": surface.triangles[:2]},
    ):  # fmt: skip
        with pytest.raises(ValueError, match="SurfacePicture: .* has shape"):
            replace(surface, **change)


def test_an_index_picture_needs_an_index(section, surface, worst):
    """Pictures of the index without values are refused."""
    with pytest.raises(ValueError, match="IndexCut: the section has no values"):
        IndexCut("x", replace(section, values=None), worst)
    with pytest.raises(ValueError, match="IndexSurface: the surface has no values"):
        IndexSurface("x", replace(surface, values=None), worst)
    with pytest.raises(ValueError, match="section.values has shape"):
        IndexCut("x", replace(section, values=np.ones((2, section.points.shape[1]))), worst)


def test_a_piece_needs_a_way_up_and_a_layer():
    """A build direction without length and a layer without thickness are refused."""
    with pytest.raises(ValueError, match="PiecePrint 'stud': build is .* not all zero"):
        PiecePrint("stud", (0, 0, 0))
    with pytest.raises(ValueError, match="PiecePrint 'stud': layer = 0 mm"):
        PiecePrint("stud", layer=0)
