"""Options, a setting and loads in; reserves, modes, places and their mesh change out."""

from .chain import Row, Study, StudyResult, run, steps
from .deflection import axis_curve, relative_displacement
from .evaluate import Answer, Worst, evaluate
from .option import LYING, UPRIGHT, Option, Print, file_stem
from .setting import HeldPart, Loading, StickWindow, SurfaceLoad
from .sweep import Sweep, SweepResult, run_sweep, turned_options

__all__ = [
    "LYING",
    "UPRIGHT",
    "Answer",
    "HeldPart",
    "Loading",
    "Option",
    "Print",
    "Row",
    "StickWindow",
    "Study",
    "StudyResult",
    "SurfaceLoad",
    "Sweep",
    "SweepResult",
    "Worst",
    "axis_curve",
    "evaluate",
    "file_stem",
    "relative_displacement",
    "run",
    "run_sweep",
    "steps",
    "turned_options",
]
