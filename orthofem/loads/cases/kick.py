"""A foot swings into the stick from the side."""

from __future__ import annotations

import numpy as np

from orthofem.errors import check_between
from orthofem.loads.blow import Blow
from orthofem.loads.case import LoadCase
from orthofem.loads.person import Person
from orthofem.loads.statics import on_tip_and_hand, point_load
from orthofem.loads.stick import Stick
from orthofem.tensors import FloatArray

MASS_SHARE = 0.023  # foot and shank about the knee, of body mass (D(S))
SPEED = 4000.0  # ankle in walking [mm/s] (D(S))
CONTACT = 50.0  # shoe and flesh [N/mm] (E)
LOW, REACH = 100.0, 350.0  # lowest struck height, highest reach of a swinging foot [mm] (E)
TIP_FRICTION = 0.9  # dry rubber (E)
SOURCE = (
    "load taken from Winter, gait table A1, and de Leva 1996, segment masses, as in a public "
    "teaching data set (D(S)): swinging foot 4000 mm/s, 0.023 of body mass; contact 50 N/mm (E)"
)
REASON = "a bare margin for an accident (E); below 1 expect a break"
SWING = (
    "one force and the static shape of the stick: stepping through the blow (method='stepped') "
    "gives up to 1.4 times this moment below mid-length and up to 2.1 times toward the handle, "
    "for plain shafts of 25 to 35 mm (F)"
)
STEPPED = "stepped through in time: undamped, contact that pushes only (F); an upper estimate"
NOTE = (
    "no force of a foot against a stick has been measured; no damping or yielding: upper estimate"
)


def side_kick(
    person: Person, stick: Stick, angle_step: float = 30.0, method: str = "energy"
) -> LoadCase:
    """Side kick of a swinging foot, the tip held on the floor.

    Parameters
    ----------
    person : Person
        Who kicks.
    stick : Stick
        Stick.
    angle_step : float
        Step of the direction about the stick. [degrees]
    method : {"energy", "stepped"}
        One static-equivalent force, or the blow stepped through in time (slower, and larger).

    Returns
    -------
    case : LoadCase
        Struck heights (100 mm, each joint up to 350 mm, mid-length) times directions. The
        force depends on the stiffness of the stick.
    """
    where = _where(stick, angle_step)
    blow = Blow(*where, MASS_SHARE * person.mass, SPEED, CONTACT, method=method)
    return LoadCase(
        "side_kick",
        "Side kick of a swinging foot, tip held",
        SOURCE,
        "E",
        1.25,
        REASON,
        _labels(blow),
        stick,
        blow=blow,
        notes=(NOTE, STEPPED if method == "stepped" else SWING),
        extras={"struck_height_mm": blow.stations, "angle_degrees": blow.angles},
    )


def side_kick_tip_slips(person: Person, stick: Stick, angle_step: float = 30.0) -> LoadCase:
    """Side kick while the tip stands on friction only and slips before the full force.

    Parameters
    ----------
    person : Person
        Who kicks, and leans on the stick with a quarter of body weight.
    stick : Stick
        Stick.
    angle_step : float
        Step of the direction about the stick. [degrees]

    Returns
    -------
    case : LoadCase
        Variants as in `side_kick`; force at most mu N L/(L - x), with the compression N.
    """
    stations, angles = _where(stick, angle_step)
    lean = 0.25 * person.weight
    cap = TIP_FRICTION * lean * stick.length / (stick.length - stations)
    blow = Blow(stations, angles, MASS_SHARE * person.mass, SPEED, CONTACT, cap)
    push = np.zeros((3, stations.size))
    push[0] = -lean
    return LoadCase(
        "side_kick_tip_slips",
        "Side kick of a swinging foot, tip slips",
        SOURCE + "; tip friction 0.9 (E) under a quarter of body weight, statics (D(E))",
        "E",
        1.25,
        REASON,
        _labels(blow),
        stick,
        on_tip_and_hand(point_load((stick.length, 0.0, 0.0), push), stick.length),
        blow,
        notes=(NOTE, "inertia of the slipping stick is left out: it adds to this force"),
        extras={"struck_height_mm": stations, "angle_degrees": angles, "slip_force_N": cap},
    )


def directions(angle_step: float) -> FloatArray:
    """Directions about the stick from 0 up to 360, a whole number of equal steps [degrees].

    Raises
    ------
    ValueError
        If the step does not divide the circle.
    """
    step = check_between("angle_step", angle_step, 1.0, 180.0, "degrees")
    count = 360.0 / step
    if abs(count - round(count)) > 1e-9:
        raise ValueError(f"angle_step = {step:g} degrees; give a whole part of 360, such as 30.")
    return np.asarray(step * np.arange(round(count)), dtype=float)


def _where(stick: Stick, angle_step: float) -> tuple[FloatArray, FloatArray]:
    """Struck heights and directions, all combinations."""
    heights = {LOW, stick.length / 2.0, *(x for x in stick.joints if x <= REACH)}
    height, angle = np.meshgrid(sorted(heights), directions(angle_step), indexing="ij")
    return height.ravel(), angle.ravel()


def _labels(blow: Blow) -> tuple[str, ...]:
    """Return height and direction of every blow in words."""
    pairs = zip(blow.stations, blow.angles, strict=True)
    return tuple(f"at {x:.0f} mm, {angle:.0f} degrees from y" for x, angle in pairs)
