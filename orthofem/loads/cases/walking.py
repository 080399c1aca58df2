"""Walking with the stick: light, everyday and heavy, over the instants of a step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_finite
from orthofem.loads.case import LoadCase
from orthofem.loads.person import Person
from orthofem.loads.statics import on_tip_and_hand, point_load
from orthofem.loads.stick import Stick

INSTANTS = (0.1, 0.3, 0.5, 0.7, 0.9)
LEANING = (
    "bending comes only from the hand (the tip turns freely on its rubber): largest at the "
    "handle, zero at the tip"
)


@dataclass(frozen=True)
class _Walk:
    """Numbers of one way of walking."""

    name: str
    title: str
    share: float  # of body weight
    offset: float  # of the load from the shaft axis [mm]
    wrist: float  # wrist moment toward the side [N mm]
    source: str
    factor: float
    reason: str


def light_walking(person: Person, stick: Stick, instants=INSTANTS) -> LoadCase:
    """Light walking: the stick for balance, a tenth of body weight.

    Parameters
    ----------
    person : Person
        User.
    stick : Stick
        Stick.
    instants : sequence of float
        Instants of the contact as shares of its time, between 0 and 1. [-]

    Returns
    -------
    case : LoadCase
        One variant per instant.
    """
    return _walking(
        person,
        stick,
        instants,
        _Walk(
            "light_walking",
            "Light walking, stick for balance",
            0.10,
            20.0,
            0.0,
            "load taken from Hart et al. 2019, Gait Posture (peak 7.2 +- 2.5 % of body weight, P): "
            "mean and one deviation, rounded up; offset 20 mm (E)",
            5.0,
            "in the band of 4 to 10 for intermittent critical loads of plastics (M-m)",
        ),
    )


def everyday_walking(person: Person, stick: Stick, instants=INSTANTS) -> LoadCase:
    """Everyday walking: a quarter of body weight and a wrist moment to either side.

    Parameters
    ----------
    person : Person
        User.
    stick : Stick
        Stick.
    instants : sequence of float
        Instants of the contact as shares of its time, between 0 and 1. [-]

    Returns
    -------
    case : LoadCase
        Two variants per instant, wrist moment toward +y and -y.
    """
    return _walking(
        person,
        stick,
        instants,
        _Walk(
            "everyday_walking",
            "Everyday walking",
            0.25,
            30.0,
            5000.0,
            "load taken from Chen CL et al. 2001, Arch. Phys. Med. Rehabil. 82:43-48 (below 25 % "
            "of body weight, P) and Kang, Oh, Cho 2021, Med. Sci. Monit. 27:e931565 (17 to 19 % on "
            "average, P); offset 30 mm and wrist moment 5000 N mm (E)",
            5.0,
            "in the band of 4 to 10 for intermittent critical loads of plastics (M-m)",
        ),
    )


def heavy_support(person: Person, stick: Stick, instants=INSTANTS) -> LoadCase:
    """Heavy support: more than a third of body weight on the stick at each step.

    Parameters
    ----------
    person : Person
        User.
    stick : Stick
        Stick.
    instants : sequence of float
        Instants of the contact as shares of its time, between 0 and 1. [-]

    Returns
    -------
    case : LoadCase
        One variant per instant.
    """
    return _walking(
        person,
        stick,
        instants,
        _Walk(
            "heavy_support",
            "Heavy support while walking",
            0.35,
            30.0,
            0.0,
            "load taken from Clin. Orthop. Relat. Res. 2000; 375:313-319 (34 % of the foot force "
            "at heel strike, P) and Kang, Oh, Cho 2021, Med. Sci. Monit. 27:e931565 (mean and two "
            "deviations 28 %, D(P)); offset 30 mm (E)",
            4.0,
            "low end of the band of 4 to 10 for intermittent critical loads of plastics (M-m)",
        ),
    )


def _walking(person: Person, stick: Stick, instants, walk: _Walk) -> LoadCase:
    """Half a sine over the contact, on the handle, with the stick held sideways by the hand."""
    times = check_finite("instants", instants).reshape(-1)
    if not times.size or (times <= 0).any() or (times >= 1).any():
        raise ValueError(
            f"instants = {times.tolist()}; give shares of the contact time between 0 and 1."
        )
    sides = (1.0, -1.0) if walk.wrist else (0.0,)
    time, side = (grid.ravel() for grid in np.meshgrid(times, sides, indexing="ij"))
    rise = np.sin(np.pi * time)
    zero = np.zeros(time.size)
    handle = (stick.length, 0.0, walk.offset)
    push = np.stack([-walk.share * person.weight * rise, zero, zero])
    wrist = np.stack([zero, zero, walk.wrist * side * rise])
    labels = tuple(
        f"{100 * t:.0f} % of contact" + (f", wrist toward {'+' if s > 0 else '-'}y" if s else "")
        for t, s in zip(time, side, strict=True)
    )
    return LoadCase(
        walk.name,
        walk.title,
        walk.source,
        "E",
        walk.factor,
        walk.reason + "; factor E",
        labels,
        stick,
        on_tip_and_hand(point_load(handle, push, wrist), stick.length),
        notes=(LEANING, "one half sine over the contact (E): no force curve is published"),
    )
