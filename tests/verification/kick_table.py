"""The energy form of a kick against stepping through it, over the stated range.

``python tests/verification/kick_table.py`` prints the whole table.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from orthofem.loads import (
    Blow,
    JointFlexibility,
    Stick,
    StickStiffness,
    beam_flexibility,
    check_blow,
)

L, EI, MASS = 900.0, 1.2e8, 0.8
RATIOS = (0.1, 0.2, 0.3, 0.5, 0.7, 1.0)  # stick over foot mass
CONTACTS = (1.0, 2.0, 4.0, 8.0, 16.0, 64.0)  # contact over stick stiffness at mid-length
HEIGHTS = (100.0, 225.0, 450.0)
STATIONS = np.linspace(45.0, 855.0, 19)
HOLDS = {
    "tip held": {},
    "tip on rubber, 100 N/mm": {"tip_stiffness": 100.0},
    "tip slips at 180 N": {"tip_stiffness": 100.0, "grip": 180.0},
    "tip slips at 60 N": {"tip_stiffness": 100.0, "grip": 60.0},
    "hand on 0.5 N/mm": {"hand_stiffness": 0.5},
    "hand lets go": {"hand_stiffness": 0.0},
}


def plain_check(ratio, contact, **holds):
    """Check of a plain shaft by stick over foot mass, and contact over stick stiffness."""
    stiff = StickStiffness(Stick(length=L, mass=MASS, diameter=30), EI)
    kick = Blow(np.array(HEIGHTS), np.zeros(3), MASS / ratio, 4000.0, contact * 48 * EI / L**3)
    return check_blow(stiff, replace(kick, method="stepped", **holds), STATIONS)


def random_kick(rng):
    """Some stick with softer joints, and some foot: stiffness, blow, stations."""
    d, length = rng.uniform(22, 38), rng.uniform(700, 1500)
    bending = rng.uniform(1500, 3500) * math.pi / 64 * d**4
    shear = 4.3 * bending / d**2  # of a round shaft, G 0.3 E
    pieces = int(rng.integers(2, 6))
    joints = tuple(length * k / pieces for k in range(1, pieces))
    mass = 1.24e-6 * math.pi / 4 * d**2 * length * rng.uniform(0.5, 1.0)
    half = min(60.0, length / pieces / 2.1)
    matrix = beam_flexibility(2 * half, bending * rng.uniform(0.25, 1.0), shear)
    windows = tuple(JointFlexibility(x - half, x + half, matrix) for x in joints)
    stiff = StickStiffness(
        Stick(length=length, joints=joints, mass=mass, diameter=d), bending, shear, windows
    )
    heights = np.array(sorted({100.0, length / 2, *(x for x in joints if x <= 350)}))
    foot = rng.uniform(1.1, 5.3), 4000.0, rng.uniform(20, 100)
    kick = Blow(heights, np.zeros(heights.size), *foot)
    return stiff, kick, np.union1d(np.linspace(0.05, 0.95, 15) * length, joints)


def main():
    """Print the ratios: largest on the stick, and least and most where it matters."""
    print("energy form over stepped: largest [least-most at stations with 0.3 of the largest]")
    for name, holds in HOLDS.items():
        print(f"\n{name}\ncontact/stick  " + "  ".join(f"m/M {r:<12}" for r in RATIOS))
        for contact in CONTACTS:
            row = [plain_check(r, contact, **holds) for r in RATIOS]
            cells = [(c.largest, c.ratio[c.matters], c.within_reach) for c in row]
            text = [
                f"{a:.2f} [{b.min():.2f}-{b.max():.2f}]{'*' if w else ' '}" for a, b, w in cells
            ]
            print(f"{contact:>13g}  " + "  ".join(text))
    print("\n* within the stated reach")


if __name__ == "__main__":
    main()
