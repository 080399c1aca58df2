"""What is left of a stud's strength when it touches its socket instead of being one with it?

The marsh-walk stick's studs are screwed in hand-tight: no preload, no play. Each is judged in
contact, with the bonded answer beside it. Takes a good while: every reserve of a joint that can
open is found load by load.

Run with ``orthofem run studies/joint_contact.py``.
"""

from __future__ import annotations

from orthofem.loads import Person, Stick
from orthofem.parts import JOINTS, Shaft
from orthofem.solve.contact import ThreadTie
from orthofem.study import LYING, Option, Print, StickWindow, Study

PERSON = Person(mass=80.0, height=1700.0)
SHAFT = Shaft(outer_diameter=32.0)
STICK = Stick.for_person(PERSON, pieces=4, diameter=SHAFT.outer_diameter)
CORE = 20.0
FILAMENT = Print("pla")


def options() -> list[Option]:
    """Stud printed on, and a loose one upright and lying, glued into the lower piece for good."""
    ends = {"lower": FILAMENT, "upper": FILAMENT}
    stud = JOINTS["printed_stud"](core_diameter=CORE)
    loose = JOINTS["loose_stud"](core_diameter=CORE, flat=3.0)
    upright = Option(
        "loose stud, upright",
        loose.part(SHAFT),
        {**ends, "stud": FILAMENT},
        interfaces={"stud|upper": ThreadTie()},
    )
    return [
        Option(
            "stud printed on, upright",
            stud.part(SHAFT),
            ends,
            interfaces={"lower|upper": ThreadTie()},
        ),
        upright,
        upright.printed("loose stud, lying", stud=LYING),
    ]


def study(cases: tuple[str, ...] = ("everyday_walking", "side_kick")) -> Study:
    """Put the studs to walking and a kick at all three joints of the stick."""
    return Study(
        title="Marsh-walk stick: studs that touch their sockets",
        options=options(),
        setting=StickWindow(PERSON, STICK, cases),
        focus=("side_kick",),
    )
