"""Squeezing a joint together and pulling it apart."""

from __future__ import annotations

from orthofem.loads.case import LoadCase
from orthofem.loads.cases.reasons import BRITTLE, CONSUMER_TEST
from orthofem.loads.person import Person
from orthofem.loads.statics import on_tip_and_hand, point_load
from orthofem.loads.stick import Stick


def joint_squeeze(person: Person, stick: Stick) -> LoadCase:
    """Squeeze the joint: axial compression of the piece that holds it.

    Parameters
    ----------
    person : Person
        User; above 100 kg the force grows with body mass (E).
    stick : Stick
        Stick.

    Returns
    -------
    case : LoadCase
        One variant.
    """
    push = 1200.0 * max(1.0, person.mass / 100.0)
    load = point_load((stick.length, 0.0, 0.0), (-push, 0.0, 0.0))
    return LoadCase(
        "joint_squeeze",
        "Squeeze the joint",
        "load taken from SG CPSA 0073 as described by a test house: 1200 N along a 200 mm piece "
        "that holds the shaft joint, 60 s (S)",
        "S",
        1.5,
        "ductile ratio of ultimate to proof load, idea of ISO 10328 (M-m); factor E",
        ("along the axis",),
        stick,
        on_tip_and_hand(load, stick.length),
        notes=(
            CONSUMER_TEST,
            "the stud takes all of it where the shoulders do not touch",
        ),
        cut_out=200.0,
    )


def pull_apart(person: Person, stick: Stick) -> LoadCase:
    """Pull apart: the tip is stuck and the user lifts.

    Parameters
    ----------
    person : Person
        User (the force does not depend on the body).
    stick : Stick
        Stick.

    Returns
    -------
    case : LoadCase
        One variant.
    """
    load = point_load((stick.length, 0.0, 0.0), (350.0, 0.0, 0.0))
    return LoadCase(
        "pull_apart",
        "Pull apart (tip stuck, lift)",
        "load taken from SG CPSA 0135, strap of walking poles 350 N (S), and DIN 79016:2024, "
        "handle of trekking poles at least 300 N (S), as reported",
        "S",
        2.0,
        BRITTLE,
        ("along the axis",),
        stick,
        on_tip_and_hand(load, stick.length),
    )
