"""A name for a case made of everything that decides its answer, and of nothing else."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path

import numpy as np

from orthofem.errors import ModelError
from orthofem.loads import LoadCase
from orthofem.materials import Bond, BorderStrengths, Material
from orthofem.parts import Imported, Part

from ..held_part import SurfaceLoad
from ..option import Option
from ..versions import deciding_versions
from .case import Case

FORMAT = 4
"""Of what a case answers; raise it when a result gains or loses a field."""

UNTOLD: dict[type, set[str]] = {
    Option: {"name", "note", "whole", "tightened"},
    Part: {"name", "notes"},
    Material: {"key", "title", "notes"},
    Bond: {"title", "reason", "low", "high"},
    BorderStrengths: {"source", "grade"},
    SurfaceLoad: {"title", "reason"},
    LoadCase: {"title", "factor_reason", "notes"},
}
"""Fields that only people read; they may change without a case being computed again."""


def case_key(case: Case) -> str:
    """Content key of a case: 64 hexadecimal digits.

    Equal keys mean equal answers: geometry, mesh settings, materials, frames, loads, criteria,
    solver and the versions of all code behind them are in it. A part file enters by its bytes.

    Raises
    ------
    ModelError
        If something in the case has no exact text, or a part file cannot be read.
    """
    told = {"format": FORMAT, "versions": deciding_versions(), "case": case}
    return hashlib.sha256(canonical(told).encode()).hexdigest()


def canonical(value) -> str:
    """Exact text of plain data: equal for equal values, different for different ones.

    Numbers are written with all their digits, whole ones like any other; lists, tuples and
    arrays of the same numbers alike; mappings in the order of their keys.

    Raises
    ------
    ModelError
        If a value is not plain data of orthofem's own.

    Examples
    --------
    >>> canonical({"b": (1, 2.5), "a": None})
    '{"a":None,"b":[1.0,2.5]}'
    """
    if value is None or isinstance(value, bool | np.bool_):
        return str(value)
    if isinstance(value, int | float | np.integer | np.floating):
        return _number(value)
    if isinstance(value, str | Path):
        return json.dumps(str(value))
    if isinstance(value, np.ndarray):
        return canonical(value.tolist())
    if isinstance(value, Mapping):
        pairs = sorted(f"{canonical(key)}:{canonical(item)}" for key, item in value.items())
        return "{" + ",".join(pairs) + "}"
    if isinstance(value, set | frozenset):
        return "{" + ",".join(sorted(canonical(item) for item in value)) + "}"
    if isinstance(value, list | tuple):
        return "[" + ",".join(canonical(item) for item in value) + "]"
    return _record(value)


def _number(value) -> str:
    number = float(value)
    return repr(number) if number == value or number != number else repr(int(value))


def _record(value) -> str:
    kind = type(value)
    if not is_dataclass(value) or isinstance(value, type) or not _ours(kind):
        raise ModelError(
            f"A case holds a {kind.__module__}.{kind.__qualname__}, which has no exact text, so "
            "that a stored result could not be told from an outdated one. Describe parts, "
            "settings and loads with numbers, text and orthofem's own classes."
        )
    if isinstance(value, Imported):
        told = {"bytes": _file_digest(value.path), "ending": Path(value.path).suffix.lower(),
                "unit": value.unit, "scale": value.scale, "index": value.index}  # fmt: skip
        return f"Imported{canonical(told)}"
    untold = UNTOLD.get(kind, set())
    told = {f.name: getattr(value, f.name) for f in fields(value) if f.name not in untold}
    return f"{kind.__qualname__}{canonical(told)}"


def _ours(kind: type) -> bool:
    return kind.__module__.split(".")[0] == "orthofem"


def _file_digest(path: str) -> str:
    try:
        return hashlib.sha256(Path(path).read_bytes()).hexdigest()
    except OSError as error:
        raise ModelError(
            f"Cannot read part file '{path}': {error.strerror or error}. Check its path and "
            "permissions; on a cluster every machine must see it under the same path."
        ) from error
