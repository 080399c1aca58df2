"""Options, a setting and loads in; reserves, modes, places and their mesh change out."""

from .bench import Foretold, foretell, hung_weight
from .border import Border
from .border_reading import BorderReading
from .chain import Study, StudyResult, run, steps
from .contact.touched import Touch, Touched
from .deflection import axis_curve, relative_displacement
from .evaluate import Answer, Worst, evaluate
from .held_part import HeldPart, SurfaceLoad
from .loading import Loading
from .option import LYING, UPRIGHT, Option, Print, file_stem
from .printing import ESTIMATE, OptionPrint, PiecePrint, option_costs, printing_costs
from .refinement.adaptive import Reached
from .row import Row
from .screw.joint import Screwed, screwed
from .screw.judged import joint_of, tightened_states
from .screw.share_curve import ShareCurve, share_curve
from .screw.states import STATES, JointState, judge_states, share_lines
from .setting import StickWindow
from .sweep import Sweep, SweepResult, run_sweep
from .tightened import Tightened
from .time_heat.conditions import HOT_CAR, LEANING, STORED, Conditions
from .time_heat.finding import Lasting
from .time_heat.judged import time_and_heat
from .turned import turned_options

__all__ = [
    "ESTIMATE",
    "HOT_CAR",
    "LEANING",
    "LYING",
    "STATES",
    "STORED",
    "UPRIGHT",
    "Answer",
    "Border",
    "BorderReading",
    "Conditions",
    "Foretold",
    "HeldPart",
    "JointState",
    "Lasting",
    "Loading",
    "Option",
    "OptionPrint",
    "PiecePrint",
    "Print",
    "Reached",
    "Row",
    "Screwed",
    "ShareCurve",
    "StickWindow",
    "Study",
    "StudyResult",
    "SurfaceLoad",
    "Sweep",
    "SweepResult",
    "Tightened",
    "Touch",
    "Touched",
    "Worst",
    "axis_curve",
    "evaluate",
    "file_stem",
    "foretell",
    "hung_weight",
    "joint_of",
    "judge_states",
    "option_costs",
    "printing_costs",
    "relative_displacement",
    "run",
    "run_sweep",
    "screwed",
    "share_curve",
    "share_lines",
    "steps",
    "tightened_states",
    "time_and_heat",
    "turned_options",
]
