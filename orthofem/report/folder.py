"""A folder of results: tables, a page and its figures, each written whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import jinja2

from orthofem import figures
from orthofem.errors import ModelError

Progress = Callable[[str], None]
TEMPLATES = jinja2.Environment(
    loader=jinja2.PackageLoader("orthofem.report"), trim_blocks=True, lstrip_blocks=True,
    undefined=jinja2.StrictUndefined, keep_trailing_newline=True,
)  # fmt: skip


def check_folder(folder: str | Path) -> Path:
    """Make the output folder and prove that it can be written to, before anything is computed.

    Raises
    ------
    ModelError
        If the folder cannot be made or written to.
    """
    folder = Path(folder)
    probe = folder / f".write-check-{os.getpid()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe.write_text("")
        probe.unlink()
    except OSError as error:
        raise ModelError(
            f"Cannot write to folder '{folder}': {error.strerror or error}. "
            "Give another with --out, or change its permissions."
        ) from error
    return folder


def write_text(path: Path, text: str) -> Path:
    """Write a file whole or not at all.

    Raises
    ------
    ModelError
        If it cannot be written: no permission, no space.
    """
    temporary = path.with_name(f".{path.name}-{os.getpid()}")
    try:
        temporary.write_text(text, encoding="utf-8")
        temporary.replace(path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise ModelError(f"Cannot write '{path}': {error.strerror or error}.") from error
    return path


def write_texts(folder: Path, texts: Mapping[str, Callable[[], str]]) -> list[Path]:
    """Make and write tables and records by file name, one after the other: an error loses no other.

    An empty one has nothing to tell and is left out.
    """
    made = ((folder / name, make()) for name, make in texts.items())
    return [write_text(path, text) for path, text in made if text]


def write_page(
    path: Path,
    page: Callable[[list[str]], str],
    pictures: Iterable[tuple[str, str, Any]],
    progress: Progress = lambda text: None,
) -> list[Path]:
    """Write a page and the figures that it shows, into the folder ``figures`` beside it.

    The page is written before the figures are drawn: one that fails loses no verdict.

    Parameters
    ----------
    path : Path
        Of the page.
    page : callable
        From the figures' places beside the page to its text.
    pictures : iterable of (str, str, object)
        File stem, kind and data of every figure.
    progress : callable, optional
        Called with a line of text before each figure.
    """
    write_text(path, page([]))
    drawn: list[Path] = []
    for stem, kind, data in pictures:
        progress(f"drawing {stem}")
        drawn += figures.save(figures.FIGURES[kind](data), path.parent / "figures" / stem)
    shown = [one.relative_to(path.parent).as_posix() for one in drawn if one.suffix == ".png"]
    return [write_text(path, page(shown)), *drawn]
