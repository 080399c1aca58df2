"""``orthofem sweep``: one option of a study printed every way up."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import numpy as np
import typer
from rich.console import Console
from rich.table import Table

from orthofem import report
from orthofem.errors import unknown
from orthofem.mesh import hemisphere, mesh_part
from orthofem.report.orientations import Orientations, write_orientations
from orthofem.solve.contact import to_split
from orthofem.study import StickWindow, Sweep, run_sweep, turned_options

from .run import load_study


def sweep(
    script: Annotated[Path, typer.Argument(help="Study script: a Python file with study().")],
    option: Annotated[str | None, typer.Option(help="Option to turn; the first if none.")] = None,
    piece: Annotated[list[str] | None, typer.Option(help="Piece that turns; repeat.")] = None,
    directions: Annotated[int, typer.Option(help="Build directions looked at.", min=12)] = 300,
    height: Annotated[float, typer.Option(help="Height of the printer. [mm]")] = 250.0,
    bed: Annotated[tuple[float, float], typer.Option(help="Width and depth of the bed. [mm]")] = (
        220.0,
        220.0,
    ),
    tolerance: Annotated[float, typer.Option(help="Wanted error of the reserves. [-]")] = 0.01,
    refinement: Annotated[float, typer.Option(help="Divides all mesh sizes.")] = 1.0,
    out: Annotated[Path | None, typer.Option(help="Folder for the results.")] = None,
) -> None:
    """Map the reserve factor over all build directions of a piece, with print costs.

    A reduced model answers most directions; each answer carries an estimate of its error, and
    where that is too large the direction is solved in full.
    """
    study = load_study(script)
    if not isinstance(study.setting, StickWindow):
        raise ValueError("A sweep needs a study whose setting is a StickWindow.")
    if study.hot_spot != "volume":
        raise ValueError(
            f"The study reads hot spots by the {study.hot_spot} form; a sweep knows the volume "
            "form only. Leave hot_spot out for the sweep."
        )
    options = {entry.name: entry for entry in study.options}
    chosen = study.options[0] if option is None else options.get(option)
    if chosen is None:
        raise ValueError(unknown("option", option, options))
    if study.conditions is not None:
        chosen = study.conditions.applied(chosen)
    pieces = tuple(piece or list(chosen.prints)[:1])
    turned_options(chosen, pieces, np.eye(3)[:, :1])  # an unknown piece is told before meshing
    folder = report.check_folder(out or Path("results") / f"{script.stem}_sweep")
    console = Console()
    ways = hemisphere(directions, named=True)
    with console.status("meshing") as status:
        part_mesh = mesh_part(chosen.part, size=study.size, refinement=refinement)
        plan = Sweep(
            turned_options(chosen, pieces, ways), part_mesh, study.setting, study.criteria,
            study.radius, tolerance,
        )  # fmt: skip
        result = run_sweep(plan, status.update)
        status.update("costing the prints and drawing")
        found = Orientations(
            f"{chosen.name}, {' and '.join(pieces)} turned", result, pieces[0], ways, height,
            bed=bed,
        )  # fmt: skip
        write_orientations(found, folder)
    show(console, found)
    loose = to_split(chosen.interfaces)
    if loose:
        console.print(
            f"Taken as bonded, because a sweep adds answers up: {', '.join(loose)}. Judge the ways "
            "up that you choose in a study, in contact.",
            highlight=False,
        )
    console.print(f"\nWritten to {folder}: orientations.csv, figures.")


def show(console: Console, found: Orientations) -> None:
    """Print the best directions that can be printed, and how sure they are."""
    ways, costs = found.printed
    table = Table(title="Strongest build directions that can be printed", title_justify="left")
    for column in ("up (x, y, z)", "reserve", "error", "mode", "support", "height", "bound"):
        table.add_column(column, no_wrap=True, overflow="fold")
    for i in found.best():
        entry, case = found.result.lowest[i], int(found.governing[i])
        table.add_row(
            ",".join(f"{v:+.2f}" for v in ways[:, i]), f"{entry.reserve[case]:.3f}",
            f"{100 * found.result.reserve_estimate[i]:.2f} %", entry.mode[case],
            f"{costs.support_volume[i] / 1000:.1f} cm3", f"{costs.height[i]:.0f} mm",
            f"{100 * found.result.bound(int(i)):.2f} %",
        )  # fmt: skip
    console.print(table)
    solved = len(found.result.solved)
    console.print(
        f"{found.directions.shape[1]} directions, {solved} solved in full. Reserve: of the load "
        "that holds the direction back. Error: estimated, of the reserve, calibrated on the full "
        "solves. Bound: rigorous for this mesh, of the displacement's energy norm.",
        highlight=False,
    )
    upright = found.result.margin[0]
    first = found.best(1)[0]
    best = found.result.margin[first]
    case = int(found.governing[first])
    reserve = found.result.lowest[first].reserve[case]
    load = found.result.sweep.setting.case_names[case]
    meaning = "; expect a break" if reserve < 1 else ""
    console.print(
        f"[bold]Verdict[/bold]: the best printable way up stands {best / upright:.2f} times the "
        f"upright one ({np.count_nonzero(found.impractical)} directions are impractical). Its "
        f"reserve factor is {reserve:.3g}, held back by '{load}'{meaning}.",
        highlight=False,
    )
    console.print(f"[italic]{report.CAUTION}[/italic]")
