"""STICK-1: one whole piece of a stick as beams and as a solid: tip deflection within 3 %.

The piece is clamped at its lower end and pushed at its upper one, sideways, and twisted; the
solid is our own, with the elements that the cases EL and NOTCH verify.
"""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.materials import infill, load, stiffness_of
from orthofem.mesh import mesh_part
from orthofem.parts import Shaft, Waist
from orthofem.solve import Fixed, Model, Resultant, solve
from orthofem.solve.beam import Hold, beam, solve_beam
from orthofem.study import LYING, UPRIGHT, Print
from orthofem.study.stick import StickPiece, stick_sections

LENGTH = 213.0
ROW = dict(source="own solid of the same piece", grade="D")
NECK = Waist(position=LENGTH / 2, diameter=22.0, length=20.0, fillet=6.0)
SLIM = Waist(position=LENGTH / 2, diameter=18.0, length=60.0, fillet=20.0)
CORE = infill(load("pla"), "gyroid", 0.2)
PIECES = {
    "straight, upright": (Shaft(32.0), Print("pla"), None),
    "waist 22, upright": (Shaft(32.0, waist=NECK), Print("pla"), None),
    "waist 18 long, lying": (Shaft(32.0, waist=SLIM), Print("pla", LYING), None),
    "taper 32 to 24, upright": (Shaft(32.0, outer_end=24.0), Print("petg"), None),
    "taper 24 to 34, bored 8, lying": (
        Shaft(24.0, outer_end=34.0, bore=8.0),
        Print("pla", LYING),
        None,
    ),
    "walls 3 round gyroid 20 %, upright": (
        Shaft(32.0, walls=3.0),
        Print("pla"),
        Print(CORE, UPRIGHT),
    ),
}
WAIST_IN_WALLS = Shaft(32.0, waist=NECK, walls=3.0), Print("pla"), Print(CORE, UPRIGHT)  # fmt: skip
LOADS = {"push along y": (0, 1, 0, 0, 0, 0), "push along z": (0, 0, 1, 0, 0, 0),
         "pull": (1, 0, 0, 0, 0, 0)}  # fmt: skip


def solid_answer(shaft, wall, core):
    """Solid clamped at its lower end, under each load."""
    mesh = mesh_part(shaft.part(LENGTH)).mesh
    prints = {name: core if name.endswith("core") else wall for name in mesh.subdomains}
    field = {name: stiffness_of(p.loaded, p.frame) for name, p in prints.items()}
    pulls = [[Resultant("upper_end", tuple(f[:3]), tuple(f[3:]))] for f in LOADS.values()]
    return solve(Model(mesh, field), [Fixed("lower_end")], pulls)


def solid_tip(shaft, wall, core):
    """Mean displacement of the upper end, (3, n_loads)."""
    return solid_answer(shaft, wall, core).mean_displacement("upper_end")


def beam_tip(shaft, wall, core):
    """The same from beams."""
    line = beam(LENGTH, stick_sections([StickPiece(0.0, LENGTH, shaft, wall, core)]))
    force = np.zeros((line.n_unknowns, len(LOADS)))
    force[line.unknowns[-1]] = np.array(list(LOADS.values())).T
    return solve_beam(line, [Hold(0.0, range(6))], force).moved(LENGTH)[:3]


@pytest.mark.parametrize("name", PIECES)
def test_piece(name, verify):
    """Beams bend a whole piece as the solid does: waist, taper, bore, walls and infill included."""
    solid, beams = solid_tip(*PIECES[name]), beam_tip(*PIECES[name])
    for column, (load_name, pull) in enumerate(LOADS.items()):
        way = int(np.argmax(pull))
        if name.startswith("walls") and load_name == "pull":
            continue  # compared below the loaded end instead, in the next test
        ours, target = beams[way, column], solid[way, column]
        verify("STICK-1", f"{name}, {load_name}", ours, target, rtol=0.03, **ROW)


def test_pull_of_walls(verify):
    """Walls and core of a pulled piece stretch alike, as in the beam, away from the loaded end.

    The pull is spread over the whole end: there its thin skin dishes over the soft core, whose
    centre moves 18 % more than the beam's end, the wall 2 % less; the mean is 4 % more. Two
    diameters below nothing of that is left.
    """
    name = "walls 3 round gyroid 20 %, upright"
    found, x = solid_answer(*PIECES[name]), LENGTH - 60.0
    tip = beam_tip(*PIECES[name])[0, 2]
    angle = np.radians(np.arange(3, 360, 45))
    for radius, what in ((14.5, "wall"), (6.0, "core")):
        points = np.stack([x + 0 * angle, radius * np.cos(angle), radius * np.sin(angle)])
        target = found.displacement_at(points)[0, :, 2].mean()
        verify("STICK-1", f"{name}, pull, {what} 60 mm below the end", tip * x / LENGTH, target,
               rtol=0.03, **ROW)  # fmt: skip


@pytest.mark.slow
def test_waist_in_thin_walls():
    """Documents a limit: walls drawn in round a sparse core yield 12 % more than the beams say.

    Outside the 3 % of the other pieces. Plane sections ask the soft core to hold the walls in
    shape at the fillets, which it does not: with a denser core the gap falls (12, 7, 5, 2.5 % at
    20, 40, 60, 100 % infill). The whole stick says so in its notes; a detailed window answers it.
    """
    shaft, wall, sparse = WAIST_IN_WALLS
    gaps = []
    for core in (sparse, wall):
        solid, beams = (tip(shaft, wall, core)[1, 0] for tip in (solid_tip, beam_tip))
        gaps.append(solid / beams - 1.0)
    assert 0.08 < gaps[0] < 0.15
    assert abs(gaps[1]) < 0.03


def test_waist_matters():
    """Without its waist the piece would be far too stiff: the waist is really in the beams."""
    plain = beam_tip(*PIECES["straight, upright"])[1, 0]
    assert beam_tip(*PIECES["waist 22, upright"])[1, 0] > 1.1 * plain
