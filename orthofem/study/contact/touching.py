"""An option whose pieces touch: solved with contact, judged, and set beside the bonded answer."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from orthofem.errors import ModelError
from orthofem.solve.contact import ContactSolution

from ..answer import Answer
from ..border_reading import borders_not_judged
from ..reading import Reader
from ..setting import Loading, Setting
from ..worst import Worst, worst_place
from .apart import Apart, Readings, apart
from .growth import Grown, lowest_factor
from .scouted import ContactResponses, known, scouted_loads
from .shares import touches_of
from .touched import Touched
from .units import Units, worst_variants

WORST = 3
"""Variants of each load case that are solved in full (E)."""


@dataclass(frozen=True)
class _Solved:
    """Variants solved in full: one load set for each, and one without load if that presses."""

    contact: ContactSolution
    readings: Readings
    loadings: list[Loading]


def touching(
    bonded: Answer,
    setting: Setting,
    reader: Reader,
    method: str = "auto",
    coarser: Answer | None = None,
) -> Answer:
    """Judge an option with its pieces in contact.

    Parameters
    ----------
    bonded : Answer
        The same option on the same mesh with all pieces bonded.
    setting : StickWindow or HeldPart
    reader : Reader
        Of the option on that mesh.
    method : str, optional
        Linear solver.
    coarser : Answer, optional
        The same option in contact on a coarser mesh, whose unit answers serve again.

    Returns
    -------
    answer : Answer

    Raises
    ------
    ValueError
        If pieces whose interface is in contact do not meet.
    ModelError
        If contact leaves a piece loose or does not settle, or no factor on a load is found at
        which something fails.

    Notes
    -----
    Plus and minus each unit resultant are solved first. Their mean is how the joint gives way in
    the whole stick, so that a blow finds its force; superposed they rank the variants of each load
    case, and the `WORST` that look worst are solved in full. Units come from a coarser mesh where
    there is one, and what touching adds to the bonded flexibility there is added here.
    """
    pieces = apart(reader, setting, method)
    scouted, flexibility, loadings = scouted_loads(bonded, setting, pieces, method, known(coarser))
    units = scouted.units
    fallback = Readings(bonded.readings, bonded.borders)
    chosen = [
        worst_variants(units, fallback, loading, bonded.criteria, flexibility, WORST)
        for loading in loadings
    ]
    solved = _solved(pieces, loadings, chosen)
    judge = _judged if pieces.scales else _grown
    worst = tuple(judge(pieces, solved, loading, bonded.criteria) for loading in solved.loadings)
    touched = Touched(
        touches=tuple(t for w in worst for t in touches_of(solved.contact, w, pieces.about)),
        bonded=bonded.worst,
        flexibility=flexibility,
        bonded_flexibility=bonded.responses.flexibility,
        notes=_notes(pieces, units, worst),
    )
    return Answer(
        reader.option, pieces.reader.part_mesh,
        ContactResponses(
            solved.contact.solution, pieces.about, solved.contact, flexibility, scouted
        ),
        solved.readings.regions, worst, bonded.criteria, solved.readings.borders,
        borders_not_judged(reader.option, pieces.reader.part_mesh), contact=touched,
    )  # fmt: skip


def _solved(pieces: Apart, loadings: list[Loading], chosen: list[list[int]]) -> _Solved:
    """Solve the chosen variants of all cases; loadings narrowed to them, in shares of these."""
    idle = int(pieces.pressed)
    count = sum(map(len, chosen)) + idle
    narrowed, columns, start = [], [], 0
    for loading, variants in zip(loadings, chosen, strict=True):
        shares = np.zeros((count, len(variants)))
        shares[start + np.arange(len(variants)), np.arange(len(variants))] = 1.0
        resultants = loading.resultants[:, variants]
        labels = tuple(loading.labels[variant] for variant in variants)
        narrowed.append(replace(loading, labels=labels, resultants=resultants, combination=shares))
        columns.append(resultants)
        start += len(variants)
    try:
        contact = pieces.solve(np.concatenate([*columns, np.zeros((6, idle))], axis=1))
    except ModelError:
        _tell_which(pieces, narrowed)
        raise
    return _Solved(contact, pieces.read(contact), narrowed)


def _tell_which(pieces: Apart, loadings: list[Loading]) -> None:
    """Raise the error of the first load that contact cannot hold, with that load's name."""
    for loading in loadings:
        for label, column in zip(loading.labels, loading.resultants.T, strict=True):
            try:
                pieces.solve(column[:, None])
            except ModelError as error:
                reason = str(error).replace("Load set 0", "this load")
                raise ModelError(f"{loading.title}, {label}: {reason}") from error


def _judged(pieces: Apart, solved: _Solved, loading: Loading, criteria: tuple[str, ...]) -> Worst:
    """The worst of one load case, stress in proportion to the load."""
    found = solved.readings
    return worst_place(pieces.model, found.regions, found.borders, loading, criteria)


def _grown(pieces: Apart, solved: _Solved, loading: Loading, criteria: tuple[str, ...]) -> Worst:
    """The worst of one load case, each variant's load grown until something fails."""
    n = len(loading.labels)
    given = [_judged(pieces, solved, _one(loading, k), criteria) for k in range(n)]
    unloaded = given[0]
    if pieces.pressed:
        idle = np.eye(len(loading.shares))[:, [-1]]
        unloaded = _judged(pieces, solved, replace(_one(loading, 0), combination=idle), criteria)
    start = 1.0 / unloaded.reserve if pieces.pressed else 0.0
    variants = [Grown([0.0, 1.0], [start, 1.0 / w.reserve]) for w in given]
    last = {(k, 1.0): given[k] for k in range(n)}

    def demand(variant: int, factor: float) -> float:
        load = _one(loading, variant)
        contact = pieces.solve(factor * load.resultants)
        grown = _Solved(contact, pieces.read(contact), [])
        alone = replace(load, combination=np.ones((1, 1)))
        last[variant, factor] = _judged(pieces, grown, alone, criteria)
        return 1.0 / last[variant, factor].reserve

    variant, factor = lowest_factor(variants, demand, loading.title)
    place = variants[variant].found
    if factor == 0.0:
        return replace(
            unloaded, loading=loading, variant=variant, reserve=0.0, raw_reserve=0.0,
            index=given[variant].index,
        )  # fmt: skip
    if place is None:
        return replace(given[variant], loading=loading, variant=variant, reserve=factor)
    at = variants[variant].factors[place]
    final = last[variant, at]
    return replace(
        final, loading=loading, variant=variant, reserve=factor,
        raw_reserve=at * final.raw_reserve, index=given[variant].index,
    )  # fmt: skip


def _one(loading: Loading, variant: int) -> Loading:
    """One column of a loading."""
    kept = slice(variant, variant + 1)
    return replace(
        loading, labels=loading.labels[kept], resultants=loading.resultants[:, kept],
        combination=loading.shares[:, kept],
    )  # fmt: skip


def _notes(pieces: Apart, units: Units, worst: tuple[Worst, ...]) -> tuple[str, ...]:
    how = "by superposed unit answers in contact" if units.readings else "by the bonded answer"
    notes = [
        f"of each load case the {WORST} variants that look worst {how} were solved in full with "
        "contact; the others were not"
    ]
    missing = int((~np.isfinite(units.moved).all(axis=0)).sum())
    if missing:
        notes.append(
            f"{missing} of 12 unit resultants cannot be held by contact alone: how far the joint "
            "gives way there is taken from the opposite one, or from the bonded answer"
        )
    if not pieces.scales:
        notes.append(
            "answers do not grow with the load (clearance, interference, tightening or friction): "
            "each reserve factor was found by solving at the grown load"
        )
    if any(w.reserve == 0.0 for w in worst):
        notes.append("tightening or interference alone breaks it: the reserve on top of it is 0")
    return tuple(notes)
