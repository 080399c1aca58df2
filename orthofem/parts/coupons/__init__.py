"""Test coupons: dimensions in, a part out."""

from orthofem.parts.coupons.flat_bar import FlatBar
from orthofem.parts.coupons.notched_bar import GroovedBar, ShoulderBar
from orthofem.parts.coupons.round_bar import RoundBar
from orthofem.parts.coupons.snap import SnapCoupon

COUPONS: dict[str, type] = {
    "flat_bar": FlatBar,
    "round_bar": RoundBar,
    "shoulder_bar": ShoulderBar,
    "grooved_bar": GroovedBar,
    "snap": SnapCoupon,
}

__all__ = ["COUPONS", "FlatBar", "GroovedBar", "RoundBar", "ShoulderBar", "SnapCoupon"]
