"""IMP-4: a kick stepped through in time against an independent solution, and its quick form.

The twin is `kick_twin`: beam elements and Newmark's average acceleration. The quick form, the
energy shared among modes, is held against the stepped blow over the range that it is used in,
and against IMP-1, the handbook case of a mass that strikes a beam and stays on.
"""

import math
from dataclasses import replace
from types import SimpleNamespace

import kick_table
import numpy as np
import pytest
from kick_twin import newmark_kick
from test_imp1 import ROWS
from test_imp3 import PART, SPEED, STRIKER, K

from orthofem.loads import Blow, Stick, StickStiffness, blow_history, energy_form
from orthofem.loads.energy_form import energy_shares, reach
from orthofem.loads.impact import SHAPE_FACTORS, energy_kept_handbook
from orthofem.loads.stepped import march
from orthofem.loads.struck import Struck

L, EI = 900.0, 3000 * math.pi / 64 * 30**4
STICK = Stick(length=L, joints=(225, 450, 675), diameter=30)
KICK = Blow(np.array([100.0]), np.zeros(1), 1.84, 4000.0, method="stepped")
INF = math.inf
ENDS = {  # spring under the tip, grip, spring at the hand
    "held": (INF, INF, INF),
    "tip on rubber": (100.0, INF, INF),
    "tip slips": (100.0, 177.0, INF),
    "tip slips early": (100.0, 60.0, INF),
    "soft hand": (INF, INF, 0.5),
    "tip slips, hand let go": (100.0, 177.0, 1e-4),
}
TWIN = "beam elements, Newmark's average acceleration"


@pytest.mark.parametrize("height", [100.0, 225.0, 450.0])
@pytest.mark.parametrize("ends", ENDS)
def test_stepped_against_beam_elements(verify, ends, height):
    """Largest moments at seven stations, and the contact force, agree with the twin."""
    rubber, grip, hand = ENDS[ends]
    blow = replace(
        KICK,
        stations=np.array([height]),
        tip_stiffness=rubber,
        grip=grip,
        hand_stiffness=hand,
    )
    history = blow_history(StickStiffness(STICK, EI), blow)
    stick, foot = (L, EI, STICK.total_mass), (height, 1.84, 4000.0, 50.0)
    moments, force = newmark_kick(stick, foot, ENDS[ends], history.struck.window)
    nodes = np.array([4, 9, 12, 18, 24, 27, 32])
    ours = [np.hypot(*history.resultants(x)[4:6])[0] for x in nodes * 25.0]
    told = {"source": TWIN, "grade": "F"}
    where = f"{ends}, struck at {height:g} mm"
    verify("IMP-4", f"moments, {where}", ours, moments[nodes], rtol=0.01, **told)
    verify("IMP-4", f"contact force, {where}", history.contact.max(), force, rtol=0.005, **told)


@pytest.mark.parametrize(("contact", "target"), [(10, 34.168), (100, 37.946), (1000, 38.006)])
def test_stepping_of_two_masses(verify, contact, target):
    """Stepping reproduces striker, contact spring and beam spring of IMP-3."""
    struck = SimpleNamespace(
        modes=SimpleNamespace(omega=np.array([math.sqrt(1000 * K / PART)])),
        shape=np.array([[1 / math.sqrt(PART)]]),
        spring=np.array([1000.0 * contact]),
        blow=Blow(np.array([1.0]), np.zeros(1), STRIKER, SPEED, contact),
    )
    end = 2 * math.pi * math.sqrt(STRIKER / (1000 * K))
    history = march(struck, end / 40000, 40000)
    ours = K * (history.amplitude[:, 0] * struck.shape[0]).max()
    told = {"source": "equation of motion", "grade": "D"}
    verify("IMP-4", f"IMP-3 stepped, contact {contact}", ours, target, rtol=1e-4, **told)


@pytest.mark.parametrize("ratio", [0.1, 0.5, 1, 2])
def test_quick_form_against_the_handbook_case(verify, ratio):
    """Hard contact at mid-span: deflection of IMP-1's modal solution, above the handbook's."""
    stiff = StickStiffness(STICK, EI)
    mass = STICK.total_mass / ratio
    blow = Blow(np.array([L / 2]), np.zeros(1), mass, 4000.0, contact_stiffness=1e7)
    history = energy_form(stiff, blow)
    struck = history.struck
    moved = (struck.shape * history.amplitude).sum(axis=1)[:, 0]
    moved += history.contact[:, 0] * struck.modes.at(L / 2)[1][0, 0]
    ours = moved.max() / (4000.0 * math.sqrt(mass / (1000.0 * stiff.at(L / 2))))
    verify(
        "IMP-4",
        f"quick form, pinned m/M {ratio}, modal",
        ours,
        ROWS["pinned", ratio][0],
        source="modal solution, 40 Hermite elements (IMP-1)",
        grade="F",
        rtol=0.01,
    )
    handbook = math.sqrt(energy_kept_handbook(ratio, *SHAPE_FACTORS["pinned"]))
    assert handbook < 0.99 * ours


def test_energy_is_shared_out():
    """Shares add up to one; struck low, a third of the energy is not in the slowest mode."""
    blow = replace(KICK, stations=np.array([100.0, 450.0]), angles=np.zeros(2))
    _, _, share = energy_shares(Struck.of(StickStiffness(STICK, EI), blow))
    np.testing.assert_allclose(share.sum(axis=1), 1.0, rtol=1e-12)
    assert share[0, 0] < 0.7 < 0.8 < share[1, 0]


def test_quick_form_refuses_ends_that_give_way():
    """Asked for a hand on a spring, the quick form says which method knows it."""
    with pytest.raises(ValueError, match="take method='stepped'"):
        energy_form(StickStiffness(STICK, EI), replace(KICK, hand_stiffness=1.0))


@pytest.mark.parametrize("height", kick_table.HEIGHTS)
@pytest.mark.parametrize("ratio", [0.1, 1.0])
def test_quick_form_is_exact_under_a_soft_shoe(ratio, height):
    """While the foot stays on until all peaks are over, both methods give the same moments."""
    stiff = StickStiffness(Stick(length=L, mass=kick_table.MASS, diameter=30), kick_table.EI)
    soft = 48 * kick_table.EI / L**3
    blow = Blow(np.array([height]), np.zeros(1), kick_table.MASS / ratio, 4000.0, soft)
    quick, stepped = (
        np.hypot(*history.resultants(height)[4:6])
        for history in (
            energy_form(stiff, blow),
            blow_history(stiff, replace(blow, method="stepped")),
        )
    )
    np.testing.assert_allclose(quick, stepped, rtol=3e-3)


INSIDE = [
    (ratio, contact)
    for ratio in kick_table.RATIOS
    for contact in kick_table.CONTACTS
    if contact <= 8 and ratio * contact <= 4
]


@pytest.mark.parametrize(("ratio", "contact"), INSIDE)
def test_quick_form_over_its_reach(verify, ratio, contact):
    """Within its reach the quick form is within 15 % at every station that matters."""
    check = kick_table.plain_check(ratio, contact)
    assert check.within_reach
    told = {"source": "stepped through in time", "grade": "F", "rtol": 0.15}
    where = f"m/M {ratio}, contact/stick {contact:g}"
    off = np.abs(np.log(check.ratio))
    worst = np.where(check.matters, off, 0.0).argmax()
    verify("IMP-4", f"quick over stepped, {where}", check.ratio[worst], 1.0, **told)
    verify("IMP-4", f"quick over stepped, largest, {where}", check.largest, 1.0, **told)
    assert check.matters.sum() >= 10


def test_quick_form_beyond_its_reach():
    """Beyond its reach the quick form is off by more than 15 % somewhere, and says so."""
    check = kick_table.plain_check(1.0, 8.0)
    assert not check.within_reach
    assert np.abs(check.ratio[check.matters] - 1).max() > 0.15
    assert abs(check.largest - 1) < 0.15


@pytest.mark.parametrize("grip", [60.0, 180.0])
def test_quick_form_where_the_tip_slips(grip):
    """For a tip that slips, the quick form of the held stick is above, and up to 5 times."""
    for ratio, contact in ((0.1, 1.0), (0.5, 4.0), (1.0, 4.0)):
        check = kick_table.plain_check(ratio, contact, tip_stiffness=100.0, grip=grip)
        assert not check.within_reach
        assert check.ratio[check.matters].min() > 0.9
        assert check.ratio[check.matters].max() > 1.15


@pytest.mark.slow
def test_quick_form_on_sticks_with_joints(verify):
    """On random jointed sticks and feet the quick form is as close as it claims to be."""
    rng = np.random.default_rng(771_204_559)
    told = {"source": "stepped through in time", "grade": "F", "rtol": 0.15}
    inside = tried = 0
    while inside < 60:
        stiff, kick, stations = kick_table.random_kick(rng)
        _, both = reach(stiff, kick)
        if both > 8:  # nothing is claimed
            continue
        tried += 1
        check = kick_table.check_blow(stiff, kick, stations)
        verify("IMP-4", f"quick over stepped, largest, stick {tried}", check.largest, 1.0, **told)
        if check.within_reach:
            inside += 1
            ratio = check.ratio[check.matters]
            worst = ratio[np.abs(np.log(ratio)).argmax()]
            verify("IMP-4", f"quick over stepped, stick {tried}", worst, 1.0, **told)
    assert tried > 100
