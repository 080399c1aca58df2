"""Loads that stay: stress against the share of strength that may be carried for long."""

from __future__ import annotations

import math

import numpy as np

from orthofem import failure
from orthofem.materials import CREEP, Strengths, sustained_cap
from orthofem.materials.creep import TEST
from orthofem.materials.heat import ROOM
from orthofem.materials.sustained import NO_RUPTURE_DATA

from ..evaluate import Answer
from ..setting import Loading
from .finding import Lasting, peak

NOWHERE = (math.nan, math.nan, math.nan)


def sustained_rows(answer: Answer, hours: float, temperature: float | None = None) -> list[Lasting]:
    """Reserve of every load case against the sustained-stress cap.

    Parameters
    ----------
    answer : Answer
    hours : float
        How long the loads stay. [h]
    temperature : float, optional
        Room temperature if not given. [degC]

    Returns
    -------
    rows : list of Lasting
        One for each case, from the region with the lowest reserve; one more for each print of
        which no cap is known.
    """
    rows = []
    for worst in answer.worst:
        rows += _of_case(answer, worst.loading, hours, ROOM if temperature is None else temperature)
    return rows


def _of_case(answer: Answer, loading: Loading, hours: float, temperature: float) -> list[Lasting]:
    found, unknown = [], {}
    for reading in answer.readings:
        material = reading.print.loaded
        if not material.printed:
            continue
        cap = sustained_cap(material, temperature, hours)
        if cap is None:
            unknown[material.title] = reading.piece
            continue
        allowed = material.strengths.scaled(in_plane=cap.in_plane, across=cap.across)
        top = peak(answer, reading, loading, _used(allowed))
        if top is not None:
            found.append((top, reading, cap, allowed))
    rows = []
    if found:
        top, reading, cap, allowed = max(found, key=lambda entry: entry[0].value)
        mode = failure.MODES[int(failure.governing_mode(top.stress, allowed))]
        note = (
            f"{hours:g} h: at most {cap.in_plane:g} of the strength in the layer and "
            f"{cap.across:g} across layers{_too_high(reading, top)}"
        )
        rows.append(_row(loading, mode, reading.piece, note, 1.0 / top.value, top, cap.source))
    for title, piece in unknown.items():
        note = f"{title}: no value, no cap is known for it; {TEST}"
        rows.append(_row(loading, "load that stays", piece, note, math.nan, None))
    return rows


def _used(allowed: Strengths):
    return lambda stress: np.maximum(failure.utilisation(stress, allowed).max(axis=0), 1e-12)


def _too_high(reading, top) -> str:
    """Say where the creep law is used beyond the stress it holds for."""
    law = CREEP.get(reading.print.loaded.polymer)
    largest = float(np.abs(top.stress).max())
    if law is None or largest <= law.largest_stress:
        return ""
    return (
        f"; the stress there, {largest:.1f} MPa, is above the {law.largest_stress:g} MPa that the "
        "creep law holds for: it creeps more"
    )


def _row(loading: Loading, what, piece, note, reserve, top, source=NO_RUPTURE_DATA) -> Lasting:
    return Lasting(
        kind="sustained", case=loading.name, title=loading.title, what=what, piece=piece,
        place=NOWHERE if top is None else top.place, label="" if top is None else top.label,
        stress=math.nan, reserve=reserve, wanted=1.0, years=(), grade="E", source=source,
        note=note, proven=False,
    )  # fmt: skip
