"""``orthofem check``: is a part file fit to be meshed, and if not, where is it broken."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from orthofem.errors import ModelError
from orthofem.mesh import FileReport, check_file


def check(
    path: Annotated[Path, typer.Argument(help="STEP or STL file.")],
    unit: Annotated[
        str | None, typer.Option(help="Unit of the file: mm, cm, m or inch; its own if not given.")
    ] = None,
    scale: Annotated[float, typer.Option(help="Further factor on all lengths.")] = 1.0,
) -> None:
    """Check a part file: size, volume, faces, and every fault with its place."""
    found = check_file(path, unit, scale)
    Console(highlight=False).print(described(found), soft_wrap=True)
    if found.problems:
        raise ModelError(f"'{path}' cannot be meshed yet: " + "; ".join(found.problems))


def described(found: FileReport) -> str:
    """Say what a part file holds."""
    x, y, z = found.size
    faces = "faces" if found.kind == "STEP" else "triangles"
    return (
        f"{found.path}: {found.kind}, unit {found.unit or 'as in the file'}\n"
        f"box {x:.2f} x {y:.2f} x {z:.2f} mm, volume {found.volume:.1f} mm3, "
        f"{found.n_solids} solid(s), {found.n_faces} {faces}\n"
        + ("closed: ready to be meshed" if found.watertight else "not closed")
    )
