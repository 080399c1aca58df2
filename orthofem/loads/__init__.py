"""A person and a stick come in; load cases with section resultants at any station go out."""

from orthofem.loads.beam import JointFlexibility, StickStiffness, beam_flexibility
from orthofem.loads.blow import Blow
from orthofem.loads.case import LoadCase
from orthofem.loads.cases import LOAD_CASES
from orthofem.loads.hand import hand_torque
from orthofem.loads.person import Person, stick_length
from orthofem.loads.statics import PointLoads, clamped_at, on_tip_and_hand, point_load
from orthofem.loads.stepped import BlowHistory, blow_history
from orthofem.loads.stick import Stick
from orthofem.loads.threads import Thread, knuckle, metric, stripping_areas, trapezoidal

__all__ = [
    "LOAD_CASES",
    "Blow",
    "BlowHistory",
    "JointFlexibility",
    "LoadCase",
    "Person",
    "PointLoads",
    "Stick",
    "StickStiffness",
    "Thread",
    "beam_flexibility",
    "blow_history",
    "clamped_at",
    "hand_torque",
    "knuckle",
    "metric",
    "on_tip_and_hand",
    "point_load",
    "stick_length",
    "stripping_areas",
    "trapezoidal",
]
