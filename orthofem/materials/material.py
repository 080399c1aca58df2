"""A printed (or bought) material: constants, strengths and where each number comes from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from orthofem.materials.strengths import Strengths
from orthofem.materials.values import Value
from orthofem.tensors import ElasticConstants

KINDS = ("transverse", "orthotropic", "isotropic")


@dataclass(frozen=True)
class Material:
    """A material in print axes: 1 along the bead, 2 across it in the layer, 3 build.

    Parameters
    ----------
    key, title : str
        Name in the library, and name for people.
    kind : {"transverse", "orthotropic", "isotropic"}
        Transverse: alike in all directions of the layer.
    density : float
        Density, NaN where there is no value. [g/cm3 = 1e-6 kg/mm3]
    constants : ElasticConstants
        Elastic constants. [MPa, -]
    strengths : Strengths
        Mean strengths on the gross section; NaN where there is no value, infinite where the
        material does not fail that way. [MPa]
    values : mapping of str to Value
        Every number as written in the file, with source and grade.
    expansion : tuple of three float
        Thermal expansion along 1, 2, 3, NaN where there is no value. [1/K]
    use_limit : float
        Highest temperature under load, NaN where there is no value. [degC]
    critical_length : float
        Material length for cracks and notches that cross the layers, NaN where there is no
        value. [mm]
    notes : tuple of str
        What a reader of any result must know.
    printed : bool
        False for a rod or a glue: it has no layers.
    polymer : str
        Library key whose behaviour over time and in the damp it shares; its own key as a rule.
    fill : float
        Share of the volume that is filled; below 1 for an infill. [-]
    """

    key: str
    title: str
    kind: str
    density: float
    constants: ElasticConstants
    strengths: Strengths
    values: Mapping[str, Value]
    expansion: tuple[float, float, float] = (math.nan, math.nan, math.nan)
    use_limit: float = math.nan
    critical_length: float = math.nan
    notes: tuple[str, ...] = ()
    printed: bool = True
    polymer: str = ""
    fill: float = 1.0

    def __post_init__(self):
        if self.kind not in KINDS:
            raise ValueError(
                f"{self.key}: kind '{self.kind}' is unknown; choose one of: {', '.join(KINDS)}."
            )
        self.constants.check(self.key)


def temperature_note(material: Material, temperature: float) -> str:
    """Say in words whether a temperature lies above the use limit; empty if it does not.

    Parameters
    ----------
    material : Material
        Material with its use limit.
    temperature : float
        Temperature of the part. [degC]

    Returns
    -------
    note : str
        A sentence for the report, or "".
    """
    if not math.isfinite(temperature):
        raise ValueError(f"temperature = {temperature}; give a finite number of degC.")
    if math.isnan(material.use_limit):
        return f"{material.title}: no use temperature is known for it."
    if temperature <= material.use_limit:
        return ""
    grade = material.values["use_limit"].grade if "use_limit" in material.values else "E"
    return (
        f"{material.title}: {temperature:g} degC lies above its use limit under load of "
        f"{material.use_limit:g} degC ({grade}); strength and stiffness do not hold there."
    )
