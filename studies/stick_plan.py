"""Where to cut the marsh-walk stick, by which joint, and which way up to print its pieces?

The reserve's volunteers have a printer of common size, which takes no stick in one piece. They
allow two joints: a stud printed on to its piece, and a loose one.

Run with ``orthofem plan studies/stick_plan.py``.
"""

from __future__ import annotations

from orthofem.loads import Person, stick_length
from orthofem.materials import Printer
from orthofem.study.planner import JointRule, Wish

PERSON = Person(mass=80.0, height=1700.0)

wish = Wish(
    title="Marsh-walk stick: where to cut it?",
    length=stick_length(PERSON.height),
    outline=32.0,
    joints=[JointRule("printed_stud"), JointRule("loose_stud")],
    person=PERSON,
    printer=Printer(width=220.0, depth=220.0, height=250.0),
    material="pla",
    cases=("everyday_walking", "full_weight", "side_kick"),
    most_pieces=5,
    note="Pieces are solid PLA. The kick is the swing of a foot from the side, the tip held.",
)
