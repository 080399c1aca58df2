"""Reading a STEP file: its unit, its solids, and whether its size makes sense."""

from __future__ import annotations

import re
from pathlib import Path
from types import ModuleType

import numpy as np

from orthofem.errors import ModelError
from orthofem.parts import UNITS, Imported, check_part_path

SMALLEST, LARGEST = 1.0, 3000.0  # mm; what a printed part can measure overall

_PREFIX = {"$": 1e3, ".MILLI.": 1.0, ".CENTI.": 10.0, ".DECI.": 100.0, ".MICRO.": 1e-3,
           ".KILO.": 1e6}  # fmt: skip
_NAMED = {"INCH": 25.4, "FOOT": 304.8, "YARD": 914.4}


def import_step(gmsh: ModuleType, solid: Imported) -> list[tuple[int, int]]:
    """Read the solid of a STEP file into the open session, in mm.

    Raises
    ------
    ModelError
        If the file cannot be read, holds no solid or more than was asked for, or its size is
        absurd in the stated unit.
    """
    volumes = read_solids(gmsh, solid)
    check_size(gmsh_box(gmsh, volumes), solid)
    if solid.index is None and len(volumes) > 1:
        boxes = "; ".join(
            f"{k}: {format_box(gmsh_box(gmsh, [volume]))}" for k, volume in enumerate(volumes)
        )
        raise ModelError(
            f"'{solid.path}' holds {len(volumes)} solids ({boxes}); name each of them, in this "
            "order: pieces=('first', 'second', ...)."
        )
    index = solid.index or 0
    if index >= len(volumes):
        raise ModelError(
            f"'{solid.path}' holds {len(volumes)} solids; there is none with number {index}. "
            "Give one piece name for each solid."
        )
    rest = [volume for volume in volumes if volume != volumes[index]]
    gmsh.model.occ.remove(rest, recursive=True)
    return [volumes[index]]


def read_solids(gmsh: ModuleType, solid: Imported) -> list[tuple[int, int]]:
    """Read all solids of a STEP file, scaled to mm by its unit or the stated one."""
    path = check_part_path(solid.path)
    if path.suffix.lower() == ".stl":
        raise ModelError(
            f"'{path}' is an STL file; its surface is one piece as it stands and cannot be cut or "
            "joined with others. For that give a STEP file."
        )
    # scaled while reading: scaling afterwards turns cylinders into free-form faces
    gmsh.option.setNumber("Geometry.OCCScaling", _factor(solid, path))
    try:
        found = gmsh.model.occ.importShapes(str(path))
    except Exception as error:  # the reader raises bare Exception
        raise ModelError(
            f"'{path}' could not be read as a STEP file: {error}. Export it again."
        ) from error
    finally:
        gmsh.option.setNumber("Geometry.OCCScaling", 1.0)
    volumes = [entity for entity in found if entity[0] == 3]
    if not volumes:
        raise ModelError(
            f"'{path}' holds no solid, only {len(found)} faces or curves; "
            "export a closed solid body."
        )
    return volumes


def _factor(solid: Imported, path: Path) -> float:
    """Factor on the mm that the reader makes of the unit that the file declares."""
    if solid.unit is None:
        return solid.scale
    declared = declared_unit(path.read_text(errors="replace"))
    if declared is None:
        raise ModelError(
            f"'{path}' declares no single length unit, so unit='{solid.unit}' cannot be set "
            "against it; leave the unit out and use scale=..."
        )
    return solid.scale * UNITS[solid.unit] / declared


def declared_unit(text: str) -> float | None:
    """Length unit that a STEP file declares, in mm; None if none, or several different ones.

    Examples
    --------
    >>> declared_unit("#9 = ( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) );")
    1.0
    """
    named, metric = set(), set()
    for record in re.findall(r"=\s*\(([^;]*LENGTH_UNIT[^;]*)\)\s*;", text):
        for name in re.findall(r"CONVERSION_BASED_UNIT\s*\(\s*'(\w+)'", record):
            named.add(_NAMED.get(name.upper()))
        for prefix in re.findall(r"SI_UNIT\s*\(\s*(\$|\.\w+\.)\s*,\s*\.METRE\.", record):
            metric.add(_PREFIX.get(prefix))
    # a converted unit is told in terms of a metric one, which then is not the file's own
    found = named or metric
    return found.pop() if len(found) == 1 else None


def gmsh_box(gmsh: ModuleType, volumes: list[tuple[int, int]]) -> np.ndarray:
    """Low and high corner of the box round volumes, shape (2, 3) [mm]."""
    boxes = np.array([gmsh.model.occ.getBoundingBox(*volume) for volume in volumes])
    return np.array([boxes[:, :3].min(axis=0), boxes[:, 3:].max(axis=0)])


def format_box(box: np.ndarray) -> str:
    """Size of a box in words."""
    size = box[1] - box[0]
    return f"{size[0]:.4g} x {size[1]:.4g} x {size[2]:.4g} mm"


def check_size(box: np.ndarray, solid: Imported) -> None:
    """Refuse a part that no one could print, with the units that would make sense.

    Raises
    ------
    ModelError
        If its longest side is below 1 mm or above 3 m.
    """
    longest = float((box[1] - box[0]).max())
    if SMALLEST <= longest <= LARGEST:
        return
    now = UNITS[solid.unit or "mm"]
    likely = [
        name
        for name, mm in UNITS.items()
        if SMALLEST <= longest / now * mm <= LARGEST and name != solid.unit
    ]
    unit = f"unit '{solid.unit}'" if solid.unit else "the unit that the file declares"
    hint = (
        f" If its numbers are in another unit, say so: "
        f"{' or '.join(f'unit={name!r}' for name in likely)}."
        if likely
        else " Check unit and scale."
    )
    raise ModelError(
        f"'{Path(solid.path).name}' measures {format_box(box)} with {unit} and scale "
        f"{solid.scale:g}; a part must measure between {SMALLEST:g} mm and {LARGEST:g} mm "
        f"overall.{hint}"
    )
