"""A foot swings into the stick from the side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_between, check_positive
from orthofem.loads.blow import Blow
from orthofem.loads.case import LoadCase
from orthofem.loads.person import Person
from orthofem.loads.statics import on_tip_and_hand, point_load
from orthofem.loads.stick import Stick
from orthofem.tensors import FloatArray

LOW, REACH = 100.0, 350.0  # lowest struck height, highest reach of a swinging foot [mm] (E)
TIP_FRICTION = 0.9  # dry rubber (E)
TIP_RUBBER = 100.0  # 6 mm under a 25 mm foot (S), shear modulus about 1.2 MPa (E) [N/mm] (E)
REASON = "a bare margin for an accident (E); below 1 expect a break"
NOTE = (
    "no force of a foot against a stick has been measured; no damping or yielding: upper estimate"
)
STEPPED = (
    "stepped through in time: stick, joints and foot swing undamped, the contact pushes only; "
    "largest moment of each station within a period of stick or foot, whichever is longer (F)"
)
QUICK = (
    "energy shared among the modes of stick, shoe and foot, the foot staying on: within 15 % of "
    "stepping through the blow where the contact is at most 8 times as stiff as the stick at "
    "mid-length, and at most 4 times that and stick over foot mass together; beyond, 0.6 to 1.5 "
    "times at a station (F)"
)
SLIPS = (
    "tip on dry friction, {grip:.0f} N sideways, as long as the lean does not change; the stick's "
    "inertia loads it beyond what pushing slowly until it slips would (slip_force_N)"
)


@dataclass(frozen=True)
class Foot:
    """A foot that strikes.

    Parameters
    ----------
    mass_share : float
        Striking mass over body mass. [-]
    speed : float
        Speed. [mm/s]
    contact_stiffness : float
        Of shoe and flesh. [N/mm]
    source : str
        "load taken from ...".
    """

    mass_share: float
    speed: float
    contact_stiffness: float
    source: str

    def __post_init__(self):
        check_between("mass_share", self.mass_share, 1e-4, 1.0)
        check_positive("speed of the foot", self.speed, "mm/s")
        check_positive("contact stiffness", self.contact_stiffness, "N/mm")


SWINGING = Foot(
    0.023,  # foot and shank about the knee (D(S))
    4000.0,  # ankle in walking (D(S))
    50.0,  # shoe and flesh (E)
    "load taken from Winter, gait table A1, and de Leva 1996, segment masses, as in a public "
    "teaching data set (D(S)): swinging foot 4000 mm/s, 0.023 of body mass; contact 50 N/mm (E)",
)
STRAIGHT_LEG = Foot(
    0.044,  # straight leg about the hip (D(S))
    5200.0,  # slowest of trained kicks (P)
    50.0,  # shoe and flesh (E)
    "load taken from Corcoran et al. 2024, slowest trained kick 5200 mm/s (P), and de Leva 1996, "
    "straight leg about the hip, 0.044 of body mass (D(S)); contact 50 N/mm (E)",
)


def side_kick(
    person: Person,
    stick: Stick,
    angle_step: float = 30.0,
    method: str = "stepped",
    foot: Foot = SWINGING,
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
        The energy shared among modes, or the blow stepped through in time (slower).
    foot : Foot
        Mass, speed and softness of the foot.

    Returns
    -------
    case : LoadCase
        Struck heights (100 mm, each joint up to 350 mm, mid-length) times directions. The
        force depends on the stiffness of the stick.
    """
    blow = _blow(person, stick, angle_step, foot, method=method)
    return LoadCase(
        "side_kick",
        "Side kick of a swinging foot, tip held",
        foot.source,
        "E",
        1.25,
        REASON,
        _labels(blow),
        stick,
        blow=blow,
        notes=(NOTE, STEPPED if method == "stepped" else QUICK),
        extras={"struck_height_mm": blow.stations, "angle_degrees": blow.angles},
    )


def side_kick_tip_slips(
    person: Person, stick: Stick, angle_step: float = 30.0, foot: Foot = SWINGING
) -> LoadCase:
    """Side kick while the tip stands on friction only and may slip.

    Parameters
    ----------
    person : Person
        Who kicks, and leans on the stick with a quarter of body weight.
    stick : Stick
        Stick.
    angle_step : float
        Step of the direction about the stick. [degrees]
    foot : Foot
        Mass, speed and softness of the foot.

    Returns
    -------
    case : LoadCase
        Variants as in `side_kick`, stepped through in time, with the compression N; the floor
        holds the tip with at most mu N.
    """
    lean = 0.25 * person.weight
    grip = TIP_FRICTION * lean
    floor = {"tip_stiffness": TIP_RUBBER, "grip": grip}
    blow = _blow(person, stick, angle_step, foot, method="stepped", **floor)
    push = point_load((stick.length, 0.0, 0.0), (-lean, 0.0, 0.0))
    return LoadCase(
        "side_kick_tip_slips",
        "Side kick of a swinging foot, tip slips",
        foot.source + "; tip friction 0.9 (E) under a quarter of body weight",
        "E",
        1.25,
        REASON,
        _labels(blow),
        stick,
        on_tip_and_hand(push, stick.length).scaled(np.ones(blow.stations.size)),
        blow,
        notes=(NOTE, STEPPED, SLIPS.format(grip=grip)),
        extras={
            "struck_height_mm": blow.stations,
            "angle_degrees": blow.angles,
            "slip_force_N": grip * stick.length / (stick.length - blow.stations),
        },
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


def _blow(
    person: Person,
    stick: Stick,
    angle_step: float,
    foot: Foot,
    **holding,
) -> Blow:
    """Blow of a foot at all struck heights from all directions."""
    heights = {LOW, stick.length / 2.0, *(x for x in stick.joints if x <= REACH)}
    height, angle = np.meshgrid(sorted(heights), directions(angle_step), indexing="ij")
    return Blow(
        height.ravel(),
        angle.ravel(),
        foot.mass_share * person.mass,
        foot.speed,
        foot.contact_stiffness,
        **holding,
    )


def _labels(blow: Blow) -> tuple[str, ...]:
    """Return height and direction of every blow in words."""
    pairs = zip(blow.stations, blow.angles, strict=True)
    return tuple(f"at {x:.0f} mm, {angle:.0f} degrees from y" for x, angle in pairs)
