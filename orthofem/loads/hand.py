"""How hard a bare hand can twist a round shaft."""

from __future__ import annotations

from orthofem.errors import check_between

STRONG = 1.8  # strong user or two hands, over an average man (E)
WEAK = {"average woman, low": 0.4, "average woman, high": 0.75, "frail": 0.3}  # (E)


def hand_torque(diameter: float) -> float:
    """Torque of one bare hand of an average man on a smooth round shaft.

    Parameters
    ----------
    diameter : float
        Diameter of what is gripped, 8 to 50; not that of the thread. [mm]

    Returns
    -------
    torque : float
        ``4000 (D/25)^2`` to 25 mm, then ``4000 (1 + (D - 25)/50)``. [N mm]

    Raises
    ------
    ValueError
        If the diameter is outside the range of the fit.

    References
    ----------
    .. [1] Fit E on published anchors (P): Replogle 1983, Proc. Hum. Factors Soc. 27:412-416
       (square of D to 25 mm, 1.5 times that at 50 mm); Kreifeldt 1985 (4100 +- 800 N mm);
       Kong et al. 2007, Ergonomics 50:1404.

    Examples
    --------
    >>> [round(hand_torque(D)) for D in (15, 20, 25, 30, 40)]
    [1440, 2560, 4000, 4400, 5200]
    """
    D = check_between("gripped diameter", diameter, 8.0, 50.0, "mm")
    return 4000.0 * (D / 25.0) ** 2 if D <= 25.0 else 4000.0 * (1.0 + 0.5 * (D - 25.0) / 25.0)
