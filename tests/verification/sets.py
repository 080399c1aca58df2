"""Test materials of the verification cases, and fields shared by several of them."""

from __future__ import annotations

import numpy as np

from orthofem.tensors import ElasticConstants, rotation

# chosen, of the size of printed PLA; not a measurement (grade E)
PO = ElasticConstants(
    E1=3400, E2=2900, E3=2500, nu12=0.36, nu13=0.34, nu23=0.33, G12=1150, G13=1000, G23=900
)
PT = ElasticConstants.transverse(E_p=3300, E_z=2400, nu_p=0.35, nu_zp=0.30, G_zp=900)

# graphite/epoxy lamina, Kaw AK 2006, Mechanics of Composite Materials: Table 2.1 (S), 3D of
# Example 2.2 (M-h)
KAW3 = ElasticConstants(
    E1=181e3, E2=10.3e3, E3=10.3e3, nu12=0.28, nu13=0.27, nu23=0.60, G12=7.17e3, G13=7.0e3, G23=3e3
)

R0 = rotation("z", 30) @ rotation("y", 20) @ rotation("x", 40)


def plane(E1, E2, nu12, G12) -> ElasticConstants:
    """Solid whose plane strain about 3 is exactly the plane stress of this lamina.

    With nu13 = nu23 = 0 the normal direction is not coupled to the plane, so that b_ij = S_ij.
    """
    return ElasticConstants(
        E1=E1, E2=E2, E3=E2, nu12=nu12, nu13=0.0, nu23=0.0, G12=G12, G13=G12, G23=G12
    )


KAW = plane(181e3, 10.3e3, 0.28, 7.17e3)
GLASS = plane(38.6e3, 8.27e3, 0.26, 4.14e3)
BORON = plane(204e3, 18.5e3, 0.23, 5.59e3)

KAW_SOURCE = "Kaw 2006, Table 2.1"


def traction_of(stress):
    """Traction function sigma . n of a constant stress (6,), or of a function of points."""

    def traction(points, normals):
        s = stress(points) if callable(stress) else np.asarray(stress)[:, None, None]
        n = normals
        return np.stack(
            [
                s[0] * n[0] + s[5] * n[1] + s[4] * n[2],
                s[5] * n[0] + s[1] * n[1] + s[3] * n[2],
                s[4] * n[0] + s[3] * n[1] + s[2] * n[2],
            ]
        )

    return traction
