"""How the way of printing changes the strength across the layers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from orthofem.errors import pick

LOWEST, HIGHEST = 0.25, 1.0  # clip of the product (E)
MOST_ESTIMATES = 2  # estimates may not be piled up (E)


@dataclass(frozen=True)
class ProcessFactor:
    """Factor on the tensile strength across the layers.

    Parameters
    ----------
    title : str
        The circumstance in plain words.
    factor : float
        On Zt. [-]
    grade, basis : str
        Evidence grade and where it comes from.
    """

    title: str
    factor: float
    grade: str
    basis: str


_DIRECTION = "direction published, size estimated"
_FAN = "part fan at full speed against off"
PROCESSES = {
    "preheated": ProcessFactor(
        "interface preheated above glass transition",
        1.15,
        "P",
        "short-carbon-fibre polyamide with infrared preheating, 2020, PMC7284967",
    ),
    "no_gaps": ProcessFactor(
        "gaps between layers removed",
        1.198,
        "P",
        "finite-element result of Perez DB et al. 2021, 3D Print. Addit. Manuf. 8(1):23-32",
    ),
    "cold_nozzle": ProcessFactor("nozzle 20 degC below the best", 0.75, "E", _DIRECTION),
    "hot_nozzle": ProcessFactor("nozzle 10 to 15 degC above the best", 1.1, "E", _DIRECTION),
    "fan_pla": ProcessFactor(f"{_FAN}, PLA", 0.75, "E", "direction known, size varies"),
    "fan_petg": ProcessFactor(f"{_FAN}, PETG", 0.6, "E", "direction known, size varies"),
    "fan_others": ProcessFactor(
        f"{_FAN}, ABS, ASA, PC or PA", 0.45, "E", "0.4 to 0.5; direction known, size varies"
    ),
    "thick_layers": ProcessFactor(
        "layers of 0.3 against 0.15 mm, nozzle 0.4 mm",
        0.85,
        "E",
        "thinner is stronger: Zhao Y, Chen Y, Zhou Y 2019, Mater. Des. 181:108089 (direction)",
    ),
    "slow_layers": ProcessFactor(
        "more than 60 s a layer without a warm chamber", 0.8, "E", "the surface cools"
    ),
    "wet_filament": ProcessFactor(
        "wet PA, PETG or TPU filament",
        0.775,
        "E",
        "0.7 to 0.85; Valerga AP et al. 2018, Materials 11(8):1322 (PLA, direction)",
    ),
}


def process_factor(circumstances: Iterable[str]) -> float:
    """Joint factor of several circumstances on the strength across the layers.

    Parameters
    ----------
    circumstances : iterable of str
        Keys of `PROCESSES`.

    Returns
    -------
    factor : float
        Product, kept within 0.25 to 1. [-]

    Raises
    ------
    ValueError
        If a key is unknown or given twice, or more than two of them are estimates.

    Examples
    --------
    >>> round(process_factor(["fan_petg", "thick_layers"]), 3)
    0.51
    """
    keys = list(circumstances)
    chosen = [pick(PROCESSES, key, "process factor") for key in keys]
    if len(set(keys)) < len(keys):
        raise ValueError(f"process factors {', '.join(keys)}: give each one once.")
    estimates = [key for key, item in zip(keys, chosen, strict=True) if item.grade == "E"]
    if len(estimates) > MOST_ESTIMATES:
        raise ValueError(
            f"{len(estimates)} estimated process factors ({', '.join(estimates)}); at most "
            f"{MOST_ESTIMATES} may be multiplied. Keep the two that matter most, or test a coupon."
        )
    product = 1.0
    for item in chosen:
        product *= item.factor
    return min(max(product, LOWEST), HIGHEST)
