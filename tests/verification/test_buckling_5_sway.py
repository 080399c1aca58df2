"""BUCK-5: how an axial force below the buckling load enlarges deflections and moments."""

from __future__ import annotations

import numpy as np
import pytest
from sets import PT
from test_buckling_1_prism import AREA, pressed_column

from orthofem.solve import Resultant
from orthofem.solve.beam import (
    Hold,
    beam,
    solve_beam,
    sway_amplification,
    uniform_sections,
)
from orthofem.solve.geometric import solid_buckling, solve_pressed
from orthofem.tensors import stiffness

SOURCE = dict(source="beam-column theory", grade="D")
COLUMNS = ("cantilever deflection", "simple", "cantilever moment", "eccentric",
           "uniform deflection", "uniform moment")  # fmt: skip
TABLE = {
    0.1: (1.109648, 1.111111, 1.091265, 1.137468, 1.111494, 1.114271),
    0.3: (1.422814, 1.428571, 1.351065, 1.533356, 1.430086, 1.441074),
    0.5: (1.986288, 2.000000, 1.816828, 2.252172, 2.003620, 2.029945),
    0.7: (3.300660, 3.333333, 2.900279, 3.940607, 3.341993, 3.405094),
}
L, EI = 100.0, 1e6
LINE = beam(L, uniform_sections((1e6, np.inf, np.inf, 1e6, EI, EI)))


@pytest.mark.parametrize("ratio", TABLE)
def test_closed_form(ratio, verify):
    """The six columns of the table."""
    ours = sway_amplification(ratio)
    for name, target in zip(COLUMNS, TABLE[ratio], strict=True):
        verify("BUCK-5", f"{name}, r = {ratio:g}", ours[name], target, atol=6e-7, **SOURCE)


@pytest.mark.parametrize("ratio", TABLE)
def test_beam_cantilever(ratio, verify):
    """Beam elements pushed at the tip: deflection and root moment grow as the closed forms."""
    force = np.zeros(LINE.n_unknowns)
    force[LINE.unknowns[-1, 1]] = 1.0
    holds = [Hold(0, range(6))]
    P = ratio * np.pi**2 * EI / (2 * L) ** 2
    first, bowed = (solve_beam(LINE, holds, force, axial) for axial in (None, -P))
    names = ("cantilever deflection", "cantilever moment")
    grown = (
        bowed.moved(L)[1, 0] / first.moved(L)[1, 0],
        bowed.resultants[5, 0, 0] / first.resultants[5, 0, 0],
    )
    for name, ours in zip(names, grown, strict=True):
        target = sway_amplification(ratio)[name]
        verify("BUCK-5", f"{name}, r = {ratio:g}, beam", ours, target, rtol=1e-4, **SOURCE)


@pytest.mark.parametrize("ratio", TABLE)
def test_beam_eccentric(ratio, verify):
    """Beam elements under an eccentric force at both ends: mid moment grows as sec u."""
    P = ratio * np.pi**2 * EI / L**2
    force = np.zeros(LINE.n_unknowns)
    force[LINE.unknowns[0, 5]], force[LINE.unknowns[-1, 5]] = P * 3.0, -P * 3.0
    ends = [Hold(0, (0, 1, 2, 3)), Hold(L, (1, 2))]
    bowed = solve_beam(LINE, ends, force, -P)
    ours = abs(bowed.at(L / 2)[5, 0]) / (3.0 * P)
    target = sway_amplification(ratio)["eccentric"]
    verify("BUCK-5", f"eccentric, r = {ratio:g}, beam", ours, target, rtol=1e-4, **SOURCE)


@pytest.mark.parametrize("ratio", TABLE)
def test_beam_uniform(ratio, verify):
    """Beam elements under a uniform side load, ends free to turn: mid deflection and moment."""
    P = ratio * np.pi**2 * EI / L**2
    force = np.zeros(LINE.n_unknowns)
    share = np.convolve(LINE.length, [0.5, 0.5])  # lumped, which is why the mesh is fine
    force[LINE.unknowns[:, 1]] = share
    ends = [Hold(0, (0, 1, 2, 3)), Hold(L, (1, 2))]
    first, bowed = (solve_beam(LINE, ends, force, axial) for axial in (None, -P))
    deflection = bowed.moved(L / 2)[1, 0] / first.moved(L / 2)[1, 0]
    moment = bowed.at(L / 2)[5, 0] / first.at(L / 2)[5, 0]
    for name, ours in (("uniform deflection", deflection), ("uniform moment", moment)):
        target = sway_amplification(ratio)[name]
        verify("BUCK-5", f"{name}, r = {ratio:g}, beam", ours, target, rtol=1e-3, **SOURCE)


def test_bow_grows():
    """An initial bow in the shape of the buckling mode grows by 1/(1 - r), and bends by P times."""
    ratio = 0.5
    P = ratio * np.pi**2 * EI / L**2
    bow = np.zeros(LINE.n_unknowns)
    bow[LINE.unknowns[:, 1]] = 2.0 * np.sin(np.pi * LINE.x / L)
    bow[LINE.unknowns[:, 5]] = 2.0 * np.pi / L * np.cos(np.pi * LINE.x / L)
    ends = [Hold(0, (0, 1, 2, 3)), Hold(L, (1, 2))]
    found = solve_beam(LINE, ends, np.zeros(LINE.n_unknowns), -P, bow)
    assert found.moved(L / 2)[1, 0] == pytest.approx(2.0 / (1 - ratio) - 2.0, rel=1e-4)
    assert abs(found.at(L / 2)[5, 0]) == pytest.approx(P * 2.0 / (1 - ratio), rel=1e-4)


@pytest.fixture(scope="module")
def column():
    """The column of BUCK-1 with its buckling load."""
    held, pressed = pressed_column(stiffness(PT), 100.0)
    return held, pressed, solid_buckling(held, pressed).factors[0]


@pytest.mark.parametrize("ratio", [0.1, 0.3, 0.5])
def test_solid_cantilever(ratio, column, verify):
    """The solid column of BUCK-1 under a side load at its tip sways as the closed form says."""
    held, pressed, limit = column
    push = [Resultant("z1", force=(0, 1, 0))]
    straight = held.solve([push])
    stress = ratio * limit * pressed.stress[..., 0]
    moved = solve_pressed(held, push, stress)
    tip = held.model.space.surface_nodes("z1")
    ours = moved[1, tip].mean() / straight.displacement[1, tip, 0].mean()
    target = sway_amplification(ratio)["cantilever deflection"]
    verify("BUCK-5", f"solid cantilever, r = {ratio:g}", ours, target, rtol=1e-2, **SOURCE)
    assert AREA * abs(pressed.stress[2].mean()) == pytest.approx(1.0, rel=0.02)
