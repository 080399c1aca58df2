"""Sweeps of print directions: right where they were never solved, and honest about it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.loads import Person, Stick
from orthofem.materials import PrintFrame
from orthofem.mesh import hemisphere, mesh_part
from orthofem.parts import JOINTS, Shaft
from orthofem.study import (
    Option,
    Print,
    StickWindow,
    Sweep,
    evaluate,
    run_sweep,
    turned_options,
)

PLA = Print("pla")
SHAFT = Shaft(outer_diameter=32.0)
PART = JOINTS["loose_stud"](core_diameter=20.0, flat=3.0).part(SHAFT)
OPTION = Option("loose stud", PART, {"lower": PLA, "stud": PLA, "upper": PLA})
PERSON = Person(mass=80.0, height=1700.0)
SETTING = StickWindow(
    PERSON, Stick.for_person(PERSON, pieces=4, diameter=32.0), ("everyday_walking", "side_kick")
)


@pytest.fixture(scope="module")
def part_mesh():
    """Coarse mesh of the joint."""
    return mesh_part(PART, refinement=0.3)


@pytest.fixture(scope="module")
def swept(part_mesh):
    """Sweep of the stud over forty directions."""
    options = turned_options(OPTION, ["stud"], hemisphere(40, named=True))
    return run_sweep(Sweep(options, part_mesh, SETTING))


def test_reserves_hold_at_directions_never_solved(swept):
    """At unsolved directions the reserve is within 1 % of a full solve, the estimate above it."""
    rng = np.random.default_rng(77_120_903)
    unsolved = np.setdiff1d(np.arange(40), swept.solved)
    chosen = rng.choice(unsolved, 8, replace=False)
    errors = np.array(
        [np.abs(swept.lowest[i].reserve / swept.full(i).reserve - 1).max() for i in chosen]
    )
    print(f"largest error of a reserve: {errors.max():.2e}, full solves {len(swept.solved)} of 40")
    assert errors.max() < 0.01
    assert (swept.reserve_estimate[chosen] >= errors).all()
    assert (swept.reserve_estimate <= 0.01).all()


def test_a_sweep_agrees_with_the_plain_study(swept, part_mesh):
    """The sweep's answer for one direction is that of the full chain, mode and place included."""
    i = int(np.setdiff1d(np.arange(40), swept.solved)[3])
    answer = evaluate(swept.sweep.options[i], part_mesh, SETTING)
    for case, worst in enumerate(answer.worst):
        assert swept.lowest[i].reserve[case] == pytest.approx(worst.reserve, rel=0.01)
        assert swept.full(i).reserve[case] == pytest.approx(worst.reserve, rel=1e-5)
        assert swept.lowest[i].region[case] == worst.region


def test_the_bound_is_rigorous_and_close_to_the_estimate(swept):
    """The bound of an unsolved direction lies above zero and not far from the estimate."""
    i = int(np.setdiff1d(np.arange(40), swept.solved)[0])
    assert 0 < swept.bound(i) < 2 * swept.energy_estimate[i]


def test_constants_and_several_pieces_may_vary(part_mesh):
    """Material, bead direction and each piece's way up are all just options on one part."""
    options = [
        OPTION,
        OPTION.printed("stud lying", stud=PrintFrame(build=(0, 1, 0), bead=(1, 0, 0))),
        replace(OPTION, name="petg stud", prints={**OPTION.prints, "stud": Print("petg")}),
        OPTION.printed("both", stud=PrintFrame(build=(0, 0, 1)), lower=PrintFrame(build=(0, 1, 1))),
    ]
    found = run_sweep(Sweep(options, part_mesh, SETTING))
    assert set(found.sweep.turning) == {"stud", "lower"}
    for i, option in enumerate(options):
        answer = evaluate(option, part_mesh, SETTING)
        assert found.reserve[i] == pytest.approx([w.reserve for w in answer.worst], rel=1e-4)


def test_too_few_full_solves_is_an_error(part_mesh):
    """A tolerance out of reach is refused, never answered."""
    options = turned_options(OPTION, ["stud"], hemisphere(30))
    with pytest.raises(ModelError, match="After 4 full solves the estimated error is still"):
        run_sweep(Sweep(options, part_mesh, SETTING, tolerance=1e-6, most=4))


def test_a_sweep_refuses_what_it_cannot_turn(part_mesh):
    """No options, another part, and wound beads are each told."""
    with pytest.raises(ValueError, match="at least one option"):
        Sweep([], part_mesh, SETTING)
    other = replace(OPTION, part=JOINTS["printed_stud"]().part(Shaft()), prints={
        "lower": PLA, "upper": PLA})  # fmt: skip
    with pytest.raises(ValueError, match="share one part"):
        Sweep([other], part_mesh, SETTING)
    wound = Print("pla_ud_f", PrintFrame(beads="around"))
    option = replace(OPTION, prints={**OPTION.prints, "lower": wound})
    with pytest.raises(ModelError, match="beads wound round an axis"):
        run_sweep(Sweep([option], part_mesh, SETTING))


def test_what_is_not_printed_has_no_way_up():
    """A bought stud is refused before anything is solved, and the printed pieces are named."""
    bought = replace(OPTION, prints={**OPTION.prints, "stud": Print("steel")})
    with pytest.raises(ValueError, match="which is not printed: no way up. Choose of: lower"):
        turned_options(bought, ["stud"], np.eye(3)[:, :1])
