"""The commands and how they end: 0 done, 1 the model or data is at fault, 2 wrong arguments."""

from __future__ import annotations

import functools
import sys

import typer
from rich.console import Console

import orthofem
from orthofem.errors import MissingLibraryError, ModelError

from .batch import batch
from .check import check
from .library import loads, materials
from .plan import plan
from .run import run
from .starter import new
from .sweep import sweep

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help="Finite-element studies of printed load-bearing parts. Results are estimates for study; "
    "they do not show that a person may lean on a part.",
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"orthofem {orthofem.__version__}")
        raise typer.Exit


@app.callback()
def _main(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Say the version and end."
    ),
) -> None:
    """Print options shared by all commands."""


def told(command):
    """Turn the package's own errors into one readable line and an exit code."""

    @functools.wraps(command)
    def run_command(*args, **kwargs):
        try:
            return command(*args, **kwargs)
        except (ModelError, MissingLibraryError, ValueError) as error:
            Console(stderr=True, highlight=False, markup=False).print(
                f"orthofem: {error}", soft_wrap=True
            )
            raise typer.Exit(1) from error
        except KeyboardInterrupt:
            sys.stderr.write("\northofem: stopped; what was written before stays.\n")
            raise typer.Exit(130) from None

    return run_command


for command in (run, batch, sweep, plan, new, check, materials, loads):
    app.command()(told(command))
