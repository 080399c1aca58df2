"""Stress in print axes and strengths come in, index, mode, reserve and hot spot go out."""

from orthofem.failure.border import (
    BORDER,
    BORDER_MODES,
    BorderVerdict,
    border_index,
    border_mode,
    border_reserve,
    evaluate_border,
)
from orthofem.failure.criterion import Criterion
from orthofem.failure.critical_distance import (
    HOT_SPOTS,
    RegionField,
    critical_length,
    line_value,
    point_value,
)
from orthofem.failure.evaluate import Verdict, evaluate, worst_of
from orthofem.failure.hill import (
    HillForm,
    hill_coupled,
    hill_form,
    hill_margin,
    hill_matrix,
    implied_shear,
)
from orthofem.failure.hotspot import LEAST_POINTS, averaged, averaging, check_resolution
from orthofem.failure.layers import LAYERS, layers_index, layers_reserve
from orthofem.failure.max_strain import max_strain_index
from orthofem.failure.max_stress import MAX_STRESS, max_stress_index, max_stress_reserve
from orthofem.failure.modes import BEHIND, MODES, governing_mode, utilisation
from orthofem.failure.pruning import largest_demand, stress_sizes, unit_sizes
from orthofem.failure.reserve import reserve_factor
from orthofem.failure.tsai_hill import TSAI_HILL, tsai_hill_index, tsai_hill_reserve
from orthofem.failure.tsai_wu import TSAI_WU, tsai_wu_index, tsai_wu_reserve

CRITERIA = {
    "tsai_hill": TSAI_HILL,
    "max_stress": MAX_STRESS,
    "tsai_wu": TSAI_WU,
    "layers": LAYERS,
}

__all__ = [
    "BEHIND",
    "BORDER",
    "BORDER_MODES",
    "CRITERIA",
    "HOT_SPOTS",
    "LAYERS",
    "LEAST_POINTS",
    "MAX_STRESS",
    "MODES",
    "TSAI_HILL",
    "TSAI_WU",
    "BorderVerdict",
    "Criterion",
    "HillForm",
    "RegionField",
    "Verdict",
    "averaged",
    "averaging",
    "border_index",
    "border_mode",
    "border_reserve",
    "check_resolution",
    "critical_length",
    "evaluate",
    "evaluate_border",
    "governing_mode",
    "hill_coupled",
    "hill_form",
    "hill_margin",
    "hill_matrix",
    "implied_shear",
    "largest_demand",
    "layers_index",
    "layers_reserve",
    "line_value",
    "max_strain_index",
    "max_stress_index",
    "max_stress_reserve",
    "point_value",
    "reserve_factor",
    "stress_sizes",
    "tsai_hill_index",
    "tsai_hill_reserve",
    "tsai_wu_index",
    "tsai_wu_reserve",
    "unit_sizes",
    "utilisation",
    "worst_of",
]
