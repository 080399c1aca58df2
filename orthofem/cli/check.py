"""``orthofem check``: is a part file fit to be meshed, and if not, where is it broken."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from orthofem.mesh import check_file


def check(
    path: Annotated[Path, typer.Argument(help="STEP or STL file.")],
    unit: Annotated[str, typer.Option(help="Unit of the file: mm, cm, m or inch.")] = "mm",
) -> None:
    """Check a part file: size, volume, faces, and every fault with its place."""
    typer.echo(str(check_file(path, unit)))
