"""A person and a stick come in, a load case with its source goes out; one file per family."""

from orthofem.loads.cases.joint_axial import joint_squeeze, pull_apart
from orthofem.loads.cases.kick import side_kick, side_kick_tip_slips
from orthofem.loads.cases.leaning import full_weight, handle_push, off_axis_lean
from orthofem.loads.cases.stepped_on import stepped_on
from orthofem.loads.cases.tip_caught import tip_caught
from orthofem.loads.cases.torque import hand_tightening, twist
from orthofem.loads.cases.walking import everyday_walking, heavy_support, light_walking

LOAD_CASES = {
    "light_walking": light_walking,
    "everyday_walking": everyday_walking,
    "heavy_support": heavy_support,
    "full_weight": full_weight,
    "handle_push": handle_push,
    "off_axis_lean": off_axis_lean,
    "joint_squeeze": joint_squeeze,
    "pull_apart": pull_apart,
    "side_kick": side_kick,
    "side_kick_tip_slips": side_kick_tip_slips,
    "tip_caught": tip_caught,
    "twist": twist,
    "hand_tightening": hand_tightening,
    "stepped_on": stepped_on,
}
