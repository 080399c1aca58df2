"""Tightening a joint: what preload a torque makes, and what a twist does to the joint later."""

from __future__ import annotations

import math
from dataclasses import dataclass

from orthofem.errors import check_finite, check_positive, pick
from orthofem.loads.screw import loosening_torque, preload_of_torque, tightening_torque
from orthofem.loads.threads import Thread

LEAST_FRICTION, MOST_FRICTION = 0.12, 0.38
"""Static friction of PLA on PLA by bead direction, Santana et al. 2020 (P). [-]"""

HANDS = {"right": -1.0, "left": 1.0}
"""Sign of the section's twist Mx that tightens a thread of that hand: what the handle side puts on
the tip side. A handle side that turns with the clock, seen from the hand, has Mx below zero."""

TIGHTENS, LOOSENS, NEITHER = "tightens", "loosens", "does not turn"


@dataclass(frozen=True)
class Friction:
    """A range of friction between two faces. [-].

    Raises
    ------
    ValueError
        If a value is not above zero, or the range is reversed.
    """

    least: float = LEAST_FRICTION
    most: float = MOST_FRICTION

    def __post_init__(self):
        check_positive("least friction", self.least)
        check_positive("most friction", self.most)
        if self.least > self.most:
            raise ValueError(
                f"Friction runs from {self.least:g} to {self.most:g}; give the least value first."
            )


@dataclass(frozen=True)
class Tightening:
    """How a joint is tightened.

    Parameters
    ----------
    torque : float
        Tightening torque. [N mm]
    friction : Friction
        In the thread. The default is for printed threads; give a metal one its own.
    face : Friction or None
        Where the turned part bears: at the shoulder, or under the nut. None: as in the thread.
    hand : str
        Hand of the thread: "right" or "left".
    source, grade : str
        Where torque and friction are taken from, and their evidence grade.

    Raises
    ------
    ValueError
        If the torque is not above zero, or the hand unknown.
    """

    torque: float
    friction: Friction = Friction()
    face: Friction | None = None
    hand: str = "right"
    source: str = "friction of PLA on PLA 0.12 to 0.38, Santana et al. 2020 (P)"
    grade: str = "E"

    def __post_init__(self):
        check_positive("tightening torque", self.torque, "N mm")
        pick(HANDS, self.hand, "hand of a thread")
        for name in ("friction", "face"):
            value = getattr(self, name)
            if not isinstance(value, Friction) and not (name == "face" and value is None):
                raise ValueError(f"{name} = {value!r}; give a range, such as Friction(0.12, 0.38).")

    @property
    def face_friction(self) -> Friction:
        """Friction where the turned part bears."""
        return self.friction if self.face is None else self.face

    def preload(self, thread: Thread, radius: float) -> tuple[float, float]:
        """Least and most preload.

        Parameters
        ----------
        thread : Thread
            Thread.
        radius : float
            Mean radius of the face that bears. [mm]

        Returns
        -------
        least, most : float
            With the most and with the least friction. [N]

        References
        ----------
        .. [1] As `orthofem.loads.screw.preload_of_torque` (M-h).

        Examples
        --------
        >>> from orthofem.loads.threads import metric
        >>> [round(force) for force in Tightening(4000.0).preload(metric(20, 2.5), 11.25)]
        [460, 1324]
        """
        face = self.face_friction
        least = preload_of_torque(self.torque, thread, self.friction.most, face.most, radius)
        most = preload_of_torque(self.torque, thread, self.friction.least, face.least, radius)
        return least, most


@dataclass(frozen=True)
class Turn:
    """What a twist does to a screwed joint.

    Parameters
    ----------
    sense : str
        "tightens", "loosens", or "does not turn" without a twist.
    needed : float
        Least torque that turns the joint that way; without preload only play holds it. [N mm]
    turns : bool
        Whether the twist is above that.
    """

    sense: str
    needed: float
    turns: bool


def twist_sense(moment: float, hand: str = "right") -> str:
    """Whether a section's twist Mx tightens or loosens a thread.

    It does not matter which piece carries the stud: a right-hand thread is driven in when one
    piece, seen from behind it, turns with the clock against the other.

    Parameters
    ----------
    moment : float
        Mx: what the handle side puts on the tip side, about the axis towards the handle. [N mm]
    hand : str
        "right" or "left".

    Returns
    -------
    sense : str
        "tightens", "loosens" or "does not turn".

    References
    ----------
    .. [1] The right-hand rule (D).

    Examples
    --------
    >>> twist_sense(-15000.0), twist_sense(15000.0), twist_sense(15000.0, "left")
    ('tightens', 'loosens', 'tightens')
    """
    sign = pick(HANDS, hand, "hand of a thread")
    drive = sign * float(check_finite("twist", moment))
    return NEITHER if drive == 0 else TIGHTENS if drive > 0 else LOOSENS


def turn_of(
    moment: float, preload: float, thread: Thread, radius: float, tightening: Tightening
) -> Turn:
    """What a twist does to a joint with a preload, at the least friction.

    Parameters
    ----------
    moment : float
        Section twist Mx. [N mm]
    preload : float
        Force in the stud at that time; 0: loose. [N]
    thread : Thread
        Thread.
    radius : float
        Mean radius of the face that bears. [mm]
    tightening : Tightening
        Friction and hand.

    Returns
    -------
    turn : Turn
        Sense, torque needed, and whether the twist is above it.

    References
    ----------
    .. [1] Torques of `orthofem.loads.screw` (M-h).
    """
    sense = twist_sense(moment, tightening.hand)
    if sense == NEITHER:
        return Turn(sense, 0.0, False)
    torque = tightening_torque if sense == TIGHTENS else loosening_torque
    friction = tightening.friction.least, tightening.face_friction.least
    needed = max(torque(preload, thread, *friction, radius), 0.0)
    return Turn(sense, needed, abs(moment) > needed)


def play_tilt(clearance: float, length: float, sides: int = 1) -> float:
    """Angle by which a loose joint can tilt before its stud touches the socket [degrees].

    Parameters
    ----------
    clearance : float
        Radial clearance between stud and socket. [mm]
    length : float
        Length over which the stud lies in the socket. [mm]
    sides : int
        Sockets in which the stud is loose: 2 for a separate stud or rod.

    Returns
    -------
    tilt : float
        From the middle to one side. [degrees]

    References
    ----------
    .. [1] A straight stud that touches its socket at opposite ends (D).

    Examples
    --------
    >>> round(play_tilt(0.2, 24.0), 3)
    0.955
    """
    if check_finite("clearance", clearance) < 0:
        raise ValueError(f"clearance = {clearance:g} mm; it must not be below zero.")
    check_positive("length in the socket", length, "mm")
    return sides * math.degrees(math.atan(2.0 * clearance / length))
