"""A layout judged as a whole stick: bowing and all, and the margin of each of its parts."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from orthofem.failure import BEHIND
from orthofem.loads.person import GRAVITY

from ..printing import PiecePrint
from ..stick import StationRow, StickResult, whole_stick
from ..stick.result import DETAIL
from .costs import Costs
from .layout import Layout, question_of
from .models import Models
from .pulls import stiffness_of_stick
from .result import Plan, PlanPart
from .rules import SEPARATE, kind_of
from .wish import Wish

WEIGHT = 2.0
"""Hung from the middle of a finished stick: felt, but far from breaking it (E). [kg]"""
SAMPLES = {
    "layers part": "pull bars printed upright, their layers across the pull",
    "layers slide": "press short blocks printed with their layers at 45 degrees to the push",
    "bead breaks along": "pull bars printed lying, their beads along the pull",
    "beads part in the layer": "pull bars printed lying, their beads across the pull",
    "crushing": "press short rods, twice as long as thick, printed the way the weakest piece is",
    "": "pull bars printed the way the weakest piece is",
}
"""What to print and break for the strength behind a mode."""


def judged(models: Models, costs: Costs, layout: Layout) -> Plan:
    """Judge a layout with the fast models, and cost its own pieces.

    Raises
    ------
    ModelError
        If one of its pieces does not fit the printer after all.
    """
    rows = costs.exact(layout)
    stick = whole_stick(question_of(models, layout))
    return Plan(layout, stick, parts_of(models, layout, stick, rows))


def parts_of(
    models: Models, layout: Layout, stick: StickResult, costs: tuple[PiecePrint, ...]
) -> tuple[PlanPart, ...]:
    """Margin of each printed part.

    Notes
    -----
    At a joint, the parts share the variant that governs the joint; what bowing takes from one
    it is taken to take from all of them.
    """
    spans = layout.spans(models.wish)
    least: dict[str, tuple[float, StationRow | None]] = {
        row.piece: (math.inf, None) for row in costs
    }
    for row in stick.counted:
        for name, margin in _shares(models, layout, row, spans, [c.piece for c in costs]):
            if margin < least[name][0]:
                least[name] = (margin, row)
    found = []
    for k, cost in enumerate(costs):
        margin, at = least[cost.piece]
        piece = k < len(spans)
        found.append(PlanPart(
            cost.piece, spans[k] if piece else None, layout.ways[k] if piece else layout.stud,
            margin, "" if at is None else f"{at.place} at {at.station:.0f} mm, {at.title}", cost,
        ))  # fmt: skip
    return tuple(found)


def _shares(models: Models, layout: Layout, row: StationRow, spans, names):
    """Parts that a row of the table speaks of, with their margins."""
    if row.basis != DETAIL or layout.joint is None:
        for k, (low, high) in enumerate(spans):
            if low < row.station <= high:
                yield names[k], row.margin
        return
    number = layout.stations.index(row.station)
    model = models.at(layout.joint, layout.at_joint(number), row.station)
    by_piece = {name: float(r[0]) for name, r in model.by_piece(row.bowed[:, None]).items()}
    scale = row.margin / min(by_piece.values())
    owner = {"lower": names[number], "upper": names[number + 1]}
    stud = SEPARATE[kind_of(layout.joint)]
    if stud and stud in names:
        owner[stud] = stud
    for piece, reserve in by_piece.items():
        if piece in owner:
            yield owner[piece], scale * reserve


def with_margin_of(plan: Plan, stick: StickResult, models: Models) -> Plan:
    """The plan with its parts' margins read from another answer of the whole stick."""
    costs = tuple(part.cost for part in plan.parts)
    return replace(plan, parts=parts_of(models, plan.layout, stick, costs))


def bench_tests(models: Models, plan: Plan) -> tuple[str, ...]:
    """What to break on a bench before trusting a plan, and what the model foretells.

    Notes
    -----
    Three-point bending with the joint, or a plain stretch, in the middle; the weakest direction.
    """
    row, layout, wish = plan.weakest, plan.layout, models.wish
    tests = []
    joints = [x for x in layout.stations if x == row.station] or list(layout.stations[:1])
    if joints and layout.joint is not None:
        station = joints[0]
        number = layout.stations.index(station)
        model = models.at(layout.joint, layout.at_joint(number), station)
        span = 2.0 * math.ceil(1.5 * wish.window(layout.joint) / 10.0) * 10.0
        force, words = _breaking_force(model.reserve, span)
        turned = "lying" in layout.at_joint(number)
        angle = f", {words} what was up on the bed" if turned else ""
        tests.append(
            f"joint at {station:.0f} mm: print its two halves, {span / 2 + 20:.0f} mm of shaft "
            f"each, {_ways(layout, number)}; join them, lay them on two supports {span:.0f} mm "
            f"apart and press at the joint{angle}. The fast model foretells a break at about "
            f"{force:.0f} N ({force * span / 4000:.3g} N m). Break at least five (E): the lowest "
            "counts, not the mean."
        )
    if row.basis != DETAIL:
        tests.append(
            f"{row.place} at {row.station:.0f} mm: it is judged by an estimate, not by a detailed "
            "model; print that stretch alone, two diameters longer at both ends, and bend it "
            "until it breaks."
        )
    tests.append(_sample(wish, plan))
    tests.append(_sinking(models, plan))
    return tuple(tests)


def _sample(wish: Wish, plan: Plan) -> str:
    """The small print that tells the strength which the plan's margin rests on."""
    row, printed = plan.weakest, wish.print_way(plan.spare.way)
    asked = SAMPLES.get(row.mode, SAMPLES[""])
    names = (name for name in BEHIND.get(row.mode, ()) if name in printed.loaded.values)
    name = next(names, None)
    if name is None:
        return f"{asked}, from the same filament, printer and settings: what it bears is not known."
    one = printed.loaded.values[name]
    reported = f", {one.low:g} to {one.high:g} reported" if one.low is not None else ""
    return (
        f"{asked}, from the same filament, printer and settings: the model takes {name} as "
        f"{one.mean:g} {one.unit} ({one.grade}{reported}); margins move with what you find."
    )


def _sinking(models: Models, plan: Plan) -> str:
    """How far the finished stick sinks between two supports, which breaks nothing."""
    wish = models.wish
    stiffness = stiffness_of_stick(question_of(models, plan.layout))
    middle = wish.length / 2
    sinks = WEIGHT * GRAVITY / stiffness.at(middle, 90.0)
    return (
        f"the finished stick, before anyone leans on it: lay it on supports under its two ends, "
        f"hang {WEIGHT:g} kg from its middle; it should sink about {sinks:.1f} mm. More, and its "
        "joints are softer than modelled: it bows and buckles earlier."
    )


def _ways(layout: Layout, number: int) -> str:
    ways = layout.at_joint(number)
    text = f"the lower {ways.lower}, the upper {ways.upper}"
    return text + (f", the stud {ways.stud}" if ways.stud else "")


def _breaking_force(reserve, span: float) -> tuple[float, str]:
    """Least force in the middle of a span that breaks a joint, and its direction in words."""
    pushes = {"across": (0.0, 1.0), "along": (1.0, 0.0)}
    found = {}
    for words, (y, z) in pushes.items():
        columns = []
        for side in (-1.0, 1.0):
            fy, fz = side * y, side * z
            # just beside the middle: half of the force, and the full moment
            columns.append((0, fy / 2, fz / 2, 0, -fz * span / 4, fy * span / 4))
            columns.append((0, -fy / 2, -fz / 2, 0, -fz * span / 4, fy * span / 4))
        found[words] = float(reserve(np.array(columns).T).min())
    words = min(found, key=lambda name: found[name])
    return found[words], words
