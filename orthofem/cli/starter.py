"""``orthofem new``: a starter study for a joint idea, which runs unchanged."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from orthofem import report
from orthofem.errors import pick
from orthofem.parts import JOINTS
from orthofem.report.folder import TEMPLATES


def new(
    path: Annotated[Path, typer.Argument(help="Python file to write, for example my_joint.py.")],
    joint: Annotated[str, typer.Option(help="Joint to start from.")] = "loose_stud",
) -> None:
    """Write a study script for a new joint idea; run it with: orthofem run FILE."""
    kind = pick(JOINTS, joint, "joint")
    if path.suffix != ".py":
        raise ValueError(f"'{path}' does not end in .py; give a Python file name.")
    if path.exists():
        raise ValueError(f"'{path}' exists; give another name, or remove it first.")
    report.check_folder(path.parent)
    text = TEMPLATES.get_template("starter.py.jinja").render(joint=joint, kind=kind.__name__)
    report.write_text(path, text)
    typer.echo(f"Written: {path}. Run it with: orthofem run {path}")
