"""How thick must a waist be to carry a kick, and does printing it lying down save it?

The volunteers want a slim neck in the marsh-walk stick where a strap is tied on. Three waists,
each printed upright and lying, are put to the swing of a foot at several heights.

Run with ``orthofem run studies/waist_kick.py``.
"""

from __future__ import annotations

from orthofem.loads import Person, Stick
from orthofem.parts import Shaft, Waist
from orthofem.study import LYING, Option, Print, StickWindow, Study

PERSON = Person(mass=80.0, height=1700.0)
OUTER = 32.0
STICK = Stick.for_person(PERSON, pieces=1, diameter=OUTER)
STATION = 350.0
LENGTH = 120.0


def options(diameters: tuple[float, ...] = (18.0, 22.0, 26.0)) -> list[Option]:
    """Waists of several diameters, fillets of 6 mm, printed upright and lying."""
    found = []
    for diameter in diameters:
        waist = Waist(position=LENGTH / 2, diameter=diameter, length=20.0, fillet=6.0)
        part = Shaft(outer_diameter=OUTER, waist=waist).part(LENGTH)
        upright = Option(f"waist {diameter:g} mm, upright", part, {"shaft": Print("pla")})
        found += [upright, upright.printed(f"waist {diameter:g} mm, lying", shaft=LYING)]
    return found


def study(diameters: tuple[float, ...] = (18.0, 22.0, 26.0)) -> Study:
    """Put the waists to walking and to a kick."""
    return Study(
        title="Marsh-walk stick: a waist that must carry a kick",
        options=options(diameters),
        setting=StickWindow(
            PERSON,
            STICK,
            ("everyday_walking", "side_kick"),
            stations=(STATION,),
            centre=LENGTH / 2,
        ),
        focus=("side_kick",),
        note=f"The waist sits {STATION:g} mm above the tip. The part is solid PLA.",
    )
