"""Answers as plain data, as they are stored, and back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, fields
from typing import cast

import numpy as np

from orthofem.loads import LoadCase
from orthofem.materials import Printer
from orthofem.mesh import MeshReport

from ..contact.touched import Touch, Touched
from ..evaluate import Answer, Worst
from ..held_part import SurfaceLoad
from ..loading import Loading
from ..printing import OptionPrint, PiecePrint
from ..refinement.adaptive import Reached
from ..setting import Setting
from ..time_heat.finding import Lasting
from ..uncertainty import Estimate
from .settled import settled_setting

_KEPT = tuple(f.name for f in fields(Worst) if f.name not in ("loading", "variant"))
_ROWS = ("way_up", "filaments", "sides")  # tuples, which plain data knows as lists


@dataclass(frozen=True)
class StoredMesh:
    """What is kept of a mesh: its figures."""

    report: MeshReport


@dataclass(frozen=True)
class StoredAnswer:
    """What is kept of an answer: enough for tables and verdicts, no fields."""

    worst: tuple[Worst, ...]
    part_mesh: StoredMesh
    not_judged: tuple[str, ...] = ()
    estimates: tuple[Estimate, ...] = ()
    contact: Touched | None = None

    def case(self, name: str) -> Worst:
        """Look one load case up by name."""
        return next(worst for worst in self.worst if worst.loading.name == name)


def plain_level(answer: Answer) -> dict:
    """Answer on one mesh as plain data: its figures and the worst of every load case."""
    return {
        "mesh": asdict(answer.part_mesh.report),
        "solver": answer.responses.solution.method,
        "residual": answer.responses.solution.residual,
        "worst": [_worst(worst) for worst in answer.worst],
        "not_judged": list(answer.not_judged),
        "estimates": [asdict(estimate) for estimate in answer.estimates],
        "contact": None if answer.contact is None else _touched(answer.contact),
    }


def plain_print(costs: OptionPrint | None) -> dict | None:
    """Print costs as plain data."""
    if costs is None:
        return None
    return {"pieces": [asdict(row) for row in costs.pieces], "notes": list(costs.notes)}


def stored_answers(result: dict, setting: Setting) -> tuple[StoredAnswer, ...]:
    """Answers coarse to fine from a stored result, titles and reasons from the setting asked."""
    cases = cast(Sequence[LoadCase | SurfaceLoad], settled_setting(setting).cases)
    return tuple(
        StoredAnswer(
            tuple(_read_worst(*pair) for pair in zip(level["worst"], cases, strict=True)),
            StoredMesh(MeshReport(**level["mesh"])),
            tuple(level["not_judged"]),
            tuple(Estimate(**kept) for kept in level["estimates"]),
            _read_touched(level["contact"], cases),
        )
        for level in result["levels"]
    )


def stored_reached(result: dict) -> Reached | None:
    """How refinement ended, from a stored result; None if none was asked for."""
    kept = result["reached"]
    return None if kept is None else Reached(**{**kept, "unknowns": tuple(kept["unknowns"])})


def stored_lasting(result: dict) -> tuple[Lasting, ...]:
    """Findings about time and heat from a stored result."""
    return tuple(Lasting.read(kept) for kept in result["lasting"])


def stored_print(result: dict, option: str, printer: Printer | None) -> OptionPrint | None:
    """Print costs from a stored result, under the names of the study that asks; or None."""
    kept = result["printing"]
    if kept is None or printer is None:
        return None
    pieces = (
        PiecePrint(**{**row, **{name: tuple(row[name]) for name in _ROWS}})
        for row in kept["pieces"]
    )
    return OptionPrint(option, printer, tuple(pieces), tuple(kept["notes"]))


def _touched(found: Touched) -> dict:
    """What touching changes as plain numbers."""
    return {
        "touches": [asdict(touch) for touch in found.touches],
        "bonded": [_worst(worst) for worst in found.bonded],
        "flexibility": found.flexibility.tolist(),
        "bonded_flexibility": found.bonded_flexibility.tolist(),
        "notes": list(found.notes),
    }


def _read_touched(kept: dict | None, cases: Sequence[LoadCase | SurfaceLoad]) -> Touched | None:
    if kept is None:
        return None
    return Touched(
        touches=tuple(Touch.read(touch) for touch in kept["touches"]),
        bonded=tuple(_read_worst(*pair) for pair in zip(kept["bonded"], cases, strict=True)),
        flexibility=np.array(kept["flexibility"], float),
        bonded_flexibility=np.array(kept["bonded_flexibility"], float),
        notes=tuple(kept["notes"]),
    )


def _worst(worst: Worst) -> dict:
    """Plain numbers of a worst place, of its load only the governing variant."""
    loading = worst.loading
    return {
        **{name: getattr(worst, name) for name in _KEPT},
        "case": loading.name,
        "label": worst.label,
        "resultants": [float(value) for value in worst.resultants],
        "source": loading.source,
        "grade": loading.grade,
        "wanted": loading.wanted,
    }


def _read_worst(kept: dict, told: LoadCase | SurfaceLoad) -> Worst:
    loading = Loading(
        name=kept["case"],
        title=told.title,
        labels=(kept["label"],),
        resultants=np.array(kept["resultants"], dtype=float)[:, None],
        source=kept["source"],
        grade=kept["grade"],
        wanted=kept["wanted"],
        reason=told.factor_reason if isinstance(told, LoadCase) else told.reason,
        notes=tuple(getattr(told, "notes", ())),
    )
    numbers = {name: kept[name] for name in _KEPT}
    numbers["place"] = tuple(kept["place"])
    return Worst(loading=loading, variant=0, **numbers)
