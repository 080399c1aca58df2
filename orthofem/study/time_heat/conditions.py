"""Time and heat round a study: how warm it is, how long loads stay, how often they come back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from orthofem.errors import ModelError, check_between, check_positive, pick
from orthofem.loads import LOAD_CASES, Use
from orthofem.materials import (
    Material,
    Strengths,
    free_strain,
    heat_factor,
    load,
    moisture_note,
)
from orthofem.materials.creep import LEANING_HOURS, STORAGE_HOURS, remaining_modulus
from orthofem.materials.heat import ROOM, check_temperature
from orthofem.tensors import ElasticConstants

from ..border import Border
from ..option import Option, Print
from ..setting import Setting, StickWindow

LONGEST = 20 * 365 * 24.0
"""Longest load that is looked at. [h]"""
HOT_CAR_SOURCE = (
    "parked car in the sun: 70 degC (E), inside the 41 to 76 degC measured by Grundstein, "
    "Meentemeyer, Dowd 2009, Int. J. Biometeorol. (P)"
)


@dataclass(frozen=True)
class Conditions:
    """Time and heat; whatever is left out is switched off.

    Parameters
    ----------
    temperature : float, optional
        Of the part; scales stiffness and strength. [degC]
    hours : float, optional
        How long every load of the study stays; scales stiffness by creep and compares the stress
        with what may stay that long. [h]
    use : Use, optional
        How often loads come back: life and reserve in fatigue.
    joined_at : float, optional
        Temperature at which the pieces were put together: the stress that the change to
        `temperature` leaves between them. [degC]
    damp : bool, optional
        Say what damp does to each material. No number changes.
    unchanged : tuple of str, optional
        Keys of materials to take as they are at room temperature and at once, where nothing is
        known of them. Your decision, told in every report.

    Raises
    ------
    ValueError
        If a number is out of range, a material is unknown, or `joined_at` has no `temperature`.

    Examples
    --------
    >>> from orthofem.materials import load
    >>> round(Conditions(temperature=40.0).factors(load("pla")).stiffness, 3)
    0.932
    """

    temperature: float | None = None
    hours: float | None = None
    use: Use | None = None
    joined_at: float | None = None
    damp: bool = False
    unchanged: tuple[str, ...] = ()

    def __post_init__(self):
        if self.temperature is not None:
            check_temperature("temperature", self.temperature)
        if self.hours is not None:
            check_positive("hours", self.hours, "h")
            check_between("hours", self.hours, 0.0, LONGEST, "h")
        if self.use is not None and not isinstance(self.use, Use):
            raise ValueError(f"use = {self.use!r}; give Use(steps_per_day=...) or leave it out.")
        if self.joined_at is not None:
            check_temperature("joined_at", self.joined_at)
            if self.temperature is None:
                raise ValueError(
                    f"joined_at = {self.joined_at:g} degC says from where the part warms or cools, "
                    "but not to where; give temperature=... too."
                )
        if isinstance(self.unchanged, str):
            raise ValueError(f"unchanged = '{self.unchanged}'; give a tuple of material keys.")

    @property
    def warming(self) -> float:
        """Change of temperature since the pieces were put together. [K]."""
        if self.joined_at is None or self.temperature is None:
            return 0.0
        return self.temperature - self.joined_at

    def check(self, setting: Setting) -> None:
        """Refuse what does not go together with a study's loads.

        Raises
        ------
        ValueError
            If loads are to stay for hours but one of them is a blow, or none of the study's
            cases comes back with the steps.
        """
        if self.hours is not None:
            for case in _cases(setting):
                if getattr(case, "blow", None) is not None:
                    raise ValueError(
                        f"hours = {self.hours:g}: load case '{case.name}' is a blow, which lasts "
                        "a few milliseconds. Leave hours out, or study the blow by itself."
                    )
        if self.use is not None and not set(self.use.cases) & set(setting.case_names):
            raise ValueError(
                f"use: none of the load cases that come back ({', '.join(self.use.cases)}) is in "
                f"the study, which has {', '.join(setting.case_names)}. Name one in "
                "Use(cases=(...,)), or leave use out."
            )

    def factors(self, material: Material) -> Factors:
        """What is left of a material's stiffness and strength, and why.

        Raises
        ------
        ModelError
            If the material is not rated at the temperature, or nothing is known of it; the
            message says what to test.
        """
        stiffness = strength = 1.0
        notes: list[str] = []
        if material.key in self.unchanged:
            if self.temperature is not None or self.hours is not None:
                notes.append(
                    f"{material.title}: taken unchanged by time and heat, as the study asks; "
                    "nothing is known of it"
                )
            return Factors(1.0, 1.0, tuple(notes))
        if self.temperature is not None:
            heat = heat_factor(material, self.temperature)
            if heat.status != "rated":
                raise ModelError(f"{heat.note}.{self._way_out(material, heat.status)}")
            stiffness, strength = heat.stiffness, heat.strength
            notes += [f"{heat.note}. {heat.source}"] if heat.note else []
        if self.hours is not None:
            left = remaining_modulus(material, self.hours, self._now)
            if not left.known:
                raise ModelError(f"{left.note}.{self._way_out(material, 'no value')}")
            stiffness *= left.factor
            notes.append(
                f"{left.note}. Stiffness after {self.hours:g} h times {left.factor:.3f} "
                f"({left.grade}). {left.source}"
            )
        return Factors(stiffness, strength, tuple(notes))

    def applied(self, option: Option) -> Option:
        """Return the option with every material as these conditions leave it.

        Raises
        ------
        ModelError
            If a material is not rated, or nothing is known of it.
        ValueError
            If the part warms and the expansion of a material is not known.
        """
        if self.temperature is None and self.hours is None:
            return option
        prints = {}
        for name, printed in option.prints.items():
            material = printed.loaded
            if self.warming:  # what does not expand as far as is known is told before solving
                free_strain(material, printed.frame, self.warming, np.zeros((3, 1)))
            found = self.factors(material)
            prints[name] = Print(found.of(material), printed.frame)
        borders = {name: self._border(border) for name, border in option.borders.items()}
        return replace(option, prints=prints, borders=borders)

    def notes(self, option: Option) -> tuple[str, ...]:
        """What a reader must know of these conditions and of the materials in them."""
        told = list(self._said())
        for material in {p.loaded.key: p.loaded for p in option.prints.values()}.values():
            told += self.factors(material).notes
            if self.damp:
                told.append(moisture_note(material))
        return tuple(note for note in dict.fromkeys(told) if note)

    def _border(self, border):
        """A border's glue under these conditions; bonds follow the prints on their sides."""
        if not isinstance(border, Border) or border.glue is None:
            return border
        glue = border.glue if isinstance(border.glue, Material) else load(border.glue)
        return replace(border, glue=self.factors(glue).of(glue))

    def _said(self) -> Iterator[str]:
        if self.temperature is not None:
            yield f"The part is at {self.temperature:g} degC, for which every reserve factor holds."
        if self.hours is not None:
            yield f"Every load stays for {self.hours:g} h; displacements are those at its end."
        if self.use is not None:
            yield (
                f"The stick is put down {self.use.contacts_per_year:,.0f} times a year: "
                f"{self.use.source}. "
                "Each load that comes back is judged as if every contact were of its kind."
            )
        if self.joined_at is not None:
            yield (
                f"The pieces were put together at {self.joined_at:g} degC; what the warming adds "
                "stands in the table of time and heat, not in the reserve factors."
            )

    @property
    def _now(self) -> float:
        return ROOM if self.temperature is None else self.temperature

    def _way_out(self, material: Material, status: str) -> str:
        if status == "not rated":
            return ""
        return (
            f" To take it unchanged at your own judgement, give unchanged=('{material.key}',) in "
            "Conditions."
        )


@dataclass(frozen=True)
class Factors:
    """What is left of a material.

    Parameters
    ----------
    stiffness, strength : float
        Factors on the values at room temperature and at once. [-]
    notes : tuple of str
        Why, with grade, source and what to test.
    """

    stiffness: float
    strength: float
    notes: tuple[str, ...]

    def of(self, material: Material) -> Material:
        """Return the material with these factors; Poisson's ratios and density stay."""
        if self.stiffness == 1.0 and self.strength == 1.0:
            return material
        return replace(
            material,
            constants=_scaled(material.constants, self.stiffness),
            strengths=_weakened(material.strengths, self.strength),
            notes=(*material.notes, *self.notes),
        )


def _scaled(constants: ElasticConstants, factor: float) -> ElasticConstants:
    moduli = ("E1", "E2", "E3", "G12", "G13", "G23")
    return replace(constants, **{name: factor * getattr(constants, name) for name in moduli})


def _weakened(strengths: Strengths, factor: float) -> Strengths:
    return strengths.scaled(in_plane=factor, across=factor)


def _cases(setting: Setting) -> Iterator:
    for case in setting.cases:
        if isinstance(case, str) and isinstance(setting, StickWindow):
            yield pick(LOAD_CASES, case, "load case")(setting.person, setting.stick)
        else:
            yield case


LEANING = Conditions(hours=LEANING_HOURS)
"""A person leans for ten minutes (E)."""
STORED = Conditions(hours=STORAGE_HOURS)
"""A stick hangs or leans in a corner for weeks, 1000 h (E)."""
HOT_CAR = Conditions(temperature=70.0)
"""A stick left in a parked car in the sun, see `HOT_CAR_SOURCE`."""
