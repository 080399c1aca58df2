"""``orthofem batch``: many studies overnight, each case computed once."""

from __future__ import annotations

import ast
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    TextColumn,
    TimeElapsedColumn,
    TimeRemainingColumn,
)

from orthofem import report
from orthofem.errors import ModelError
from orthofem.study import Study
from orthofem.study.batch import BatchResult, How, Planned, Store, cluster_executor, run_batch

from .run import coarsest, load_study

SOME_FAILED, INTERRUPTED, NOTHING = 3, 130, 1


def batch(
    paths: Annotated[
        list[Path], typer.Argument(help="Study scripts, or folders of them.", show_default=False)
    ],
    workers: Annotated[
        int | None, typer.Option(min=1, help="Worker processes; as many as cores if not given.")
    ] = None,
    store: Annotated[Path, typer.Option(help="Folder where finished cases are kept.")] = Path(
        "results/.cases"
    ),
    out: Annotated[Path, typer.Option(help="Folder for table, summary and log.")] = Path(
        "results/batch"
    ),
    time_limit: Annotated[
        float | None, typer.Option(help="For each case; past it the case is stopped. [s]")
    ] = None,
    cluster_at: Annotated[
        str | None,
        typer.Option("--cluster", help="Address of a running Dask scheduler, tcp://host:port."),
    ] = None,
    solver: Annotated[str, typer.Option(help="auto, direct, iterative or scipy.")] = "auto",
    coarse: Annotated[
        bool, typer.Option("--coarse", help="One mesh only: quick, mesh dependence unknown.")
    ] = False,
    keep_failed: Annotated[
        bool, typer.Option("--keep-failed", help="Do not try failed cases again.")
    ] = False,
) -> None:
    """Answer many studies, each case once: what is in the store is not computed again.

    Stop it with Ctrl-C and start it again: it goes on where it was, also after a power cut.

    Exit codes: 0 all cases done; 3 some failed, the rest done; 130 stopped by Ctrl-C or a
    termination signal; 1 nothing could be done, or results could not be written.
    """
    folder = report.check_folder(out)
    kept = Store(store)
    log = Log(folder / "batch.log")
    console = Console()
    studies, broken = load_studies(paths, coarse)
    for path, reason in broken.items():
        log.write(f"failed {path}: {reason}")
        console.print(f"failed {path}: {reason}", markup=False, highlight=False)
    if not studies:
        raise ModelError("None of the scripts gives a study; there is nothing to do.")
    how = How(workers, time_limit, keep_failed, solver)
    found = _watched(studies, kept, how, cluster_at, console, log)
    report.write_morning(found, folder)
    log.write(report.outcome(found))
    console.print(report.outcome(found), highlight=False)
    console.print(f"Written to {folder}: morning.md, table.csv, batch.log.", highlight=False)
    _end(found, broken)


def load_studies(
    paths: list[Path], coarse: bool = False
) -> tuple[dict[str, Study], dict[Path, str]]:
    """Studies by label, and the scripts that give none, with the reason.

    A folder stands for the studies in it whose names do not begin with an underscore. The label
    is the script's name, or its whole path where two share a name.

    Raises
    ------
    ValueError
        If a path does not exist, or a folder holds no script.
    """
    scripts = list(dict.fromkeys(script for path in paths for script in _scripts(path)))
    stems = [script.stem for script in scripts]
    studies, broken = {}, {}
    for script in scripts:
        label = script.stem if stems.count(script.stem) == 1 else script.with_suffix("").as_posix()
        try:
            study = load_study(script)
        except Exception as error:  # a script of the user's own may raise anything
            broken[script] = f"{type(error).__name__}: {error}"
            continue
        if coarse:
            study = coarsest(study)
        studies[label] = study
    return studies, broken


class Log:
    """A file of dated lines, added to by every run; a full disk does not stop the batch for it."""

    def __init__(self, path: Path):
        self.path = path

    def write(self, text: str) -> None:
        """Add a line."""
        now = datetime.now().astimezone().isoformat(timespec="milliseconds")
        line = " ".join(text.split())
        try:
            with self.path.open("a", encoding="utf-8") as file:
                file.write(f"{now} {line}\n")
        except OSError:
            return  # the store, which matters, has its own say about a full disk


def _scripts(path: Path) -> list[Path]:
    if not path.is_dir():
        if not path.exists():
            raise ValueError(f"'{path}' does not exist; give study scripts or folders of them.")
        return [path]
    found = sorted(p for p in path.glob("*.py") if not p.name.startswith("_") and not is_wish(p))
    if not found:
        raise ValueError(f"Folder '{path}' holds no study script (*.py).")
    return found


def is_wish(script: Path) -> bool:
    """Whether a script is for ``orthofem plan``: it defines ``wish`` and no ``study()``."""
    try:
        names = [
            name
            for node in ast.parse(script.read_text(encoding="utf-8")).body
            for name in ([target.id for target in node.targets if isinstance(target, ast.Name)]
                         if isinstance(node, ast.Assign) else [getattr(node, "name", "")])
        ]  # fmt: skip
    except (SyntaxError, ValueError, OSError):
        return False  # told when it is loaded
    return "wish" in names and "study" not in names


def _watched(
    studies: dict[str, Study],
    store: Store,
    how: How,
    address: str | None,
    console: Console,
    log: Log,
) -> BatchResult:
    """Run the batch with progress, log and signal handlers round it."""
    columns = (
        TextColumn("{task.description}"),
        BarColumn(bar_width=20),
        MofNCompleteColumn(),
        TimeElapsedColumn(),
        TextColumn("remaining"),
        TimeRemainingColumn(),
    )
    log.write(f"batch of {len(studies)} studies: {', '.join(studies)}")
    stop = threading.Event()
    with ExitStack() as stack:
        executor = stack.enter_context(cluster_executor(address)) if address else None
        stack.enter_context(_stop_on_signals(stop))
        progress = stack.enter_context(Progress(*columns, console=console, transient=True))
        return run_batch(studies, store, how, executor, _teller(progress, log), stop)


def _teller(progress: Progress, log: Log) -> Callable[[str, Planned, str], None]:
    """Events to log lines and a progress bar over the cases that the store does not know."""
    task = progress.add_task("starting", total=0)
    expected: set[str] = set()

    def tell(event: str, item: Planned, text: str) -> None:
        if event == "waiting":
            expected.add(item.key)
            progress.update(task, total=len(expected))
            return
        log.write(f"{event} {item.key} {item.title} {text}")
        if event == "begun":
            progress.update(task, description=item.title)
        elif event in ("stored", "done", "failed") and item.key in expected:
            progress.advance(task)
        if event in ("failed", "again"):
            progress.console.print(f"{event} {item.title}: {text}", markup=False, highlight=False)

    return tell


@contextmanager
def _stop_on_signals(stop: threading.Event) -> Iterator[None]:
    """Let the first Ctrl-C or termination signal stop the batch in order, a second one at once."""
    names = [signal.SIGINT, signal.SIGTERM]

    def handle(number, frame) -> None:
        if stop.is_set():
            raise KeyboardInterrupt
        stop.set()

    before = {name: signal.signal(name, handle) for name in names}
    try:
        yield
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)


def _end(found: BatchResult, broken: dict[Path, str]) -> None:
    if found.stopped:
        raise typer.Exit(INTERRUPTED)
    if not found.done:
        raise typer.Exit(NOTHING)
    if found.failed or broken:
        raise typer.Exit(SOME_FAILED)
