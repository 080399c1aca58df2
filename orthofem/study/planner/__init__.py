"""A wish comes in; plans go out: where to cut the stick, by which joint, which way up."""

from .layout import Layout
from .planner import plan
from .result import Compared, Confirmation, Plan, PlanPart, PlanResult, Remedy
from .rules import JointRule
from .wish import WAYS, Wish

__all__ = [
    "WAYS",
    "Compared",
    "Confirmation",
    "JointRule",
    "Layout",
    "Plan",
    "PlanPart",
    "PlanResult",
    "Remedy",
    "Wish",
    "plan",
]
