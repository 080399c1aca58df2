"""By how much an axial force enlarges what bends a column."""

from __future__ import annotations

import math

from orthofem.errors import check_between


def sway_amplification(ratio: float) -> dict[str, float]:
    """By how much an axial force below the buckling load enlarges deflections and moments.

    Parameters
    ----------
    ratio : float
        Axial force over buckling load, 0 up to 0.999. [-]

    Returns
    -------
    factors : dict of str to float
        Cantilever pushed at its tip ("cantilever deflection", "cantilever moment"); column with
        ends free to turn under an eccentric force ("eccentric") and under a uniform side load
        ("uniform deflection", "uniform moment"); and the rule of thumb "simple", 1/(1 - r). [-]

    References
    ----------
    .. [1] Beam-column theory (D).

    Examples
    --------
    >>> round(sway_amplification(0.5)["eccentric"], 6)
    2.252172
    """
    r = check_between("axial force over buckling load", ratio, 0.0, 0.999)
    if r == 0:
        names = ("cantilever deflection", "cantilever moment", "eccentric", "uniform deflection",
                 "uniform moment", "simple")  # fmt: skip
        return dict.fromkeys(names, 1.0)
    u = math.pi / 2.0 * math.sqrt(r)
    sec, tan = 1.0 / math.cos(u), math.tan(u)
    return {
        "cantilever deflection": 3.0 * (tan - u) / u**3,
        "cantilever moment": tan / u,
        "eccentric": sec,
        "uniform deflection": 12.0 * (2.0 * sec - 2.0 - u**2) / (5.0 * u**4),
        "uniform moment": 2.0 * (sec - 1.0) / u**2,
        "simple": 1.0 / (1.0 - r),
    }
