"""Versions of everything that decides a number, and a digest of the code itself."""

from __future__ import annotations

import hashlib
import importlib.metadata
import platform
from functools import cache
from pathlib import Path

import orthofem

LIBRARIES = ("numpy", "scipy", "scikit-fem", "gmsh", "meshio", "pyamg", "mkl", "matplotlib")
DECIDING = ("numpy", "scipy", "scikit-fem", "gmsh", "pyamg", "mkl")
PACKAGE = Path(orthofem.__file__).parent
SILENT = ("figures", "report", "cli")
"""Rooms that change no number of a result."""


def versions() -> dict[str, str]:
    """Versions of orthofem, Python and the libraries that a result rests on."""
    found = {"orthofem": orthofem.__version__, "python": platform.python_version()}
    return found | {name: _version(name) for name in LIBRARIES}


@cache
def deciding_versions() -> dict[str, str]:
    """Versions of what decides the numbers of a result, orthofem's own code by its digest."""
    found = {"orthofem": orthofem.__version__, "code": code_digest(PACKAGE)}
    return found | {name: _version(name) for name in DECIDING}


def code_digest(package: Path) -> str:
    """SHA-256 over the Python files of the rooms that decide numbers.

    A version number does not change with every edit; this does, so that no result of older code
    is taken for one of today's.

    Parameters
    ----------
    package : Path
        Folder of the package.

    Returns
    -------
    digest : str
        64 hexadecimal digits.
    """
    total = hashlib.sha256()
    for path in sorted(package.rglob("*.py")):
        name = path.relative_to(package)
        if name.parts[0] not in SILENT:
            total.update(f"{name.as_posix()}\0".encode())
            total.update(hashlib.sha256(path.read_bytes()).digest())
    return total.hexdigest()


def _version(name: str) -> str:
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return "not installed"
