"""Whole pieces of a stick: shape, ends, taper, waist, and what cannot be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.mesh import mesh_part
from orthofem.parts import (
    JOINTS,
    Box,
    Piece,
    PrintedStud,
    Revolved,
    Shaft,
    Waist,
    stick_pieces,
    whole_pieces,
)

SHAFT = Shaft(32.0)
LENGTH = 852.0
STATIONS = stick_pieces(LENGTH, 4)
SMALL = {"cored": 12.0, "tie_rod": 8.0}


@pytest.mark.parametrize("name", JOINTS)
def test_whole_pieces_and_windows_add_up(name):
    """A piece is as much longer than its windows as the shaft between them, in volume."""
    joint = JOINTS[name](core_diameter=SMALL.get(name, 16.0))
    found = whole_pieces(joint, SHAFT, LENGTH, STATIONS)
    window = joint.part(SHAFT, LENGTH / 8)
    halves = {piece: window.piece(piece).solid.volume for piece in ("lower", "upper")}
    mesh = mesh_part(found[1].part)
    assert mesh.report.volumes["middle"] == pytest.approx(sum(halves.values()), rel=1e-3)
    assert [one.count for one in found] == [1, 2, 1]
    long = joint.part(SHAFT, LENGTH / 4)
    for one, piece in ((found[0], "lower"), (found[2], "upper")):
        assert one.like == (piece,)
        assert one.piece.solid.volume == pytest.approx(long.piece(piece).solid.volume)


def test_a_stick_in_one_piece_is_its_shaft():
    """Without joints the only piece is the shaft itself."""
    (one,) = whole_pieces(PrintedStud(), SHAFT, LENGTH, ())
    assert (one.piece.name, one.like) == ("whole", ())
    assert one.piece.solid.volume == pytest.approx(np.pi * 256 * LENGTH)


def test_walls_and_core_run_through_the_piece():
    """A piece of a walled shaft has a wall and a core, the core thinner by the walls."""
    found = whole_pieces(PrintedStud(), replace(SHAFT, walls=2.4), LENGTH, STATIONS)
    report = mesh_part(found[1].part).report
    assert set(report.volumes) == {"middle.wall", "middle.core"}
    plain = mesh_part(whole_pieces(PrintedStud(), SHAFT, LENGTH, STATIONS)[1].part).report
    assert sum(report.volumes.values()) == pytest.approx(plain.volumes["middle"], rel=1e-3)
    bare = np.pi * (16 - 2.4) ** 2 * LENGTH / 4
    assert 0.6 * bare < report.volumes["middle.core"] < bare


def test_a_taper_runs_over_the_whole_stick():
    """At every end of every piece the skin has the shaft's own radius there."""
    shaft = Shaft(32.0, outer_end=28.0)
    found = whole_pieces(PrintedStud(), shaft, LENGTH, STATIONS)
    assert [one.count for one in found] == [1, 1, 1, 1]
    for one, low, high in zip(found, (0.0, *STATIONS), (*STATIONS, LENGTH), strict=True):
        solids = getattr(one.piece.solid, "solids", (one.piece.solid,))
        points = np.hstack([solid.outline.points() for solid in solids])
        for x in (0.0, high - low):
            here = np.abs(points[0] - x) < 0.3
            skin = shaft.at(low + x, LENGTH).radius
            assert points[1, here].max() == pytest.approx(skin, abs=2e-3)


def test_a_waist_is_taken_out_of_the_piece_that_it_lies_in():
    """A piece with a waist has less volume by the ring that is cut away, the others none."""
    waist = Waist(320.0, 20.0, 20.0, 6.0)
    found = whole_pieces(PrintedStud(), replace(SHAFT, waist=waist), LENGTH, STATIONS)
    plain = whole_pieces(PrintedStud(), SHAFT, LENGTH, STATIONS)
    taken = (
        Shaft(32.0).part(LENGTH).pieces[0].solid.volume
        - Shaft(32.0, waist=waist).part(LENGTH).pieces[0].solid.volume
    )
    with_waist, without = (
        mesh_part(one.part).report.volumes[name]
        for one, name in ((found[1], "middle1"), (plain[1], "middle"))
    )
    assert without - with_waist == pytest.approx(taken, rel=0.01)
    assert found[0].piece.solid == plain[0].piece.solid


def test_what_cannot_be_cut_is_told():
    """Stations out of order, pieces too short, waists on a joint: each with what to do."""
    joint = PrintedStud()
    with pytest.raises(ValueError, match="they must rise and lie between the tip at 0 and"):
        whole_pieces(joint, SHAFT, LENGTH, (400.0, 200.0))
    with pytest.raises(ValueError, match="from 426 to 440 mm cannot have its joints: .*window"):
        whole_pieces(joint, SHAFT, LENGTH, (426.0, 440.0))
    on_joint = replace(SHAFT, waist=Waist(230.0, 20.0, 20.0, 6.0))
    with pytest.raises(ValueError, match="on to the joint of the piece from 213 to 426 mm; move"):
        whole_pieces(joint, on_joint, LENGTH, STATIONS)


def test_only_round_pieces_can_be_made_whole():
    """A joint whose pieces are no solids of revolution is refused."""

    class Square(PrintedStud):
        def part(self, shaft, window=60.0):
            part = super().part(shaft, window)
            upper = Piece("upper", Box((0, -16, -16), (window, 32, 32)))
            assert isinstance(part.piece("upper").solid, Revolved)
            return replace(part, pieces=(part.piece("lower"), upper))

    with pytest.raises(ModelError, match="made from round ones; this joint's are Box"):
        whole_pieces(Square(), SHAFT, LENGTH, STATIONS)
