"""Fatigue: how many years of steps a part bears, in the layer and, unproven, across layers."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from orthofem.failure.principal import layer_principal
from orthofem.loads import Use
from orthofem.materials import REPEATED, Material, RepeatCurve, derived, infill_share
from orthofem.materials.fatigue import ACROSS_UNPROVEN, INFILL_FILLS, INFILL_SOURCE, TESTED_RATIOS
from orthofem.materials.heat import ROOM_BAND

from ..evaluate import Answer, Reading
from ..setting import Loading
from .finding import Lasting, Peak, peak

WANTED = 3.0
"""Reserve asked for in fatigue, at 90 % survival (E: load preset of everyday walking). [-]"""
SURVIVALS = (0.9, 0.5, 0.1)
TEST = "run a joint of it through the wanted number of steps in a rig"
NOWHERE = (math.nan, math.nan, math.nan)


@dataclass(frozen=True)
class Allowed:
    """What a region bears in one direction.

    Parameters
    ----------
    curve : RepeatCurve
    scale : float
        Factor on the curve's stresses. [-]
    grade, source, note : str
    proven : bool
    """

    curve: RepeatCurve
    scale: float
    grade: str
    source: str
    note: str
    proven: bool

    def reserve(self, stress: float, cycles: float) -> float:
        """Factor on the stress at 90 % survival; infinite without tension. [-]."""
        if stress <= 0:
            return math.inf
        borne = min(float(self.curve.largest_stress(cycles, 0.9)), self.curve.static)
        return self.scale * borne / stress

    def lives(self, stress: float, per_year: float) -> tuple[float, ...]:
        """Years that 90, 50 and 10 % of parts reach; 0 where the first pull breaks. [year]."""
        if stress <= 0:
            return (math.inf,) * len(SURVIVALS)
        felt = stress / self.scale
        if felt > self.curve.static:
            return (0.0,) * len(SURVIVALS)
        return tuple(self.curve.bearable_cycles(felt, s) / per_year for s in SURVIVALS)


def fatigue_rows(answer: Answer, use: Use, temperature: float | None = None) -> list[Lasting]:
    """Life and reserve of every load case that comes back with the steps.

    Parameters
    ----------
    answer : Answer
    use : Use
    temperature : float, optional
        Room temperature if not given. [degC]

    Returns
    -------
    rows : list of Lasting
        For each case: tension in the layer, tension across layers, sliding of layers, and one row
        for each material of which nothing is known.

    Notes
    -----
    A cycle runs from nothing to the largest tension of all instants and sides of the case, and
    the largest stress alone decides, as in the reference tests. Stress is the averaged one.
    """
    rows: list[Lasting] = []
    for worst in answer.worst:
        if worst.loading.name in use.cases:
            rows += _of_case(answer, worst.loading, use, temperature)
    return rows


def in_layer(material: Material, temperature: float | None = None) -> Allowed | str:
    """What a print bears in its layers, or why there is no value."""
    missing = _missing(material, temperature)
    if missing:
        return missing
    curve = REPEATED[material.polymer]
    if material.fill < 1.0:
        if material.fill < INFILL_FILLS[0]:
            return f"infill below {100 * INFILL_FILLS[0]:.0f} % was not tested"
        share = infill_share(material.fill)
        grade, source = derived(curve.grade, "E"), f"{curve.source}; infill: {INFILL_SOURCE}"
        note = f"infill bears {share:.2f} of a solid print, the lowest of three series"
        return Allowed(curve, share, grade, source, note, False)
    weak = min(material.strengths.Xt, material.strengths.Yt) / curve.static
    if weak < 1.0:
        note = f"scaled down to its strength, {weak:.2f} of that of the specimens"
        return Allowed(curve, weak, derived(curve.grade, "E"), curve.source, note, True)
    return Allowed(curve, 1.0, derived(curve.grade), curve.source, "", True)


def across_layers(material: Material, temperature: float | None = None) -> Allowed | str:
    """What a print bears across its layers, unproven, or why there is no value."""
    missing = _missing(material, temperature)
    if missing:
        return missing
    if material.fill < 1.0:
        return "infill was not tested across layers"
    curve = REPEATED[material.polymer]
    scale = material.strengths.Zt / curve.static
    note = "unproven: no cycle across plain layers is published"
    return Allowed(curve, scale, "E", f"{curve.source}; {ACROSS_UNPROVEN}", note, False)


DIRECTIONS = {"tension in the layer": in_layer, "tension across layers": across_layers}
MEASURES = {
    "tension in the layer": lambda stress: layer_principal(stress)[0],
    "tension across layers": lambda stress: stress[2],
}


def _missing(material: Material, temperature: float | None) -> str:
    """Why nothing is known of a material in fatigue; empty if something is."""
    if not material.printed:
        return "rods, glues and bonds are not judged in fatigue here"
    if material.polymer not in REPEATED:
        known = ", ".join(curve.title.split(",")[0] for curve in REPEATED.values())
        return f"no S-N curve is known for it (there is one for {known})"
    low, high = ROOM_BAND
    if temperature is not None and not low <= temperature <= high:
        return f"S-N curves are of room temperature, {low:g} to {high:g} degC, not {temperature:g}"
    return ""


def _of_case(answer, loading: Loading, use: Use, temperature) -> Iterator[Lasting]:
    unknown: dict[str, str] = {}
    for what, bears in DIRECTIONS.items():
        found: list[tuple[float, Reading, Peak, Allowed]] = []
        for reading in answer.readings:
            material = reading.print.loaded
            allowed = bears(material, temperature)
            if isinstance(allowed, str):
                unknown.setdefault(f"{material.title}, {allowed}", reading.piece)
                continue
            top = peak(answer, reading, loading, MEASURES[what])
            if top is not None:
                found.append((allowed.reserve(top.value, use.contacts), reading, top, allowed))
        if found:
            yield _judged(loading, what, use, *min(found, key=lambda entry: entry[0]))
    yield from _sliding(answer, loading)
    for why, piece in unknown.items():
        yield _no_value(loading, "repeated load", piece, f"{why}; {TEST}")
    if getattr(answer, "borders", ()):
        note = f"bonds between regions: no S-N curve is known for any; {TEST}"
        yield _no_value(loading, "borders", "borders between regions", note)


def _judged(loading, what, use: Use, reserve, reading, top: Peak, allowed: Allowed) -> Lasting:
    notes = [allowed.note] if allowed.note else []
    if use.contacts > allowed.curve.cycles:
        notes.append(f"beyond the {allowed.curve.cycles:.0e} cycles tested: extrapolated")
    years = allowed.lives(top.value, use.contacts_per_year)
    if years[0] * use.contacts_per_year > allowed.curve.cycles >= use.contacts:
        notes.append(f"lives beyond {allowed.curve.cycles:.0e} cycles are extrapolated")
    low, high = TESTED_RATIOS
    notes.append(f"largest stress decides; smallest over largest tested from {low:g} to {high:g}")
    return Lasting(
        kind="fatigue", case=loading.name, title=loading.title, what=what, piece=reading.piece,
        place=top.place, label=top.label, stress=top.value, reserve=reserve, wanted=WANTED,
        years=years, grade=allowed.grade,
        source=allowed.source, note="; ".join(notes), proven=allowed.proven,
    )  # fmt: skip


def _sliding(answer: Answer, loading: Loading) -> Iterator[Lasting]:
    """Largest shear between layers of the prints, for which no S-N curve exists."""
    found = []
    for reading in answer.readings:
        if reading.print.loaded.printed:
            top = peak(answer, reading, loading, lambda s: np.hypot(s[3], s[4]))
            if top is not None:
                found.append((top.value / reading.print.loaded.strengths.S13, reading, top))
    if found:
        share, reading, top = max(found, key=lambda entry: entry[0])
        note = (
            f"shear between layers, {100 * share:.1f} % of its strength in one pull: no S-N "
            f"curve is known for any print; {TEST}"
        )
        row = _no_value(loading, "sliding of layers", reading.piece, note)
        yield Lasting(**{**vars(row), "place": top.place, "label": top.label, "stress": top.value})


def _no_value(loading: Loading, what: str, piece: str, note: str) -> Lasting:
    return Lasting(
        kind="fatigue", case=loading.name, title=loading.title, what=what, piece=piece,
        place=NOWHERE, label="", stress=math.nan, reserve=math.nan, wanted=WANTED, years=(),
        grade="E", source="no data", note=note, proven=False,
    )  # fmt: skip
