"""What is left of a stud's strength when it touches its socket instead of being one with it?

Studs and shoulders that are not glued are judged in contact, with the bonded answer beside it;
what is glued stays bonded. One stud is screwed in hand-tight until its shoulders touch: what
preload that makes, and whether a kick opens the shoulder, stands in a table of its own. Takes
some eight minutes on two cores.

Run with ``orthofem run studies/joint_contact.py``.
"""

from __future__ import annotations

from orthofem.loads import Person, Stick, Tightening, hand_torque
from orthofem.parts import JOINTS, OnPlane, Shaft
from orthofem.solve.contact import ThreadTie
from orthofem.study import LYING, Border, Option, Print, StickWindow, Study, Tightened

PERSON = Person(mass=80.0, height=1700.0)
SHAFT = Shaft(outer_diameter=32.0)
STICK = Stick.for_person(PERSON, pieces=4, diameter=SHAFT.outer_diameter)
CORE = 20.0
FILAMENT = Print("pla")
GLUE = Print("epoxy_adhesive")
ENDS = {"lower": FILAMENT, "upper": FILAMENT}
SHOULDER = Border(glue=GLUE.material, interface="lower|upper", where=OnPlane((0, 0, 0), (1, 0, 0)))
HAND_TIGHT = Tightening(
    torque=hand_torque(SHAFT.outer_diameter),
    source="torque of one bare hand of an average man (E); friction of PLA on PLA 0.12 to 0.38, "
    "Santana et al. 2020 (P)",
)


def studs() -> list[Option]:
    """Stud printed on, apart from its shoulder and touching it; a loose one upright and lying."""
    stud = JOINTS["printed_stud"](core_diameter=CORE)
    shut = JOINTS["printed_stud"](core_diameter=CORE, shoulder="bonded")
    loose = JOINTS["loose_stud"](core_diameter=CORE, flat=3.0)
    thread = {"lower|upper": ThreadTie()}
    upright = Option(
        "loose stud, upright",
        loose.part(SHAFT),
        {**ENDS, "stud": FILAMENT},
        "the stud is glued into the lower piece for good.",
        interfaces={"stud|upper": ThreadTie()},
    )
    return [
        Option("stud printed on, upright", stud.part(SHAFT), ENDS, interfaces=thread),
        Option(
            "stud printed on, shoulders touching",
            shut.part(SHAFT),
            ENDS,
            "judged without preload, which creeps away; with preload: see screwed joints.",
            interfaces=thread,
            tightened=Tightened(shut, SHAFT, HAND_TIGHT),
        ),
        upright,
        upright.printed("loose stud, lying", stud=LYING),
    ]


def glued() -> list[Option]:
    """Joints glued for good: bonded is what they are."""
    shut = JOINTS["printed_stud"](core_diameter=CORE, shoulder="bonded")
    spigot = JOINTS["spigot"](core_diameter=CORE)
    cored = JOINTS["cored"](core_diameter=12.0)
    upright = Option(
        "glued spigot, upright",
        spigot.part(SHAFT),
        {**ENDS, "spigot": FILAMENT, "glue": GLUE},
    )
    return [
        Option(
            "stud printed on, shoulders glued",
            shut.part(SHAFT),
            ENDS,
            borders={"glued shoulder": SHOULDER},
        ),
        upright,
        upright.printed("glued spigot, lying", spigot=LYING),
        Option(
            "cored with steel", cored.part(SHAFT), {**ENDS, "rod": Print("steel"), "glue": GLUE}
        ),
    ]


def study(cases: tuple[str, ...] = ("everyday_walking", "side_kick")) -> Study:
    """Put all of them to walking and a kick at all three joints of the stick."""
    return Study(
        title="Marsh-walk stick: studs that touch their sockets",
        options=[*studs(), *glued()],
        setting=StickWindow(PERSON, STICK, cases),
        focus=("side_kick",),
    )
