"""Full weight on the stick, and the push on its handle when rising from a chair."""

from __future__ import annotations

from orthofem.errors import check_between
from orthofem.loads.case import LoadCase
from orthofem.loads.cases.reasons import BRITTLE, CONSUMER_TEST
from orthofem.loads.person import Person
from orthofem.loads.statics import by_variant, clamped_at, on_tip_and_hand, point_load
from orthofem.loads.stick import Stick

LEAN_FORCE, LEAN_OFFSET = 400.0, 50.0  # SG CPSA 0073 as described by a test house (S) [N, mm]
LEAN_BOW = 20.0  # at mid-length, same (S) [mm]


def full_weight(person: Person, stick: Stick) -> LoadCase:
    """Full weight: a stumble caught with the stick.

    Parameters
    ----------
    person : Person
        User.
    stick : Stick
        Stick.

    Returns
    -------
    case : LoadCase
        One variant.
    """
    push = max(10.0 * person.mass, 1000.0)
    load = point_load((stick.length, 0.0, 10.0), (-push, 0.0, 0.0))
    return LoadCase(
        "full_weight",
        "Full weight on the stick (stumble, catch)",
        "load taken from the static 1000 N of an elbow crutch in ISO 11334-1:2007 as it follows "
        "from Mottaghi et al. 2025, PLoS ONE, doi 10.1371/journal.pone.0318987 (D(P)); 10 N per "
        "kg of body mass (M-m); offset 10 mm (E)",
        "E",
        2.0,
        "ultimate over proof 2.0 for brittle failure, idea of ISO 10328 (M-m); 1.5 if "
        "it yields first; buckling load at least 3 times (E)",
        ("peak",),
        stick,
        on_tip_and_hand(load, stick.length),
        notes=("no peak force of a stumble on a stick has been measured",),
    )


def handle_push(person: Person, stick: Stick, clamp_below: float = 50.0) -> LoadCase:
    """Push on the handle: rising from a chair.

    Parameters
    ----------
    person : Person
        User; above 100 kg the force grows with body mass (E).
    stick : Stick
        Stick; the push acts at half its handle overhang.
    clamp_below : float
        How far below the handle axis the shaft is clamped. [mm]

    Returns
    -------
    case : LoadCase
        Clamped below the handle as in the test, and standing on its tip.
    """
    check_between("clamp_below", clamp_below, 1.0, stick.length / 2.0, "mm")
    push = 1100.0 * max(1.0, person.mass / 100.0)
    load = point_load((stick.length, 0.0, stick.handle_overhang / 2.0), (-push, 0.0, 0.0))
    standing = on_tip_and_hand(load, stick.length)
    clamped = clamped_at(load, stick.length - clamp_below).joined(point_load((0.0, 0.0, 0.0)))
    return LoadCase(
        "handle_push",
        "Push on the handle (rising from a chair)",
        "load taken from SG CPSA 0073 as described by a test house: 1100 N at half the handle, "
        "shaft clamped just below it (S); standing on the tip instead: our support (E)",
        "E",
        1.5,
        "ductile ratio of ultimate to proof load, idea of ISO 10328 (M-m), on top of "
        "the test load; factor E",
        ("clamped below the handle", "standing on the tip"),
        stick,
        by_variant(clamped, standing),
        notes=(CONSUMER_TEST,),
        clamped=(stick.length - clamp_below, None),
    )


def off_axis_lean(person: Person, stick: Stick) -> LoadCase:
    """Off-axis lean: a push along the stick, beside its axis.

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
    push = LEAN_FORCE * max(1.0, person.mass / 100.0)
    load = point_load((stick.length, 0.0, LEAN_OFFSET), (-push, 0.0, 0.0))
    return LoadCase(
        "off_axis_lean",
        "Off-axis lean (bow)",
        "load taken from SG CPSA 0073 as described by a test house: 400 N along the stick, 50 mm "
        "beside its axis, 60 s; bow at mid-length below 20 mm there (S)",
        "S",
        2.0,
        BRITTLE,
        ("60 s",),
        stick,
        on_tip_and_hand(load, stick.length),
        notes=(
            CONSUMER_TEST,
            "how the ends were held in that test is not stated: the comparison is indicative",
        ),
    )
