"""Options, a setting and loads in; reserves, modes, places and their mesh change out."""

from .border import Border
from .border_reading import BorderReading
from .chain import Study, StudyResult, run, steps
from .contact.touched import Touch, Touched
from .deflection import axis_curve, relative_displacement
from .evaluate import Answer, Worst, evaluate
from .option import LYING, UPRIGHT, Option, Print, file_stem
from .printing import ESTIMATE, OptionPrint, PiecePrint, option_costs, printing_costs
from .refinement.adaptive import Reached
from .row import Row
from .screw.joint import Screwed, screwed
from .screw.share_curve import ShareCurve, share_curve
from .screw.states import STATES, JointState, judge_states, share_lines
from .setting import HeldPart, Loading, StickWindow, SurfaceLoad
from .sweep import Sweep, SweepResult, run_sweep, turned_options
from .time_heat.conditions import HOT_CAR, LEANING, STORED, Conditions
from .time_heat.finding import Lasting
from .time_heat.judged import time_and_heat

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
    "Touch",
    "Touched",
    "Worst",
    "axis_curve",
    "evaluate",
    "file_stem",
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
    "time_and_heat",
    "turned_options",
]
