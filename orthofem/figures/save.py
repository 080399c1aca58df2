"""A figure to its files: the same bytes for the same picture."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from matplotlib import rc_context
from matplotlib.figure import Figure

from orthofem.errors import ModelError
from orthofem.figures.style import RC

_FORMATS: dict[str, dict[str, Any]] = {
    "png": {"dpi": 200, "metadata": {"Software": None}},
    "svg": {"dpi": 200, "metadata": {"Date": None, "Creator": None}},
}


def save(figure: Figure, stem: str | Path) -> list[Path]:
    """Write a figure as PNG and SVG, without a date, so that a rerun changes nothing.

    Parameters
    ----------
    figure : Figure
        The figure.
    stem : str or Path
        File name without its ending; the folder is made where it is missing.

    Returns
    -------
    paths : list of Path
        The two files, PNG first.

    Raises
    ------
    ModelError
        If the folder cannot be made or written to.
    """
    stem = Path(stem)
    written = []
    for ending, options in _FORMATS.items():
        path = stem.with_name(f"{stem.name}.{ending}")
        temporary = stem.with_name(f".{stem.name}-{os.getpid()}.{ending}")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            with rc_context(RC):
                figure.savefig(temporary, format=ending, **options)
            temporary.replace(path)
        except OSError as error:
            raise ModelError(
                f"Cannot write '{path}': {error.strerror or error}. "
                "Give a file in a folder that you may write to."
            ) from error
        finally:
            if temporary.parent.is_dir():
                temporary.unlink(missing_ok=True)
        written.append(path)
    return written
