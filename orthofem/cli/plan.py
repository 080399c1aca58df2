"""``orthofem plan``: from a wish to plans, confirmed and drawn."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.markup import escape
from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn
from rich.table import Table

from orthofem import report
from orthofem.study import ESTIMATE
from orthofem.study.planner import PlanResult, Wish
from orthofem.study.planner import plan as find_plans

from .run import load_module


def plan(
    script: Annotated[Path, typer.Argument(help="A Python file that defines wish = Wish(...).")],
    out: Annotated[Path | None, typer.Option(help="Folder for the results.")] = None,
) -> None:
    """Plan a stick: where to cut it, by which joints, and which way up to print its pieces."""
    wish = load_wish(script)
    folder = report.check_folder(out or Path("results") / script.stem)
    console = Console()
    console.print(f"[bold]{escape(wish.title)}[/bold]")
    columns = (SpinnerColumn(), TextColumn("{task.description}"), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task("starting", total=None)

        def step(text: str) -> None:
            progress.update(task, description=escape(text))

        result = find_plans(wish, step)
        report.write_plans(result, folder, step)
    show(console, result)
    console.print(
        f"\nWritten to {folder}: plan.md, plans.csv, parts.csv, plans.json, figures "
        f"({result.seconds:.0f} s, {result.cpu_seconds:.0f} s of processor time)."
    )


def load_wish(script: Path) -> Wish:
    """Wish that a script defines under the name ``wish``.

    Raises
    ------
    ValueError
        If the file is missing, is not Python, or defines no Wish of that name.
    """
    wish = getattr(load_module(script, "plan"), "wish", None)
    if not isinstance(wish, Wish):
        found = "nothing of that name" if wish is None else type(wish).__name__
        raise ValueError(
            f"'{script}' defines {found}; it must define wish = Wish(length=..., outline=..., "
            "joints=[...]), imported from orthofem.study.planner."
        )
    return wish


def show(console: Console, result: PlanResult) -> None:
    """Print the plans and the verdict in the terminal."""
    table = Table(title="Undominated plans (margin below 1: falls short)", title_justify="left")
    shown = len(report.PLAN_COLUMNS) - 2  # what governs is told below, or in plan.md
    for column in report.PLAN_COLUMNS[:shown]:
        right = column in ("margin", "by fast models", "time", "support")
        table.add_column(column, justify="right" if right else "left")
    for cells in report.brief_plans(result):
        table.add_row(*(escape(cell) for cell in cells[:shown]))
    console.print(table)
    console.print(
        "Ways up from tip to handle, U upright, L lying; after + the studs. Margin: from detailed "
        f"models. {ESTIMATE}",
        highlight=False,
    )
    top = report.plan_words(result, 0)
    for line in top.sure:
        console.print(f"[bold]how sure[/bold]: {escape(line)}", highlight=False)
    console.print(f"[bold]raise it[/bold]: {escape(top.raises[0])}", highlight=False)
    console.print(f"[bold]spare[/bold]: {escape(top.spare)}", highlight=False)
    for line in top.bench:
        console.print(f"[bold]test first[/bold]: {escape(line)}", highlight=False)
    for name, reason in result.dropped.items():
        console.print(f"[bold]dropped[/bold] {escape(name)}: {escape(reason)}", highlight=False)
    conclusion = escape(report.plan_conclusion(result))
    console.print(f"\n[bold]Verdict[/bold]: {conclusion}", highlight=False)
    console.print(f"[italic]{report.CAUTION}[/italic]")
