"""The supernodal direct solver of the math kernel library, through its documented C interface.

Only its wheel is needed (package ``mkl``, x86-64). Matrices in 3 x 3 blocks are ordered node by
node, which takes a third of the time of ordering their unknowns one by one.
"""

from __future__ import annotations

import ctypes
import weakref
from functools import cache
from importlib import metadata

import numpy as np
import scipy.sparse as sp

from orthofem.errors import ModelError

from .threads import allowed_threads

ANALYSE, FACTORISE, SOLVE, FORWARD, BACKWARD, RELEASE = 11, 22, 33, 331, 333, -1
_POSITIVE_DEFINITE = 2
# settings are ours; nested dissection; no refinement, for `Supported` checks the residual
_SETTINGS = {1: 1, 2: 2, 8: 0}
_CONDENSE, _BLOCK = 36, 37
_MEMORY_RAN_OUT = -2


@cache
def library() -> ctypes.CDLL | None:
    """The shared library, on every thread that it may use; None where there is no wheel.

    Left to choose, it takes one thread on two cores, the more so after the mesher has set the
    process to one.
    """
    try:
        files = metadata.files("mkl") or ()
        found = sorted((str(file.locate()) for file in files if "mkl_rt" in file.name), key=len)
        loaded = ctypes.CDLL(found[0])
    except (metadata.PackageNotFoundError, IndexError, OSError):
        return None
    loaded.MKL_Set_Dynamic(ctypes.c_int(0))
    loaded.MKL_Set_Num_Threads(ctypes.c_int(allowed_threads()))
    return loaded


class Pardiso:
    """A symmetric positive definite matrix and its factor, which lives outside Python's memory.

    Parameters
    ----------
    upper : csr_matrix or bsr_matrix
        Upper triangle with the whole diagonal; in blocks, with whole diagonal blocks. Columns
        sorted in each row.
    kept : ndarray of int, optional
        Unknowns that are not eliminated; the factor then gives the matrix that remains for them.
        Only for a matrix without blocks.

    Raises
    ------
    ModelError
        If there is no such solver on this platform, the matrix is not positive definite, or
        memory runs out. On several threads the library now and then overlooks a matrix that is
        not positive definite: whoever solves with it must check the residual.
    """

    def __init__(self, upper: sp.csr_matrix | sp.bsr_matrix, kept: np.ndarray | None = None):
        _needed()
        block = upper.blocksize[0] if upper.format == "bsr" else 1
        self.n_unknowns = upper.shape[0]
        self._rows = self.n_unknowns // block
        self._handle = np.zeros(64, dtype=np.int64)
        self._settings = np.zeros(64, dtype=np.int32)
        for place, value in _SETTINGS.items():
            self._settings[place - 1] = value
        # the library counts from one, and then reads each block column by column
        self._pointers = upper.indptr.astype(np.int32) + 1
        self._columns = upper.indices.astype(np.int32) + 1
        values = upper.data if block == 1 else upper.data.transpose(0, 2, 1)
        self._values = np.ascontiguousarray(values, dtype=float)
        self._kept = np.zeros(self.n_unknowns if kept is not None else 0, dtype=np.int32)
        if block > 1:
            self._settings[_BLOCK - 1] = block
        nothing = np.zeros((self.n_unknowns, 1))
        self.remaining: np.ndarray | None = None
        answer = nothing
        if kept is not None:
            self._kept[kept] = 1
            self._settings[_CONDENSE - 1] = 2  # condense, and keep the factor
            self.remaining = answer = np.zeros((len(kept), len(kept)))
        self._finalizer = weakref.finalize(self, _release, self._handle, self._rows)
        self._call(ANALYSE, nothing, nothing)
        self._call(FACTORISE, nothing, answer)

    def solve(self, right: np.ndarray, phase: int = SOLVE) -> np.ndarray:
        """Unknowns (n_unknowns, n_loads) for right-hand sides of that shape.

        FORWARD and BACKWARD are the two halves of a condensed solve.
        """
        right = np.array(right, dtype=float, order="F")
        answer = np.zeros_like(right)
        self._call(phase, right, answer)
        return np.ascontiguousarray(answer)

    def _call(self, phase: int, right: np.ndarray, answer: np.ndarray) -> None:
        error = _call(
            phase, self._rows, self._handle, self._settings,
            (self._values, self._pointers, self._columns, self._kept), right, answer,
        )  # fmt: skip
        if error:
            reason = "memory ran out" if error == _MEMORY_RAN_OUT else "a part may hang loose"
            raise ModelError(
                f"The direct solver could not factorise the stiffness matrix (code {error}): "
                f"{reason}. Check the supports; try method='iterative' or a coarser mesh."
            )


def _needed() -> ctypes.CDLL:
    """The library, or what to do without it."""
    loaded = library()
    if loaded is None:
        raise ModelError(
            "No supernodal direct solver on this platform; use method='iterative' or "
            "'scipy', or install one: pip install mkl (x86-64 only)."
        )
    return loaded


def _call(phase, rows, handle, settings, matrix, right, answer) -> int:
    """One call of the library; returns its error code."""
    values, pointers, columns, kept = matrix
    error = ctypes.c_int32(0)

    def number(value: int):
        return ctypes.byref(ctypes.c_int32(value))

    def at(array: np.ndarray):
        return array.ctypes.data_as(ctypes.c_void_p)

    _needed().pardiso(
        at(handle), number(1), number(1), number(_POSITIVE_DEFINITE), number(phase), number(rows),
        at(values), at(pointers), at(columns), at(kept), number(right.shape[1]), at(settings),
        number(0), at(right), at(answer), ctypes.byref(error),
    )  # fmt: skip
    return error.value


def _release(handle: np.ndarray, rows: int) -> None:
    """Give the factor's gigabytes back."""
    none, settings = np.zeros((1, 1)), np.zeros(64, dtype=np.int32)
    matrix = (none, np.ones(2, dtype=np.int32), np.ones(1, dtype=np.int32), settings[:0])
    _call(RELEASE, rows, handle, settings, matrix, none, none)
