"""Which joint, and which way up, for the marsh-walk stick?

The reserve's volunteers print their stick in four pieces. Seven ways to join two of them are put
to everyday walking, to a whole body's weight, and to the swing of a foot from the side. Pieces are
bonded where they meet; ``joint_contact.py`` lets the studs touch their sockets instead.

Run with ``orthofem run studies/joint_choice.py``.
"""

from __future__ import annotations

from orthofem.loads import Person, Stick
from orthofem.materials import Printer
from orthofem.parts import JOINTS, OnPlane, Shaft, WholePiece, whole_pieces
from orthofem.study import LYING, Border, Option, Print, StickWindow, Study

PERSON = Person(mass=80.0, height=1700.0)
SHAFT = Shaft(outer_diameter=32.0)
STICK = Stick.for_person(PERSON, pieces=4, diameter=SHAFT.outer_diameter)
CORE = 20.0
FILAMENT = Print("pla")
GLUE = Print("epoxy_adhesive")
SHOULDER = Border(glue=GLUE.material, interface="lower|upper", where=OnPlane((0, 0, 0), (1, 0, 0)))
GLUED = (
    "the shoulders are glued over their whole area and the glue is judged; how well it holds on "
    "a printed face is not known, so test a glued pair before relying on it."
)


def options() -> list[Option]:
    """Five joints; the loose stud and the spigot also printed lying down."""
    ends = {"lower": FILAMENT, "upper": FILAMENT}
    stud = JOINTS["printed_stud"](core_diameter=CORE)
    shut = JOINTS["printed_stud"](core_diameter=CORE, shoulder="bonded")
    loose = JOINTS["loose_stud"](core_diameter=CORE, flat=3.0)
    spigot = JOINTS["spigot"](core_diameter=CORE)
    cored = JOINTS["cored"](core_diameter=12.0)

    loose_upright = Option(
        "loose stud, upright",
        loose.part(SHAFT),
        {**ends, "stud": FILAMENT},
        whole=whole(loose),
    )
    spigot_upright = Option(
        "glued spigot, upright",
        spigot.part(SHAFT),
        {**ends, "spigot": FILAMENT, "glue": GLUE},
        whole=whole(spigot),
    )
    steel = Option(
        "cored with steel",
        cored.part(SHAFT),
        {**ends, "rod": Print("steel"), "glue": GLUE},
        whole=whole(cored),
    )
    return [
        Option(
            "stud printed on, upright",
            stud.part(SHAFT),
            ends,
            whole=whole(stud),
        ),
        Option(
            "stud printed on, shoulders bonded",
            shut.part(SHAFT),
            ends,
            GLUED,
            {"glued shoulder": SHOULDER},
            whole=whole(shut),
        ),
        loose_upright,
        loose_upright.printed("loose stud, lying", stud=LYING),
        spigot_upright,
        spigot_upright.printed("glued spigot, lying", spigot=LYING),
        steel,
    ]


def whole(joint) -> tuple[WholePiece, ...]:
    """Cut the stick's pieces, for what printing them costs."""
    return whole_pieces(joint, SHAFT, STICK.length, STICK.joints)


def study(cases: tuple[str, ...] = ("everyday_walking", "full_weight", "side_kick")) -> Study:
    """Put all options to the same loads at all three joints of the stick."""
    return Study(
        title="Marsh-walk stick: which joint, and which way up?",
        options=options(),
        setting=StickWindow(PERSON, STICK, cases),
        focus=("side_kick",),
        printer=Printer(),
        outline=SHAFT,
        note=(
            "Shoulders are left open unless the option says otherwise: the two faces do not "
            "touch, so the stud carries everything. Hand tightening cannot keep them closed in "
            "a side blow, and preload creeps away. Pieces are solid PLA."
        ),
    )
