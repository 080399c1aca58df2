"""Twisting the stick, and tightening its joints by hand."""

from __future__ import annotations

import numpy as np

from orthofem.loads.case import LoadCase
from orthofem.loads.cases.reasons import BRITTLE
from orthofem.loads.hand import STRONG, hand_torque
from orthofem.loads.person import Person
from orthofem.loads.screw import preload_of_torque, shoulder_radius, thread_torque
from orthofem.loads.statics import PointLoads, on_tip_and_hand, point_load
from orthofem.loads.stick import Stick
from orthofem.loads.threads import Thread, trapezoidal
from orthofem.tensors import FloatArray

FRICTIONS = (0.12, 0.25, 0.38)  # PLA on PLA: least (P), between (E), most (P)


def twist(person: Person, stick: Stick) -> LoadCase:
    """Twist with the tip jammed, both ways round.

    Parameters
    ----------
    person : Person
        User (the torque does not depend on the body).
    stick : Stick
        Stick; its diameter is that of a straight staff's grip.

    Returns
    -------
    case : LoadCase
        Handle with an arm, the same abused, and a straight staff, each both ways.
    """
    grips = {
        "T or crook handle": 15000.0,
        "T or crook handle, abused": 25000.0,
        "straight staff": hand_torque(stick.diameter),
    }
    torque = np.array([way * size for size in grips.values() for way in (-1.0, 1.0)])
    ways = ("tightens a right-hand thread", "loosens a right-hand thread")
    return LoadCase(
        "twist",
        "Twist with the tip jammed",
        "load taken from forearm twist on a T-handle 10 000 to 20 000 N mm (M-m) and levers "
        "24 000 to 40 000 (Mital 1986, cited in a review, S): 15 000 and 25 000 (E); straight "
        "staff: fit on Replogle 1983 and others (E)",
        "E",
        2.0,
        BRITTLE,
        tuple(f"{grip}, {way}" for grip in grips for way in ways),
        stick,
        _twisted(torque, stick),
        notes=("check whether the thread tightens or lets go",),
        extras={"torque_N_mm": torque},
    )


def hand_tightening(
    person: Person,
    stick: Stick,
    thread: Thread | None = None,
    shoulder: tuple[float, float] | None = None,
) -> LoadCase:
    """Tighten the joint by hand, for three frictions and two strengths of hand.

    Parameters
    ----------
    person : Person
        User (average and strong hands are both taken).
    stick : Stick
        Stick; its diameter is what the hand grips.
    thread : Thread, optional
        Thread of the stud; without it a trapezoidal thread of about 2/3 of the diameter.
    shoulder : tuple of two float, optional
        Outer and inner diameter of the shoulder ring; without it the stick's and the
        thread's. [mm]

    Returns
    -------
    case : LoadCase
        Torque between the hands as section resultant; preload and torque of the stud's core
        as extras.
    """
    thread = thread or trapezoidal(round(stick.diameter * 2.0 / 3.0), 4.0)
    outer, inner = shoulder or (stick.diameter, thread.d)
    radius = shoulder_radius(outer, inner)
    hands = {"average hand": 1.0, "strong or two hands": STRONG}
    labels, torque, preload, core = [], [], [], []
    for name, strength in hands.items():
        for mu in FRICTIONS:
            labels.append(f"{name}, friction {mu:g}")
            torque.append(strength * hand_torque(stick.diameter))
            preload.append(preload_of_torque(torque[-1], thread, mu, mu, radius))
            core.append(thread_torque(preload[-1], thread, mu))
    return LoadCase(
        "hand_tightening",
        "Tighten the joint by hand",
        "load taken from hand torque on cylinders, Replogle 1983, Kong et al. 2007, Kreifeldt "
        "1985 (P; fit E), friction of PLA on PLA 0.12 to 0.38, Santana et al. 2020 (P)",
        "E",
        2.0,
        BRITTLE,
        tuple(labels),
        stick,
        _twisted(-np.array(torque), stick),
        notes=(
            f"thread {thread.name}, shoulder {outer:g}/{inner:g} mm",
            "preload creeps away: check the joint without any as well",
        ),
        extras={
            "preload_N": np.array(preload),
            "core_torque_N_mm": np.array(core),
            "torque_N_mm": -np.array(torque),
        },
    )


def _twisted(torque: FloatArray, stick: Stick) -> PointLoads:
    """Twist about x at the handle, held at the tip; negative tightens a right-hand thread."""
    zero = np.zeros(torque.size)
    handle = (stick.length, 0.0, 0.0)
    return on_tip_and_hand(point_load(handle, moment=np.stack([torque, zero, zero])), stick.length)
