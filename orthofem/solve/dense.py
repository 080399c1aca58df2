"""Full matrices of a few thousand rows on one thread: quick alone, and steady in company.

Between small products two threads wait for each other in a busy loop. Beside another process that
wants the same cores this takes ten times as long as one thread does.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib import metadata

_BUNDLED = ("scipy", "numpy")
_NAMES = (
    "scipy_openblas_{}_num_threads",
    "scipy_openblas_{}_num_threads64_",
    "openblas_{}_num_threads",
    "openblas_{}_num_threads64_",
)


@contextmanager
def one_dense_thread() -> Iterator[None]:
    """Keep full-matrix algebra on one thread inside the block; as it was afterwards.

    Reaches the libraries that come inside the wheels of numpy and scipy; others are left alone.

    Examples
    --------
    >>> with one_dense_thread():
    ...     sorted(set(dense_threads()) - {1})
    []
    """
    before = dense_threads()
    _set([1] * len(before))
    try:
        yield
    finally:
        _set(before)


def dense_threads() -> list[int]:
    """Threads of each library that can be told."""
    return [get() for get, _ in _controls()]


def _set(threads: list[int]) -> None:
    for (_, tell), number in zip(_controls(), threads, strict=True):
        tell(ctypes.c_int(number))


@cache
def _controls() -> list[tuple]:
    """Functions that tell and set the number of threads, of each library found."""
    found = []
    for package in _BUNDLED:
        try:
            files = metadata.files(package) or ()
        except metadata.PackageNotFoundError:
            continue
        for file in files:
            if "openblas" in file.name and file.suffix in (".so", ".dll", ".dylib"):
                found += _pair(str(file.locate()))
    return found


def _pair(path: str) -> list[tuple]:
    try:
        library = ctypes.CDLL(path)
    except OSError:
        return []
    for name in _NAMES:
        if hasattr(library, name.format("get")):
            return [(getattr(library, name.format("get")), getattr(library, name.format("set")))]
    return []
