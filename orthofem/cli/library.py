"""``orthofem materials`` and ``orthofem loads``: what the library holds, with sources."""

from __future__ import annotations

from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from orthofem import materials as library
from orthofem.loads import LOAD_CASES, Person, Stick


def materials(
    name: Annotated[str | None, typer.Argument(help="Material to show in full.")] = None,
) -> None:
    """List the materials, or one with every number's grade and source."""
    if name is None:
        _list_materials()
    else:
        _show_material(name)


def loads(
    mass: Annotated[float, typer.Option(help="User's mass. [kg]")] = 80.0,
    height: Annotated[float, typer.Option(help="User's height. [mm]")] = 1700.0,
) -> None:
    """List the load cases with their source, grade and wanted reserve factor."""
    person = Person(mass=mass, height=height)
    stick = Stick.for_person(person)
    table = Table(title=f"Load cases for {mass:g} kg, {height:g} mm", title_justify="left")
    for column in ("name", "what happens", "source", "grade", "asked", "why that much"):
        table.add_column(column)
    for name, make in LOAD_CASES.items():
        case = make(person, stick)
        table.add_row(
            name,
            case.title,
            case.source,
            case.grade,
            f"{case.factor:g}",
            case.factor_reason,
            end_section=True,
        )
    Console().print(table)


def _list_materials() -> None:
    table = Table(title="Materials (MPa)", title_justify="left")
    for column in ("name", "title", "kind", "E1", "E3", "Xt", "Zt"):
        table.add_column(column, justify="left" if column in ("name", "title", "kind") else "right")
    for key in library.names():
        material = library.load(key)
        constants, strengths = material.constants, material.strengths
        numbers = (constants.E1, constants.E3, strengths.Xt, strengths.Zt)
        table.add_row(
            key,
            material.title,
            material.kind,
            *("no value" if n != n else f"{n:g}" for n in numbers),
        )
    Console().print(table)


def _show_material(name: str) -> None:
    material = library.load(name)
    table = Table(title=f"{material.title} ({material.kind})", title_justify="left")
    for column in ("quantity", "value", "unit", "grade", "source", "condition"):
        table.add_column(column)
    for quantity, value in material.values.items():
        table.add_row(
            quantity, f"{value.mean:g}", value.unit, value.grade, value.source, value.condition
        )
    Console().print(table)
    for note in material.notes:
        Console().print(f"Note: {note}")
