"""``orthofem run``: answer a study script and write its results."""

from __future__ import annotations

import importlib.util
import re
import sys
import traceback
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from importlib.abc import Loader
from importlib.machinery import ModuleSpec
from pathlib import Path
from typing import Annotated, cast

import typer
from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from orthofem import report
from orthofem.errors import MissingLibraryError, ModelError, unknown
from orthofem.study import ESTIMATE, Row, Study, StudyResult, steps
from orthofem.study import run as run_study


def run(
    script: Annotated[Path, typer.Argument(help="Study script: a Python file with study().")],
    out: Annotated[Path | None, typer.Option(help="Folder for the results.")] = None,
    coarse: Annotated[
        bool, typer.Option("--coarse", help="One mesh only: quick, mesh dependence unknown.")
    ] = False,
    solver: Annotated[str, typer.Option(help="auto, direct, iterative or scipy.")] = "auto",
) -> None:
    """Run a study: options x print directions x load cases, to a verdict, tables and figures."""
    study = load_study(script)
    if coarse:
        study = coarsest(study)
    folder = report.check_folder(out or Path("results") / script.stem)
    console = Console()
    console.print(f"[bold]{escape(study.title)}[/bold]")
    result = _with_progress(console, study, folder, solver)
    show(console, result)
    if result.stopped:
        console.print("\nStopped: the options above were finished before.")
    console.print(f"\nWritten to {folder}: summary.md, results.csv, results.json, figures, fields.")
    _end(result)


def _end(result: StudyResult) -> None:
    """Exit code of a stopped run."""
    if result.stopped:
        raise typer.Exit(130)


def coarsest(study: Study) -> Study:
    """The study on its first mesh only."""
    return replace(study, refinements=study.refinements[:1], uncertainty=None)


def load_study(script: Path) -> Study:
    """Study that a script's ``study()`` returns.

    Raises
    ------
    ValueError
        If the file is missing, is not Python, or has no ``study()`` that returns a Study.
    """
    make = getattr(load_module(script, "study"), "study", None)
    if not callable(make):
        raise ValueError(
            f"'{script}' has no function study(); see 'orthofem new' for a script that runs."
        )
    study = _called(script, make)
    if not isinstance(study, Study):
        raise ValueError(f"study() in '{script}' returned {type(study).__name__}, not a Study.")
    return study


def load_module(script: Path, kind: str):
    """Run a script under a name of its own, its folder open to imports.

    Raises
    ------
    ValueError
        If the file is missing, is not Python, or fails, with its line.
    """
    if not script.exists():
        raise ValueError(f"'{script}' does not exist; give a {kind} script (.py).")
    if not script.is_file() or script.suffix != ".py":
        raise ValueError(f"'{script}' is not a {kind} script; give a Python file (.py).")
    found = importlib.util.spec_from_file_location(f"_study_{script.stem}", script)
    spec = cast(ModuleSpec, found)  # None only for a suffix other than .py, refused before
    loader = cast(Loader, spec.loader)
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    sys.path.append(str(script.resolve().parent))
    _called(script, lambda: loader.exec_module(module))
    return module


def _called(script: Path, step: Callable):
    """Take a step of a script; turn what goes wrong in it into one line with its place."""
    try:
        return step()
    except (ValueError, ModelError, MissingLibraryError, KeyboardInterrupt):
        raise
    except SyntaxError as error:
        raise ValueError(f"{script}, line {error.lineno}: {error.msg}.") from error
    except Exception as error:
        frames = traceback.extract_tb(error.__traceback__)
        lines = [f.lineno for f in frames if Path(f.filename) == script.resolve() or
                 Path(f.filename) == script]  # fmt: skip
        place = f", line {lines[-1]}" if lines else ""
        reason = _unknown_argument(error) or f"{type(error).__name__}: {error}"
        raise ValueError(f"{script}{place}: {reason}") from error


def _unknown_argument(error: Exception) -> str:
    """What a mistyped argument of one of our classes may have meant; empty for other errors."""
    found = re.match(r"(\w+)\.__init__\(\) got an unexpected keyword argument '(\w+)'", str(error))
    if not found:
        return ""
    name, argument = found.groups()
    loaded = list(sys.modules.items())
    ours = (module for key, module in loaded if key.split(".")[0] == "orthofem")
    for module in ours:
        made = getattr(module, name, None)
        if isinstance(made, type) and is_dataclass(made):
            allowed = [entry.name for entry in fields(made) if entry.init]
            return unknown(f"argument in {name}", argument, allowed)
    return ""


def show(console: Console, result: StudyResult) -> None:
    """Print the comparison and the verdict in the terminal."""
    table = Table(title="Reserve factors (below 1: expect a break)", title_justify="left")
    for column in ("load, option", "reserve", "sure to", "mode", "piece", "finer mesh"):
        right = column in ("reserve", "sure to", "finer mesh")
        table.add_column(column, justify="right" if right else "left")
    rows = result.rows
    for name in dict.fromkeys(row.worst.loading.name for row in rows):
        ranked = [row for _, row in result.ranking((name,))]
        loading = ranked[0].worst.loading
        table.add_row(f"[bold]{escape(loading.title)}[/bold] (asked: {loading.wanted:g})")
        for row in ranked:
            table.add_row(*_cells(row), end_section=row is ranked[-1])
    console.print(table)
    if any(row.sharp for row in rows):
        console.print("* raw peak does not converge: it still moves with the mesh.")
    show_printing(console, result)
    for case in report.case_verdicts(result):
        console.print(
            f"[bold]{escape(case.title)}[/bold]: {escape(case.conclusion)}", highlight=False
        )
    for name, entry in result.reached.items():
        console.print(f"[bold]refined[/bold] {escape(name)}: {entry.sentence}", highlight=False)
    for name, reason in result.failed.items():
        console.print(f"[bold]not judged[/bold] {escape(name)}: {escape(reason)}", highlight=False)
    for name, notes in report.option_notes(result).items():
        for note in notes:
            console.print(f"[bold]note[/bold] {escape(name)}: {escape(note)}", highlight=False)
    console.print(f"\n[bold]Verdict[/bold]: {escape(report.overall(result))}", highlight=False)
    console.print(f"[italic]{report.CAUTION}[/italic]")


def show_printing(console: Console, result: StudyResult) -> None:
    """Print what the options cost to print, if the study names a printer."""
    if not result.printing:
        return
    table = Table(title="What printing costs (estimates)", title_justify="left")
    for column in report.BRIEF:
        left = column in ("option", "of")
        table.add_column(column, justify="left" if left else "right", no_wrap=column != "option")
    for cells in report.brief_rows(result):
        table.add_row(*(escape(cell) for cell in cells))
    console.print(table)
    console.print(ESTIMATE, highlight=False)
    for name, notes in report.print_notes(result).items():
        for note in notes:
            console.print(f"[bold]print[/bold] {escape(name)}: {escape(note)}", highlight=False)


def _cells(row: Row) -> list[str]:
    worst = row.worst
    change = "-" if row.change != row.change else f"{100 * row.change:+.1f} %"
    mark = "*" if row.sharp else " "
    sure = "?" if row.uncertainty != row.uncertainty else f"{100 * row.uncertainty:.2g} %"
    return [
        f"  {escape(row.option)}", f"{worst.reserve:.2f}", sure, worst.mode, worst.piece,
        change + mark,
    ]  # fmt: skip


def _with_progress(console: Console, study: Study, folder: Path, solver: str) -> StudyResult:
    columns = (
        TextColumn("{task.description}"),
        BarColumn(bar_width=20),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=console, transient=True) as progress:
        task = progress.add_task("starting", total=steps(study))

        def step(text: str) -> None:
            progress.update(task, description=escape(text), advance=1)

        result = run_study(study, step, solver)
        progress.update(task, total=None)
        report.write(result, folder, lambda text: progress.update(task, description=escape(text)))
    return result
