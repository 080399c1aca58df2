"""Elastic constants in print axes, and the stiffness and compliance they make."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite
from orthofem.tensors.voigt import ORDER, FloatArray, square


@dataclass(frozen=True)
class ElasticConstants:
    """Nine elastic constants of an orthotropic material in print axes.

    ``nu_ij = -strain_j / strain_i`` under stress along i alone, so ``nu_ij / E_i = nu_ji / E_j``.

    Parameters
    ----------
    E1, E2, E3 : float
        Young's moduli along the bead, across it in the layer, along the build axis. [MPa]
    nu12, nu13, nu23 : float
        Poisson ratios. [-]
    G12, G13, G23 : float
        Shear moduli. [MPa]

    Examples
    --------
    >>> pla = ElasticConstants.transverse(E_p=3200, E_z=2700, nu_p=0.33, nu_zp=0.30, G_zp=1000)
    >>> round(pla.G12, 1), round(pla.nu13, 4)
    (1203.0, 0.3556)
    """

    E1: float
    E2: float
    E3: float
    nu12: float
    nu13: float
    nu23: float
    G12: float
    G13: float
    G23: float

    @classmethod
    def transverse(
        cls, E_p: float, E_z: float, nu_p: float, nu_zp: float, G_zp: float
    ) -> ElasticConstants:
        """Return the constants of a material alike in all directions of the layer.

        Parameters
        ----------
        E_p, E_z : float
            Young's moduli in the layer and along the build axis. [MPa]
        nu_p, nu_zp : float
            Poisson ratio in the layer, and ``-strain_p / strain_z`` under stress along the
            build axis. [-]
        G_zp : float
            Shear modulus between layers. [MPa]
        """
        for name, value in (("E_p", E_p), ("E_z", E_z), ("1 + nu_p", 1.0 + nu_p)):
            if not value > 0:
                raise ValueError(f"{name} = {value:g}; it must be above zero.")
        nu_pz = nu_zp * E_p / E_z
        G_p = E_p / (2.0 * (1.0 + nu_p))
        return cls(E_p, E_p, E_z, nu_p, nu_pz, nu_pz, G_p, G_zp, G_zp)

    @classmethod
    def isotropic(cls, E: float, nu: float) -> ElasticConstants:
        """Return the constants of a material alike in all directions.

        Parameters
        ----------
        E : float
            Young's modulus. [MPa]
        nu : float
            Poisson ratio. [-]
        """
        if not 1.0 + nu > 0:
            raise ValueError(f"nu = {nu:g}; it must be above -1.")
        G = E / (2.0 * (1.0 + nu))
        return cls(E, E, E, nu, nu, nu, G, G, G)

    def check(self, name: str = "elastic constants") -> ElasticConstants:
        """Return the constants if a real material can have them.

        Parameters
        ----------
        name : str
            What they belong to, for the message.

        Raises
        ------
        ValueError
            If an entry is NaN or infinite, a modulus is not above zero, or the Poisson ratios
            would let the material give energy back (stiffness not positive definite).
        """
        for field in fields(self):
            value = float(check_finite(f"{name}: {field.name}", getattr(self, field.name)))
            if field.name[0] in "EG" and value <= 0:
                raise ValueError(
                    f"{name}: {field.name} = {value:g} MPa; a modulus must be above zero."
                )
        moduli = {"1": self.E1, "2": self.E2, "3": self.E3}
        for pair in ("12", "13", "23"):
            nu, limit = getattr(self, f"nu{pair}"), (moduli[pair[0]] / moduli[pair[1]]) ** 0.5
            if abs(nu) >= limit:
                raise ValueError(
                    f"{name}: nu{pair} = {nu:g}; with E{pair[0]} = {moduli[pair[0]]:g} and "
                    f"E{pair[1]} = {moduli[pair[1]]:g} it must lie between {-limit:.4g} and "
                    f"{limit:.4g}. Check that nu{pair} is not its pair nu{pair[::-1]}."
                )
        bound = self.poisson_bound
        if bound <= 0:
            raise ValueError(
                f"{name}: 1 - nu12 nu21 - nu23 nu32 - nu13 nu31 - 2 nu21 nu32 nu13 = {bound:.4g}; "
                "it must be above zero. The Poisson ratios "
                f"nu12 = {self.nu12:g}, nu13 = {self.nu13:g}, nu23 = {self.nu23:g} are together "
                "too large for these moduli; lower them."
            )
        return self

    @property
    def poisson_bound(self) -> float:
        """Energy bound on the Poisson ratios [-], above zero for a real material."""
        nu21 = self.nu12 * self.E2 / self.E1
        nu31 = self.nu13 * self.E3 / self.E1
        nu32 = self.nu23 * self.E3 / self.E2
        pairs = self.nu12 * nu21 + self.nu23 * nu32 + self.nu13 * nu31
        return 1.0 - pairs - 2.0 * nu21 * nu32 * self.nu13


def compliance(constants: ElasticConstants) -> FloatArray:
    """Compliance in print axes, engineering shears.

    Parameters
    ----------
    constants : ElasticConstants
        Elastic constants. [MPa, -]

    Returns
    -------
    S : ndarray of shape (6, 6)
        Compliance. [1/MPa]

    Raises
    ------
    ValueError
        If no real material can have these constants.

    Examples
    --------
    >>> compliance(ElasticConstants.isotropic(E=1000, nu=0.25))[0, :4] * 1000
    array([ 1.  , -0.25, -0.25,  0.  ])
    """
    c = constants.check()
    S = np.diag(1.0 / np.array([c.E1, c.E2, c.E3, c.G23, c.G13, c.G12]))
    S[0, 1] = S[1, 0] = -c.nu12 / c.E1
    S[0, 2] = S[2, 0] = -c.nu13 / c.E1
    S[1, 2] = S[2, 1] = -c.nu23 / c.E2
    return S


def stiffness(constants: ElasticConstants) -> FloatArray:
    """Stiffness in print axes, the inverse of `compliance`.

    Parameters
    ----------
    constants : ElasticConstants
        Elastic constants. [MPa, -]

    Returns
    -------
    C : ndarray of shape (6, 6)
        Stiffness. [MPa]

    Raises
    ------
    ValueError
        If no real material can have these constants.

    Examples
    --------
    >>> np.round(stiffness(ElasticConstants.isotropic(E=1000, nu=0.25))[0], 9)
    array([1200., 400., 400., 0., 0., 0.])
    """
    C = np.linalg.inv(compliance(constants))
    return (C + C.T) / 2.0


def engineering_constants(S: ArrayLike) -> dict[str, FloatArray]:
    """Moduli, Poisson ratios and shear couplings read off a compliance in any axes.

    Parameters
    ----------
    S : array_like of shape (6, 6, ...)
        Compliance in axes 1, 2, 3 (x, y, z), engineering shears. [1/MPa]

    Returns
    -------
    constants : dict of str to ndarray of shape (...)
        `E1 E2 E3 G23 G13 G12` [MPa], `nu12 nu21 nu13 nu31 nu23 nu32` and the couplings
        `eta23_1` and so on: shear 23 per strain 1 under stress along 1 alone. [-]

    Examples
    --------
    >>> found = engineering_constants(compliance(ElasticConstants.isotropic(E=1000, nu=0.25)))
    >>> round(float(found["E1"]), 6), round(float(found["nu13"]), 6), float(found["eta12_1"])
    (1000.0, 0.25, 0.0)
    """
    S = square("compliance", S, 6)
    found = {}
    for i in range(3):
        found[f"E{i + 1}"] = 1.0 / S[i, i]
        for j in range(3):
            if i != j:
                found[f"nu{i + 1}{j + 1}"] = -S[j, i] / S[i, i]
        for shear in range(3, 6):
            found[f"eta{ORDER[shear]}_{i + 1}"] = S[shear, i] / S[i, i]
    for shear in range(3, 6):
        found[f"G{ORDER[shear]}"] = 1.0 / S[shear, shear]
    return found
