"""Creep and heat: the reference's rules, and bars solved under them."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.materials import (
    PrintFrame,
    heat_factor,
    load,
    mittag_leffler,
    modulus_factor,
    remaining_modulus,
)
from orthofem.mesh import mesh_part
from orthofem.parts import Shaft
from orthofem.solve import Balanced, Model, solve
from orthofem.study import (
    HOT_CAR,
    Conditions,
    HeldPart,
    Option,
    Print,
    Study,
    SurfaceLoad,
    run,
)
from orthofem.study.evaluate import stiffness_field
from orthofem.study.time_heat.warming import warming_loads

CREEP = dict(source="power-law creep of PLA, 0.65 of the modulus at 1000 h", grade="D(E)")
HEAT = dict(source="stiffness near glass transition, a rule of thumb", grade="E")
BAR = Shaft(outer_diameter=12.0).part(40.0)
PULL = SurfaceLoad("pull", "Pull along the bar", (100.0, 0.0, 0.0))
HELD = HeldPart("lower_end", "upper_end", [PULL])


def solved(conditions, material="pla", frame=None):
    """Answer of a bar held at one end and pulled at the other."""
    printed = Print(material) if frame is None else Print(material, frame)
    study = Study(
        "bar", [Option("bar", BAR, {"shaft": printed})], HELD, refinements=(0.6,),
        conditions=conditions,
    )  # fmt: skip
    return run(study).answers["bar"][-1]


def stretch(answer):
    """Mean movement of the pulled end. [mm]"""
    return float(answer.responses.solution.mean_displacement("upper_end")[0, 0])


def test_creep_modulus(verify):
    """Modulus left after 1000 h, after the time constant, and how time enters."""
    pla = load("pla")
    left = remaining_modulus(pla, 1000.0).factor
    verify("CREEP", "modulus after 1000 h", left, 0.65, atol=1e-3, **CREEP)
    half = remaining_modulus(pla, 7900.0).factor
    verify("CREEP", "modulus after 7900 h", half, 0.5, rtol=1e-12, **CREEP)
    grown = [1 / remaining_modulus(pla, t).factor - 1 for t in (1.0, 100.0)]
    verify("CREEP", "exponent", math.log(grown[1] / grown[0]) / math.log(100), 0.3,
           rtol=1e-9, **CREEP)  # fmt: skip


def test_relaxation_of_half_order(verify):
    """At exponent 1/2 the force kept at one length is exp(z²) erfc(z)."""
    z = np.array([0.1, 0.5, 1.0, 2.0])
    ours = [mittag_leffler(0.5, v) for v in z]
    exact = [math.exp(v * v) * math.erfc(v) for v in z]
    verify("CREEP", "relaxation, order 1/2", ours, exact, rtol=1e-9,
           source="Laplace transform of the power law", grade="D")  # fmt: skip


def test_a_bar_creeps_by_the_creep_modulus(verify):
    """A solved bar stretches 1/0.65 times as far after 1000 h, under the same stress."""
    at_once, later = solved(None), solved(Conditions(hours=1000.0))
    verify("CREEP", "stretch of a bar, 1000 h over at once", stretch(later) / stretch(at_once),
           1 / 0.65, rtol=2e-3, **CREEP)  # fmt: skip
    verify("CREEP", "reserve of a bar, 1000 h over at once",
           later.case("pull").reserve / at_once.case("pull").reserve, 1.0, rtol=1e-6,
           source="stress does not depend on the size of the modulus", grade="D")  # fmt: skip


@pytest.mark.parametrize(("key", "soft"), [("pla", 60.0), ("petg", 78.5), ("abs", 104.0)])
def test_stiffness_near_softening(verify, key, soft):
    """0.4 % a degree up to 15 below glass transition, 0.3 at 5 below, nothing at it."""
    assert load(key).values["glass_transition"].mean == soft
    t = [23.0, 33.0, soft - 15.0, soft - 5.0, soft, soft + 10]
    target = [1.0, 0.96, 1 - 0.004 * (soft - 38.0), 0.3, 0.0, 0.0]
    ours = [modulus_factor(x, soft) for x in t]
    verify("HEAT", f"modulus of {key} over that at 23 degC", ours, target, atol=1e-12, **HEAT)


def test_a_warm_bar_stretches_and_weakens(verify):
    """At 40 degC a solved bar of PLA is 0.932 times as stiff, and as weak as its factor says."""
    room, warm = solved(None), solved(Conditions(temperature=40.0))
    verify("HEAT", "stiffness of a bar, 40 over 23 degC", stretch(room) / stretch(warm), 0.932,
           rtol=1e-6, **HEAT)  # fmt: skip
    ratio = warm.case("pull").reserve / room.case("pull").reserve
    verify("HEAT", "reserve of a bar, 40 over 23 degC", ratio,
           (60.0 - 40.0) / (60.0 - 23.0), rtol=1e-6,
           source="straight line from 23 degC to glass transition", grade="E")  # fmt: skip


def test_hot_car(verify):
    """PLA is not rated at 70 degC; the study says so instead of giving a number."""
    with pytest.raises(ModelError, match="PLA at 70 degC: not rated"):
        solved(HOT_CAR)
    status = [heat_factor(load(k), 70.0).status == "rated" for k in ("pla", "petg", "abs")]
    verify("HEAT", "rated in a hot car: PLA, PETG, ABS", status, [0, 0, 1], atol=0.0,
           source="loads of the reference, preset hot car: PLA not rated", grade="E")  # fmt: skip


def test_free_expansion_of_a_print(verify):
    """A solved bar warmed by 10 K grows by each axis' own expansion and feels no stress."""
    material = replace(load("pla"), expansion=(6e-5, 6e-5, 1e-4))
    option = Option("bar", BAR, {"shaft": Print(material, PrintFrame(build=(1, 0, 0)))})
    made = mesh_part(BAR, refinement=0.6)
    found = solve(answer_model(option, made), [Balanced()], [
        warming_loads(option, made.piece_of, 10.0)
    ])  # fmt: skip
    nodes = np.vstack([np.ones(found.model.space.nodes.shape[1]), found.model.space.nodes])
    moved = found.displacement[..., 0]
    slope = np.linalg.lstsq(nodes.T, moved.T, rcond=None)[0].T
    assert np.abs(slope @ nodes - moved).max() < 1e-9
    strain = 0.5 * (slope[:, 1:] + slope[:, 1:].T)
    verify("HEAT", "free growth along and across layers", strain, np.diag([1e-3, 6e-4, 6e-4]),
           rtol=1e-6, source="free expansion", grade="D")  # fmt: skip
    assert np.abs(found.stress).max() < 1e-6 * 3200 * 1e-3


def answer_model(option, made):
    """Model of an option on a mesh."""
    return Model(made.mesh, stiffness_field(option, made))


def test_core_and_walls_that_expand_unlike_each_other(verify):
    """Far from its ends a round bar's core feels the long cylinder's thermal stress."""
    E, nu, warming = 3000.0, 0.3, 10.0
    soft = replace(
        load("steel"), key="own", title="own", printed=True,
        constants=type(load("steel").constants).isotropic(E, nu), expansion=(5e-5,) * 3,
    )  # fmt: skip
    hot = replace(soft, expansion=(9e-5,) * 3)
    part = Shaft(outer_diameter=12.0, walls=2.0).part(60.0)
    option = Option("bar", part, {"shaft.wall": Print(soft), "shaft.core": Print(hot)})
    made = mesh_part(part, refinement=1.0)
    found = solve(answer_model(option, made), [Balanced()], [
        warming_loads(option, made.piece_of, warming)
    ])  # fmt: skip
    points = np.array([[30.0] * 4, [0.0, 2.0, 0.0, 3.0], [0.0, 0.0, -2.0, 0.0]])
    stress = found.stress_at(points)[..., 0]
    area = (4.0 / 6.0) ** 2
    mean = (5e-5 * (1 - area) + 9e-5 * area) * warming
    axial = E / (1 - nu) * (mean - 9e-5 * warming)
    source = dict(source="Timoshenko, Goodier, Theory of Elasticity (M-h)", grade="D(M-h)")
    verify("HEAT", "axial stress of a hot core", stress[0], np.full(4, axial), rtol=0.02, **source)
    verify("HEAT", "side stress of a hot core", stress[1], np.full(4, axial / 2), rtol=0.02,
           **source)  # fmt: skip
