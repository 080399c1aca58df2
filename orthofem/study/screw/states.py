"""Each screwed joint judged with preload, with none, and with play: what the algebra says."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from orthofem.errors import check_finite
from orthofem.loads.opening import opening_load_factor
from orthofem.loads.screw import gap_moment
from orthofem.loads.thread_stress import bearing_pressure, thread_pressure, thread_shear
from orthofem.loads.tightening import Tightening, Turn, play_tilt, turn_of
from orthofem.tensors import FloatArray

from .joint import Screwed

PRELOADED, LOOSE, PLAY = STATES = ("preload", "no preload", "play")
"""States that a joint is judged in: as tightened (and relaxed), just touching, and slack."""


@dataclass(frozen=True)
class JointState:
    """One row: a joint in one state under the loads looked at.

    Parameters
    ----------
    name : str
        One of `STATES`.
    preload : tuple of two float
        Least and most force in the stud without an outer load. [N]
    opening_pull, opening_moment : float
        Pull alone, and bending alone, at which the shoulder begins to part, from the least
        preload. [N], [N mm]
    opening_factor : float
        Least factor on the loads looked at, at which it does. [-]
    shoulder_share, shoulder_bending : float
        Share of a small pull, and of a small moment, that the shoulder takes off the stud; 0
        where it is apart. [-]
    stud_force, shoulder_force : float
        Greatest tension of the stud and greatest force on the shoulder, from the most preload. [N]
    thread_shear : tuple of two float
        In the socket and in the stud under that tension. [MPa]
    thread_pressure, seat_pressure : float
        On the flanks, and on the ring that the turned part bears on. [MPa]
    tilt : float
        Angle that play leaves free, to one side. [degrees]
    turns : tuple of Turn
        What the twist of each load does.
    """

    name: str
    preload: tuple[float, float]
    opening_pull: float
    opening_moment: float
    opening_factor: float
    shoulder_share: float
    shoulder_bending: float
    stud_force: float
    shoulder_force: float
    thread_shear: tuple[float, float]
    thread_pressure: float
    seat_pressure: float
    tilt: float
    turns: tuple[Turn, ...]

    @property
    def stud_share(self) -> float:
        """Share of a small pull that the stud takes [-]."""
        return 1.0 - self.shoulder_share

    @property
    def lets_go(self) -> bool:
        """Whether some twist unscrews the joint."""
        return any(turn.turns and turn.sense == "loosens" for turn in self.turns)


def judge_states(
    joint: Screwed,
    tightening: Tightening,
    resultants: FloatArray,
    remaining_modulus: float = 1.0,
    carrying: float = 1.0,
) -> tuple[JointState, ...]:
    """Judge a joint with preload, with none, and with play.

    Parameters
    ----------
    joint : Screwed
        From :func:`orthofem.study.screwed.screwed`.
    tightening : Tightening
        Torque, friction and hand.
    resultants : array of shape (6,) or (6, n)
        Section resultants at the joint, one column for each load looked at. [N, N mm]
    remaining_modulus : float, optional
        Of the print at the time looked at over that when tightened, above 0 to 1. [-]
    carrying : float, optional
        Share of the engaged turns that is counted. [-]

    Returns
    -------
    states : tuple of three JointState
        In the order of `STATES`.

    Raises
    ------
    ValueError
        If the loads are not six rows, or a number lies outside its range.

    Notes
    -----
    Openings come from the least preload after relaxation, stresses from the most before it.
    """
    loads = check_finite("resultants", resultants)
    if loads.shape[:1] != (6,) or loads.ndim > 2 or not loads.size:
        raise ValueError(f"resultants have shape {loads.shape}; give (6,) or (6, n).")
    loads = loads.reshape(6, -1)
    least, most = tightening.preload(joint.thread, joint.radius)
    stud = remaining_modulus if joint.stud_relaxes else 1.0
    least = joint.springs.preload_left(least, remaining_modulus, stud)
    tight = _state(joint, tightening, loads, (least, most), carrying)
    loose = _state(joint, tightening, loads, (0.0, 0.0), carrying)
    tilt = play_tilt(joint.clearance, joint.held, joint.sides)
    return tight, loose, replace(loose, name=PLAY, tilt=tilt)


@dataclass(frozen=True)
class ShareLines:
    """Forces of stud and shoulder against an outer pull, by the algebra.

    Parameters
    ----------
    states : tuple of str
        Most, least and no preload.
    pull : ndarray of shape (n,)
        [N]
    stud, shoulder : ndarray of shape (3, n)
        Tension of the stud and force pressed on the shoulder. [N]
    opening : ndarray of shape (3,)
        Pull at which the shoulder parts. [N]
    """

    states: tuple[str, ...]
    pull: FloatArray
    stud: FloatArray
    shoulder: FloatArray
    opening: FloatArray


def share_lines(joint: Screwed, preload: tuple[float, float], pull: FloatArray) -> ShareLines:
    """How a joint shares a pull with the most, the least and no preload.

    Parameters
    ----------
    joint : Screwed
    preload : tuple of two float
        Least and most, as in a `JointState`. [N]
    pull : array of shape (n,)
        Outer pulls. [N]
    """
    least, most = preload
    forces = [joint.springs.shares(force, pull) for force in (most, least, 0.0)]
    return ShareLines(
        states=("most preload", "least preload", LOOSE),
        pull=check_finite("pull", pull),
        stud=np.stack([stud for stud, _ in forces]),
        shoulder=np.stack([shoulder for _, shoulder in forces]),
        opening=np.array([joint.springs.opening_pull(force) for force in (most, least, 0.0)]),
    )


def _state(
    joint: Screwed,
    tightening: Tightening,
    loads: FloatArray,
    preload: tuple[float, float],
    carrying: float,
) -> JointState:
    """One state under all loads; `preload` is the least, which opens, and the most."""
    least, most = preload
    pull, moment = loads[0], np.hypot(loads[4], loads[5])
    springs, ring = joint.springs, joint.shoulder
    stud, shoulder = springs.shares(most, pull)
    tension = float(stud.max())
    factors = [
        opening_load_factor(least, p, m, springs.load_factor, *ring)
        for p, m in zip(pull, moment, strict=True)
    ]
    seat = float(shoulder.max()) if joint.seat == joint.shoulder else tension
    closed = least > 0
    return JointState(
        name=PRELOADED if closed else LOOSE,
        preload=preload,
        opening_pull=springs.opening_pull(least),
        opening_moment=gap_moment(least, 0.0, *ring),
        opening_factor=float(min(factors)),
        shoulder_share=1.0 - springs.load_factor if closed else 0.0,
        shoulder_bending=joint.bending_share if closed else 0.0,
        stud_force=tension,
        shoulder_force=float(shoulder.max()),
        thread_shear=thread_shear(tension, joint.thread, joint.engaged, carrying),
        thread_pressure=thread_pressure(tension, joint.thread, joint.engaged, carrying),
        seat_pressure=bearing_pressure(seat, *joint.seat),
        tilt=0.0,
        turns=tuple(
            turn_of(twist, least, joint.thread, joint.radius, tightening) for twist in loads[3]
        ),
    )
