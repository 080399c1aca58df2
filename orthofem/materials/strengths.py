"""Strengths of a printed material in print axes."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields, replace

IN_PLANE = ("Xt", "Xc", "Yt", "Yc", "S12")
ACROSS = ("Zt", "Zc", "S23", "S13")


@dataclass(frozen=True)
class Strengths:
    """Nine strengths in print axes, all as positive magnitudes.

    Axis 1 runs along the bead, 2 across it in the layer, 3 along the build direction.
    `math.inf` stands for a way in which the material does not fail, `math.nan` for a value that
    nobody has given; an index asked of a missing strength is refused (`require`).

    Parameters
    ----------
    Xt, Xc : float
        Tension and compression along axis 1. [MPa]
    Yt, Yc : float
        Tension and compression along axis 2. [MPa]
    Zt, Zc : float
        Tension and compression along axis 3. [MPa]
    S23, S13 : float
        Shear between layers. [MPa]
    S12 : float
        Shear in the layer. [MPa]

    Raises
    ------
    ValueError
        If a strength is zero or negative; the message names it.

    Examples
    --------
    >>> pla = Strengths.transverse(Xt=50, Xc=70, Zt=28, Zc=65, S_in_plane=28, S_interlaminar=20)
    >>> pla.Yt, pla.S13, pla.is_transverse
    (50.0, 20.0, True)
    >>> pla.scaled(across=0.5).Zt
    14.0
    """

    Xt: float
    Xc: float
    Yt: float
    Yc: float
    Zt: float
    Zc: float
    S23: float
    S13: float
    S12: float

    def __post_init__(self) -> None:
        for field in fields(self):
            value = float(getattr(self, field.name))
            if value <= 0:
                raise ValueError(
                    f"Strength {field.name} = {value:g} MPa; a strength is a magnitude above zero. "
                    "Give inf if the material does not fail that way, nan if there is no value."
                )
            object.__setattr__(self, field.name, value)

    @classmethod
    def transverse(
        cls,
        Xt: float,
        Xc: float,
        Zt: float,
        Zc: float,
        S_in_plane: float,
        S_interlaminar: float,
    ) -> Strengths:
        """Return the strengths of a material alike in all directions of the layer.

        Parameters
        ----------
        Xt, Xc : float
            Tension and compression along any direction in the layer. [MPa]
        Zt, Zc : float
            Tension and compression across the layers. [MPa]
        S_in_plane, S_interlaminar : float
            Shear in the layer, and between layers. [MPa]
        """
        return cls(Xt, Xc, Xt, Xc, Zt, Zc, S_interlaminar, S_interlaminar, S_in_plane)

    @classmethod
    def isotropic(cls, tension: float, compression: float, shear: float) -> Strengths:
        """Return the strengths of a material alike in all directions.

        Parameters
        ----------
        tension, compression, shear : float
            Strengths. [MPa]
        """
        return cls.transverse(tension, compression, tension, compression, shear, shear)

    @property
    def is_transverse(self) -> bool:
        """Whether the numbers are alike in all directions of the layer."""
        return (self.Xt, self.Xc, self.S13) == (self.Yt, self.Yc, self.S23)

    @property
    def is_isotropic(self) -> bool:
        """Whether the numbers are alike in all directions of space."""
        alike = (self.Xt, self.Xc, self.S13) == (self.Zt, self.Zc, self.S12)
        return self.is_transverse and alike

    @property
    def missing(self) -> list[str]:
        """Names of the strengths without a value."""
        return [field.name for field in fields(self) if math.isnan(getattr(self, field.name))]

    def require(self, *names: str, what: str = "A failure index") -> None:
        """Refuse strengths that lack one of the named values.

        Parameters
        ----------
        *names : str
            Strengths that are needed; all nine if none is named.
        what : str
            What needs them, for the message.

        Raises
        ------
        ValueError
            If one of them is missing; the message names all that are, and the remedy.
        """
        lacking = [name for name in self.missing if not names or name in names]
        if lacking:
            raise ValueError(
                f"{what} needs {', '.join(lacking)}, for which this material has no value. "
                "Give your own numbers, or use the strengths of the transversely isotropic set "
                "of the same polymer, with a note that says so."
            )

    def scaled(self, in_plane: float = 1.0, across: float = 1.0, **factors: float) -> Strengths:
        """Return the strengths times a factor each.

        Parameters
        ----------
        in_plane : float
            Factor on Xt, Xc, Yt, Yc, S12. [-]
        across : float
            Factor on Zt, Zc, S23, S13. [-]
        **factors : float
            Further factors by name of the strength, as in ``Zt=0.85, S13=0.85, S23=0.85``. [-]

        Returns
        -------
        strengths : Strengths
            New strengths. [MPa]

        Raises
        ------
        ValueError
            If a name is not a strength, or a factor is not a finite number above zero.
        """
        names = [field.name for field in fields(self)]
        for name, factor in {"in_plane": in_plane, "across": across, **factors}.items():
            if name not in (*names, "in_plane", "across"):
                raise ValueError(
                    f"Unknown strength '{name}'. Choose from: {', '.join(names)}, in_plane, across."
                )
            if not (math.isfinite(factor) and factor > 0):
                raise ValueError(f"Factor {name} = {factor}; it must be a number above zero.")
        group = dict.fromkeys(IN_PLANE, in_plane) | dict.fromkeys(ACROSS, across)
        scale = {name: group[name] * factors.get(name, 1.0) for name in names}
        return replace(self, **{name: getattr(self, name) * scale[name] for name in names})
