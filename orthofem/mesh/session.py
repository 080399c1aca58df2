"""The mesh generator's global state, owned by one context manager."""

from __future__ import annotations

import importlib
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType

from orthofem.errors import MissingLibraryError, ModelError

INSTALL = (
    "apt-get install -y libglu1-mesa libxcursor1 libxft2 libxinerama1 libxrender1 libfontconfig1"
)

_OPTIONS = {
    "General.Terminal": 0,
    "General.NumThreads": 1,  # one thread, one seed: the same part gives the same mesh
    "Mesh.RandomSeed": 1,
    "Mesh.MeshSizeExtendFromBoundary": 0,
    "Mesh.MeshSizeFromPoints": 0,
    "Mesh.Algorithm": 6,  # frontal-Delaunay on faces: the evenest triangles
    "Mesh.Optimize": 1,
    # its high-order optimiser was seen to turn cells inside out: bend.py does that step
    "Mesh.HighOrderOptimize": 0,
    "Geometry.OCCAutoFix": 0,
}


def load_gmsh() -> ModuleType:
    """Import gmsh, or say which system library is missing and how to install it.

    Raises
    ------
    MissingLibraryError
        If gmsh or a shared library that it needs is not installed.
    """
    try:
        return importlib.import_module("gmsh")
    except OSError as error:
        library = str(error).split(":")[0]
        raise MissingLibraryError(
            f"gmsh needs the system library {library}, which is not installed. "
            f"On Debian or Ubuntu run, as root: {INSTALL}"
        ) from error
    except ImportError as error:
        raise MissingLibraryError(
            "The mesh generator gmsh is not installed: pip install gmsh"
        ) from error


@contextmanager
def session() -> Iterator[ModuleType]:
    """Start gmsh with fixed options and an empty model; end it whatever happens.

    Yields
    ------
    gmsh : module
        The gmsh module, ready for use.

    Raises
    ------
    ModelError
        If a session is already open in this process.
    MissingLibraryError
        If gmsh or a library that it needs is missing.
    """
    gmsh = load_gmsh()
    if gmsh.isInitialized():
        raise ModelError(
            "A gmsh session is already open in this process; close it (gmsh.finalize()) first."
        )
    # interruptible=False leaves the signal handlers alone, so that worker threads may mesh
    gmsh.initialize(readConfigFiles=False, interruptible=False)
    try:
        for name, value in _OPTIONS.items():
            gmsh.option.setNumber(name, value)
        gmsh.model.add("part")
        yield gmsh
    finally:
        gmsh.finalize()
