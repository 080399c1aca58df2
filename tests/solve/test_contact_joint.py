"""Contact in a stick's joint: a round stud that may spin, pull out, or be held by its thread."""

from __future__ import annotations

import numpy as np
import pytest

from orthofem.errors import ModelError
from orthofem.mesh import mesh_part
from orthofem.mesh.split import split
from orthofem.parts import JOINTS, Shaft
from orthofem.solve import Balanced, Model, Supported
from orthofem.solve.contact import Contact, ThreadTie, Touching
from orthofem.solve.unit import balanced_pulls
from orthofem.tensors import ElasticConstants, stiffness

FACE = "lower|upper"
PLA = stiffness(ElasticConstants.transverse(E_p=3300, E_z=2400, nu_p=0.35, nu_zp=0.3, G_zp=900))
SETS = balanced_pulls("upper_end", "lower_end", (0.0, 0.0, 0.0))
# Fx, Fy, Fz, Mx, My, Mz at the shoulder
SIDE, TWIST, PUSH = (0, 0, 50.0, 0, 1500.0, 0), (0, 0, 0, 800.0, 0, 0), (-100.0, 0, 0, 0, 0, 0)


@pytest.fixture(scope="module")
def whole():
    """A printed stud, coarse, bonded."""
    joint = JOINTS["printed_stud"](core_diameter=20.0, shoulder="open")
    return mesh_part(joint.part(Shaft(outer_diameter=32.0)), refinement=0.3)


@pytest.fixture(scope="module")
def model(whole):
    """The same, split."""
    return Model(split(whole, [FACE]).mesh, PLA)


@pytest.fixture(scope="module")
def threaded(model):
    """Held by a thread that does not turn."""
    return Touching(model, [Balanced()], {FACE: ThreadTie()})


def mixed(*loads):
    """Columns for a mix of the six unit resultants."""
    return np.array(loads, dtype=float).T


def test_thread_carries_what_the_section_carries(threaded):
    """Six resultants at the shoulder pass through the thread, the torque as its own."""
    loads = [SIDE, TWIST, PUSH]
    found = threaded.solve(SETS, mixed(*loads))
    zone = found.zone(f"{FACE} thread")
    # what the upper side puts on the lower is what the load says; the zone tells the opposite
    np.testing.assert_allclose(-zone.resultant().T, loads, atol=1e-3 * 1500)
    assert -zone.torque[1] == pytest.approx(800.0, rel=2e-3)
    assert np.abs(zone.torque[[0, 2]]).max() < 1.0
    assert found.solution.residual < 1e-7
    assert found.scales


def test_contact_is_softer_than_bond(threaded, whole):
    """Letting go of what a bond pulled on makes each load do more work, never less."""
    mix = mixed(SIDE, TWIST, PUSH)
    found = threaded.solve(SETS, mix).solution
    bonded = Supported(Model(whole.mesh, PLA), [Balanced()]).solve(SETS)
    soft = found.energy
    hard = 0.5 * np.einsum(
        "cnl,cnk,lj,kj->j", bonded.displacement, bonded.applied, mix, mix, optimize=True
    )
    assert (soft > 1.001 * hard).all()
    assert (soft < 3 * hard).all()


def test_a_round_stud_that_may_turn_is_loose_in_torsion(model):
    """Without anything to stop it a stud spins: named in torsion, no matter in bending."""
    free = Touching(model, [Balanced()], {FACE: ThreadTie(turning="free")})
    with pytest.raises(ModelError, match="contact cannot stop.*turning about x"):
        free.solve(SETS, mixed(TWIST))
    held = Touching(model, [Balanced()], {FACE: ThreadTie()})
    ours, theirs = (pieces.solve(SETS, mixed(SIDE)) for pieces in (free, held))
    np.testing.assert_allclose(ours.solution.energy, theirs.solution.energy, rtol=2e-4)
    pressures = [found.zone(f"{FACE} thread").pressure for found in (ours, theirs)]
    assert np.abs(pressures[0] - pressures[1]).mean() < 2e-3 * pressures[0].max()


def test_a_smooth_stud_pulls_out(model):
    """A smooth stud without friction is loose along its axis, and only there and in torsion."""
    smooth = Touching(model, [Balanced()], {FACE: Contact()})
    with pytest.raises(ModelError, match="contact cannot stop.*sliding along x"):
        smooth.solve(SETS, mixed(PUSH))
    zone = smooth.solve(SETS, mixed(SIDE)).zone(FACE)
    np.testing.assert_allclose(-zone.resultant()[:, 0], SIDE, atol=1.0)


def test_tightened_against_an_open_shoulder(model):
    """Tightening with nothing to press on is refused, and what to do is told."""
    with pytest.raises(ModelError, match="by 0.05 mm and presses nothing.*shoulder=.bonded."):
        Touching(model, [Balanced()], {FACE: ThreadTie(pull=0.05)})


def test_tightened_less_than_the_gap():
    """A shoulder with a gap is pressed by a travel beyond the gap only."""
    joint = JOINTS["printed_stud"](core_diameter=20.0, shoulder="bonded")
    whole = mesh_part(joint.part(Shaft(outer_diameter=32.0)), refinement=0.3)
    model = Model(split(whole, [FACE]).mesh, PLA)
    with pytest.raises(ModelError, match="presses nothing"):
        Touching(model, [Balanced()], {FACE: ThreadTie(pull=0.02, seat_clearance=0.03)})
    pieces = Touching(model, [Balanced()], {FACE: ThreadTie(pull=0.04, seat_clearance=0.03)})
    found = pieces.solve([[]])
    assert not pieces.scales
    assert found.zone(f"{FACE} seat").resultant()[0, 0] > 0


def test_tightened_shoulders_press():
    """With shoulders that touch, tightening clamps them; thread and seat carry opposite forces."""
    joint = JOINTS["printed_stud"](core_diameter=20.0, shoulder="bonded")
    whole = mesh_part(joint.part(Shaft(outer_diameter=32.0)), refinement=0.3)
    model = Model(split(whole, [FACE]).mesh, PLA)
    pieces = Touching(model, [Balanced()], {FACE: ThreadTie(pull=0.02)})
    pull = 200.0
    found = pieces.solve(SETS, mixed((0,) * 6, (pull, 0, 0, 0, 0, 0)))
    seat, thread = found.zone(f"{FACE} seat"), found.zone(f"{FACE} thread")
    np.testing.assert_allclose(seat.resultant()[0], -thread.resultant()[0] - [0, pull], rtol=1e-5)
    assert seat.resultant()[0, 0] > 100
    assert seat.closed_share[0] > seat.closed_share[1] > 0.1
    # the stiff shoulder gives up most of a pull, the thread takes the little that is left
    taken = seat.resultant()[0, 0] - seat.resultant()[0, 1]
    assert 0.5 * pull < taken < pull


def test_a_stud_screwed_into_both_pieces_draws_the_other_along():
    """Tightened on its lower thread, a loose stud brings the upper piece down on the shoulder."""
    joint = JOINTS["loose_stud"](core_diameter=20.0, shoulder="bonded")
    faces = ["lower|stud", "stud|upper", FACE]
    part_mesh = split(mesh_part(joint.part(Shaft(outer_diameter=32.0)), refinement=0.3), faces)
    model = Model(part_mesh.mesh, PLA)
    laws = {"lower|stud": ThreadTie(pull=0.05), "stud|upper": ThreadTie(), FACE: Contact()}
    found = Touching(model, [Balanced()], laws).solve([[]])
    assert found.zone(FACE).pressure.max() > 1.0
    apart = {**laws, "stud|upper": Contact()}
    with pytest.raises(ModelError, match="presses nothing"):
        Touching(model, [Balanced()], apart)
