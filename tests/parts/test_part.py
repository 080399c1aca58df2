import numpy as np
import pytest

from orthofem.parts import Box, Common, LooseStud, Part, Piece, Plane, Refinement, Shaft, with_bands
from orthofem.parts.selectors import NearPoint

BOX = Box((0, 0, 0), (10, 20, 30))


def test_regions_of_pieces_bands_and_cores():
    """One region each, or one for each band and side of the wall."""
    split = (Plane((0, 0, 10), (0, 0, 1)),)
    assert Piece("a", BOX).regions == ("a",)
    assert Piece("a", BOX, BOX).regions == ("a.wall", "a.core")
    assert Piece("a", BOX, None, split, ("low", "high")).regions == ("a.low", "a.high")
    both = Piece("a", BOX, BOX, split, ("low", "high")).regions
    assert both == ("a.low.wall", "a.low.core", "a.high.wall", "a.high.core")


def test_bands_start_at_the_lowest_point():
    """Heights count from the bed, along the build direction."""
    part = with_bands(Part("p", (Piece("a", BOX),)), "a", (0, 0, -2), (5.0, 12.0), ("x", "y", "z"))
    planes = part.piece("a").splits
    assert [plane.point for plane in planes] == [(0, 0, 25), (0, 0, 18)]
    assert planes[0].normal == (0, 0, -1)


def test_bands_of_a_lying_stud_start_at_its_flat():
    """The flat is the bed of a stud printed lying down."""
    part = LooseStud(core_diameter=16.0, flat=2.0).part(Shaft())
    plane = with_bands(part, "stud", (0, -1, 0), (3.0,), ("a", "b")).piece("stud").splits[0]
    assert plane.point == pytest.approx((0, 8 - 2 - 3, 0))


def test_bands_of_unknown_solids_need_the_bed():
    """Where the lowest point has no closed form it must be given, and is then used."""
    part = Part("p", (Piece("a", Common(BOX, BOX)),))
    with pytest.raises(ValueError, match=r"lowest point of piece 'a'.*lowest="):
        with_bands(part, "a", (0, 0, 1), (5.0,), ("x", "y"))
    given = with_bands(part, "a", (0, 0, 1), (5.0,), ("x", "y"), lowest=2.0)
    assert given.piece("a").splits[0].point == (0, 0, 7)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Part("p", ()), r"no pieces"),
        (lambda: Part("p", (Piece("a", BOX), Piece("a", BOX))), r"piece a; names must differ"),
        (lambda: Part("p", (Piece("a|b", BOX),)), r"'a\|b' is not allowed"),
        (lambda: Part("p", (Piece("a", BOX),), {"": None}), r"surface name ''"),
        (lambda: Part("p", (Piece("a", BOX),), feature=-1.0), r"feature = -1"),
        (lambda: Part("p", (Piece("a", BOX),)).piece("b"), r"Unknown piece 'b'.*: a"),
        (lambda: Piece("a", BOX, None, (Plane((0, 0, 1), (0, 0, 1)),), ("x",)), r"give 2"),
        (
            lambda: Piece("a", BOX, None, (Plane((0, 0, 1), (0, 0, 1)),), ("x", "x")),
            r"names must differ",
        ),
        (lambda: Plane((0, 0, 1), (0, 0, 0)), r"plane normal"),
        (lambda: Refinement(NearPoint((0, 0, 0)), 0.0), r"refinement size = 0"),
    ],
)
def test_impossible_parts_are_refused(make, message):
    """Each error names what is wrong and what is allowed."""
    with pytest.raises(ValueError, match=message):
        make()


@pytest.mark.parametrize("heights", [(), (0.0,), (5.0, 5.0), (8.0, 3.0), (np.nan,)])
def test_band_heights_must_rise(heights):
    """Heights that do not rise from the bed are refused."""
    with pytest.raises(ValueError, match=r"[Bb]and heights"):
        with_bands(Part("p", (Piece("a", BOX),)), "a", (0, 0, 1), heights, ("x", "y"))
