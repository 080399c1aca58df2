"""The joints between two pieces of a stick: dimensions in, a window of the stick out."""

from orthofem.parts.joints.base import Joint
from orthofem.parts.joints.cored import Cored
from orthofem.parts.joints.loose_stud import LooseStud
from orthofem.parts.joints.printed_stud import PrintedStud
from orthofem.parts.joints.spigot import Spigot
from orthofem.parts.joints.thread import NotchFactor
from orthofem.parts.joints.tie_rod import TieRod

JOINTS: dict[str, type[Joint]] = {
    "printed_stud": PrintedStud,
    "loose_stud": LooseStud,
    "spigot": Spigot,
    "cored": Cored,
    "tie_rod": TieRod,
}

__all__ = [
    "JOINTS",
    "Cored",
    "Joint",
    "LooseStud",
    "NotchFactor",
    "PrintedStud",
    "Spigot",
    "TieRod",
]
