"""Command line in, files and terminal tables out: one file per command."""

from orthofem.cli.main import app

__all__ = ["app"]
