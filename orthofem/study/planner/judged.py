"""A layout judged as a whole stick: bowing and all, and the margin of each of its parts."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from orthofem.loads.person import GRAVITY

from ..behind import strength_behind
from ..bench import END, arm_on, hung_weight
from ..printing import PiecePrint
from ..stick import StationRow, StickResult, whole_stick
from ..stick.result import BUCKLES, DETAIL
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
    The joint as in :mod:`orthofem.study.bench`, to its weakest side.
    """
    row, layout, wish = plan.weakest, plan.layout, models.wish
    tests = []
    joints = [x for x in layout.stations if x == row.station] or list(layout.stations[:1])
    if joints and layout.joint is not None:
        station = joints[0]
        number = layout.stations.index(station)
        model = models.at(layout.joint, layout.at_joint(number), station)
        arm, clamp = arm_on(wish.printer), wish.window(layout.joint)
        weight = hung_weight(arm)
        stands = model.reserve(weight.resultants)
        side = weight.labels[int(np.argmin(stands))].removeprefix("hung toward ")
        force = float(stands.min())
        tests.append(
            f"joint at {station:.0f} mm: print its two halves, {_ways(layout, number)}, the upper "
            f"{arm + END / 2:.0f} mm long; join them, clamp the lower one with the clamp's edge "
            f"{clamp:.0f} mm from the joint, hang a bucket on the upper {arm:.0f} mm from it, side "
            f"{side} down, and fill in sand. The fast model foretells a break at about {force:.0f} "
            f"N ({force * arm / 1000:.3g} N m). Break at least five (E): the lowest counts, not "
            "the mean."
        )
    if row.basis != DETAIL:
        tests.append(
            f"{row.place} at {row.station:.0f} mm: it is judged by an estimate, not by a detailed "
            "model; print that stretch alone, two diameters longer at both ends, and bend it "
            "until it breaks."
        )
    if row.mode != BUCKLES:  # that rests on stiffness, which the last test tells
        tests.append(_sample(wish, plan))
    tests.append(_sinking(models, plan))
    return tuple(tests)


def _sample(wish: Wish, plan: Plan) -> str:
    """The small print that tells the strength which the plan's margin rests on."""
    row, printed = plan.weakest, wish.print_way(plan.spare.way)
    asked = SAMPLES.get(row.mode, SAMPLES[""])
    name, one = strength_behind(row.mode, printed)
    if one is None:
        return f"{asked}, from the same filament, printer and settings: what it bears is not known."
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
