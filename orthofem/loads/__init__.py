"""A person and a stick come in; load cases with section resultants at any station go out."""

from orthofem.loads.beam import StickStiffness
from orthofem.loads.blow import Blow
from orthofem.loads.blow_check import BlowCheck, check_blow
from orthofem.loads.case import LoadCase
from orthofem.loads.cases import LOAD_CASES
from orthofem.loads.clamp import ClampedJoint
from orthofem.loads.energy_form import energy_form
from orthofem.loads.hand import hand_torque
from orthofem.loads.joint import JointFlexibility, beam_flexibility
from orthofem.loads.person import Person, stick_length
from orthofem.loads.statics import PointLoads, clamped_at, on_tip_and_hand, point_load
from orthofem.loads.stepped import blow_history
from orthofem.loads.stick import Stick
from orthofem.loads.struck import BlowHistory
from orthofem.loads.threads import Thread, knuckle, metric, stripping_areas, trapezoidal
from orthofem.loads.tightening import Friction, Tightening
from orthofem.loads.use import Use

__all__ = [
    "LOAD_CASES",
    "Blow",
    "BlowCheck",
    "BlowHistory",
    "ClampedJoint",
    "Friction",
    "JointFlexibility",
    "LoadCase",
    "Person",
    "PointLoads",
    "Stick",
    "StickStiffness",
    "Thread",
    "Tightening",
    "Use",
    "beam_flexibility",
    "blow_history",
    "check_blow",
    "clamped_at",
    "energy_form",
    "hand_torque",
    "knuckle",
    "metric",
    "on_tip_and_hand",
    "point_load",
    "stick_length",
    "stripping_areas",
    "trapezoidal",
]
