"""What the charts draw: options by loads, curves, refinements."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.figures.data import Numbers, PrintPicture, sized


@dataclass(frozen=True)
class ReserveTable:
    """Reserve factors of options under load cases.

    Parameters
    ----------
    options, cases : tuple of str
        Names in plain words.
    reserve : ndarray of shape (n_options, n_cases)
        Number that the load is multiplied with to break the part; inf where it does not
        break, 0 where it breaks without a load, NaN where there is no answer. [-]
    wanted : ndarray of shape (n_cases,)
        Reserve factor wanted for each load. [-]
    mode : sequence of n_options sequences of n_cases str
        How it fails, in plain words.
    """

    options: tuple[str, ...]
    cases: tuple[str, ...]
    reserve: Numbers
    wanted: Numbers
    mode: tuple[tuple[str, ...], ...]

    def __post_init__(self) -> None:
        """Check the shapes and that factors are above zero."""
        shape = (len(self.options), len(self.cases))
        sized("ReserveTable", "reserve", self.reserve, shape)
        sized("ReserveTable", "wanted", self.wanted, shape[1:])
        sized("ReserveTable", "mode", self.mode, shape)
        if 0 in shape:
            raise ValueError(
                f"ReserveTable has {shape[0]} options and {shape[1]} cases; give one of each "
                "at least."
            )
        if (np.asarray(self.reserve) < 0).any():
            raise ValueError(f"ReserveTable: a reserve factor is below zero: {self.reserve}.")
        if (np.asarray(self.wanted) <= 0).any():
            raise ValueError(f"ReserveTable: a wanted factor is zero or below: {self.wanted}.")

    @property
    def margin(self) -> Numbers:
        """Smallest reserve over wanted factor of each option, 0 where one has no answer."""
        ratio = np.asarray(self.reserve, float) / np.asarray(self.wanted, float)
        return np.where(np.isnan(ratio), 0.0, ratio).min(axis=1)

    @property
    def ranking(self) -> Numbers:
        """Numbers of the options, best first, by `margin`."""
        return np.argsort(-self.margin, kind="stable")


@dataclass(frozen=True)
class DeflectionCurves:
    """Deflected shape of the axis, one curve an option.

    Parameters
    ----------
    options : tuple of str
        Names in plain words.
    station : ndarray of shape (n,)
        Places along the stick. [mm]
    displacement : ndarray of shape (n_options, n)
        Sideways displacement there. [mm]
    case : str
        The load, in plain words.
    joint : float, optional
        Place of the joint along the stick. [mm]
    """

    options: tuple[str, ...]
    station: Numbers
    displacement: Numbers
    case: str
    joint: float | None = None

    def __post_init__(self) -> None:
        """Check the shapes."""
        shape = (len(self.options), len(self.station))
        sized("DeflectionCurves", "displacement", self.displacement, shape)


@dataclass(frozen=True)
class RefinementTable:
    """Raw peak and averaged value on finer and finer meshes.

    Parameters
    ----------
    options : tuple of str
        Names in plain words.
    size : ndarray of shape (n_options, n_meshes)
        Smallest mesh size. [mm]
    raw, averaged : ndarray of shape (n_options, n_meshes)
        The quantity at its raw peak, and averaged over the material length.
    quantity : str
        What is drawn, with its unit in brackets.
    """

    options: tuple[str, ...]
    size: Numbers
    raw: Numbers
    averaged: Numbers
    quantity: str = "failure index [-]"

    def __post_init__(self) -> None:
        """Check the shapes, and that there are two meshes to compare."""
        shape = np.shape(self.size)
        if len(shape) != 2 or shape[0] != len(self.options) or shape[1] < 2:
            raise ValueError(
                f"RefinementTable: size has shape {shape}; give one row for each of the "
                f"{len(self.options)} options and two meshes at least."
            )
        sized("RefinementTable", "raw", self.raw, shape)
        sized("RefinementTable", "averaged", self.averaged, shape)


@dataclass(frozen=True)
class Overview:
    """The one picture of a study: best and worst option, and all reserve factors."""

    best: PrintPicture
    worst: PrintPicture
    table: ReserveTable
