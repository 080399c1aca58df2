"""Split pieces, laws on their interfaces, supports and loads in; what opens, slides and presses."""

from .laws import Bonded, Contact, Glued, Law, ThreadTie, to_split
from .result import STATUS, ContactSolution, ZoneState
from .touching import Touching, solve_contact

LAWS: dict[str, type[Law]] = {
    "bonded": Bonded,
    "glued": Glued,
    "thread": ThreadTie,
    "contact": Contact,
}

__all__ = [
    "LAWS",
    "STATUS",
    "Bonded",
    "Contact",
    "ContactSolution",
    "Glued",
    "Law",
    "ThreadTie",
    "Touching",
    "ZoneState",
    "solve_contact",
    "to_split",
]
