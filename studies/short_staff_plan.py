"""How to make a short tapered staff on a small printer?

A staff for the children's walk: short and tapered, thin at the tip, for a light person, printed
from PETG on a small machine. A stud printed on, or a thinner loose one.

Run with ``orthofem plan studies/short_staff_plan.py``.
"""

from __future__ import annotations

from orthofem.loads import Person
from orthofem.materials import Printer
from orthofem.parts import Shaft
from orthofem.study.planner import JointRule, Wish

wish = Wish(
    title="Short staff: a small printer, a taper",
    length=620.0,
    outline=Shaft(outer_diameter=24.0, outer_end=28.0),
    joints=[JointRule("printed_stud"), JointRule("loose_stud", core=0.55)],
    person=Person(mass=45.0, height=1450.0),
    printer=Printer(width=180.0, depth=180.0, height=180.0),
    material="petg",
    cases=("everyday_walking", "full_weight", "pull_apart"),
    most_pieces=4,
    note="Solid PETG. The kick is left out: children walk with it on a boardwalk.",
)
