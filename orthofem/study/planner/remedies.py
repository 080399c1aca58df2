"""What would raise a plan's margin, and what that adds to printing: by the fast models."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from orthofem.errors import ModelError
from orthofem.parts import Joint, PrintedStud

from ..printing import PiecePrint
from ..stick import least_margin
from .costs import Cost, Costs
from .layout import Layout, question_of
from .models import Models
from .printable import longest, stud_ways
from .result import Plan, Remedy
from .rules import fits, stud_beyond
from .wish import Wish

LEAST = 0.02  # gains below this are not told [-]
WORTH = 0.05  # gain that is worth its price [-]
PLACES = 8  # stretches that a changed stick is read in between its joints, at least
_THICKER, _ROUNDER = 1.1, 1.5
_A_TENTH, _MOST = 1.1, 1.8  # times the diameter: what is always tried, and the most


def yardstick(models: Models, layout: Layout) -> float:
    """Least margin of a layout as a whole stick, bowing included, by which changes are compared.

    Parameters
    ----------
    models : Models
    layout : Layout
    """
    question = question_of(models, layout)
    return least_margin(replace(question, step=models.wish.length / PLACES))


@dataclass(frozen=True)
class _Change:
    """A changed layout, what it adds to printing, and the models that judge it."""

    words: str
    layout: Layout
    cost: Cost
    models: Models


def remedies(models: Models, costs: Costs, plan: Plan) -> tuple[Remedy, ...]:
    """Look at one change at a time; those that help, the cheapest worthwhile one first.

    Parameters
    ----------
    models : Models
    costs : Costs
    plan : Plan

    Notes
    -----
    The gain is that of the fast models, put on the plan's own margin; in a taper each joint stands
    in the nearer end's diameter.
    """
    models = replace(models, ends_only=True)
    base = yardstick(models, plan.layout)
    found = []
    for change in _changes(models, costs, plan):
        try:
            margin = yardstick(change.models, change.layout)
        except (ModelError, ValueError):
            continue  # a change that cannot be made is none
        gain = margin / base - 1.0
        if gain >= LEAST:
            found.append(Remedy(
                change.words, plan.margin * (1.0 + gain), gain, change.cost.seconds,
                change.cost.support,
            ))  # fmt: skip
    return tuple(sorted(found, key=lambda r: (r.gain < WORTH, r.seconds)))


def _changes(models: Models, costs: Costs, plan: Plan) -> Iterator[_Change]:
    layout, wish = plan.layout, models.wish
    if layout.joint is not None:
        for words, joint in _other_sizes(wish, layout.joint):
            changed = replace(layout, joint=joint)
            yield _Change(words, changed, _added(models, layout, joint), models)
    yield from _turns(models, costs, layout)
    yield from _other_joints(models, costs, layout)
    yield from _thicker(models, plan)


def _other_sizes(wish: Wish, joint: Joint) -> Iterator[tuple[str, Joint]]:
    """Joints with a bigger fillet or a thicker stud, where they fit."""
    window = wish.window(joint)
    shafts = tuple(wish.straight(d) for d in wish.diameters)
    tries: list[tuple[str, dict[str, Any]]] = []
    if isinstance(joint, PrintedStud):
        fillet = round(_ROUNDER * joint.root_fillet, 2)
        neck = round(joint.neck + fillet - joint.root_fillet, 2)
        tries.append((f"root fillet of {fillet:g} in place of {joint.root_fillet:g} mm (neck "
                      f"{neck:g} mm)", {"root_fillet": fillet, "neck": neck}))  # fmt: skip
    core = round(2 * _THICKER * joint.core_diameter) / 2
    tries.append((f"core of {core:g} in place of {joint.core_diameter:g} mm",
                  {"core_diameter": core}))  # fmt: skip
    for words, sizes in tries:
        try:
            changed = replace(joint, **sizes)
        except ValueError:
            continue
        if not fits(changed, shafts, window):
            yield words, changed


def _turns(models: Models, costs: Costs, layout: Layout) -> Iterator[_Change]:
    """One piece, or all studs, printed another way up."""
    wish, before = models.wish, costs.quick(layout)
    last = len(layout.ways) - 1
    for k, ((low, high), way) in enumerate(zip(layout.spans(wish), layout.ways, strict=True)):
        beyond = 0.0 if k == last or layout.joint is None else stud_beyond(layout.joint)
        for other in wish.ways:
            most = longest(wish.printer, max(wish.diameters), other)
            if other != way and high - low + beyond <= most:
                changed = layout.turned(k, other)
                words = f"piece {k + 1} ({low:.0f} to {high:.0f} mm) printed {other}"
                yield _Change(words, changed, costs.quick(changed).plus(before, -1.0), models)
    if layout.stud and layout.joint is not None:
        for other in stud_ways(wish, layout.joint):
            if other != layout.stud:
                changed = replace(layout, stud=other)
                words = f"studs printed {other}"
                yield _Change(words, changed, costs.quick(changed).plus(before, -1.0), models)


def _other_joints(models: Models, costs: Costs, layout: Layout) -> Iterator[_Change]:
    """The same cuts and ways up with another joint that is allowed."""
    wish, before = models.wish, costs.quick(layout)
    if layout.joint is None:
        return
    for name, joint in wish.designs.items():
        if name == layout.design or not _clear(wish, layout, joint):
            continue
        for stud in stud_ways(wish, joint):
            changed = replace(layout, design=name, joint=joint, stud=stud)
            words = f"{name} in place of {layout.design}" + (f", studs {stud}" if stud else "")
            yield _Change(words, changed, costs.quick(changed).plus(before, -1.0), models)


def _clear(wish: Wish, layout: Layout, joint: Joint) -> bool:
    """Whether another joint has room at the same cuts, and its pieces on the printer."""
    window = wish.window(joint)
    last = len(layout.ways) - 1
    for k, ((low, high), way) in enumerate(zip(layout.spans(wish), layout.ways, strict=True)):
        beyond = 0.0 if k == last else stud_beyond(joint)
        if high - low + beyond > longest(wish.printer, max(wish.diameters), way):
            return False
        if high - low < window * ((k > 0) + (k < last)):
            return False
    return bool(wish.free_of_waist(np.array(layout.stations), window).all())


def _thicker(models: Models, plan: Plan) -> Iterator[_Change]:
    """More diameter all along, the joint as large as its rule then makes it.

    A tenth more; and, where the plan falls short, as much as should do: the reserve of a stick
    that bends grows with the cube of its thickness.
    """
    needed = math.ceil(10.0 * max(plan.margin, 1e-3) ** (-1 / 3) - 1e-6) / 10.0
    for times in sorted({_A_TENTH, min(max(needed, _A_TENTH), _MOST)}):
        yield from _as_thick(models, plan, times)


def _as_thick(models: Models, plan: Plan, times: float) -> Iterator[_Change]:
    wish, layout = models.wish, plan.layout
    if times not in models.kept:
        try:
            models.kept[times] = Models(_wider(wish, times), ends_only=True)
        except ValueError:
            models.kept[times] = None  # too stout for a stick
    thick = models.kept[times]
    joint = None if thick is None else thick.wish.designs.get(layout.design)
    if thick is None or (layout.joint is not None and joint is None):
        return
    added = Cost(0.0, 0.0)
    for part in plan.parts[: len(layout.ways)]:
        cost: PiecePrint = part.cost
        laid = (times**2 - 1.0) * (cost.filament_volume + cost.support_filament)
        support = (times**2 - 1.0) * cost.support_volume
        added = added.plus(Cost(laid / wish.printer.flow, support))
    thick_to = " to ".join(f"{d:.0f}" for d in thick.wish.diameters)
    words = f"outline and joint {times:g} times as thick ({thick_to} mm)"
    yield _Change(words, replace(layout, joint=joint), added, thick)


def _wider(wish: Wish, times: float) -> Wish:
    shaft, waist = wish.shaft, wish.shaft.waist
    outline = replace(
        shaft,
        outer_diameter=times * shaft.outer_diameter,
        outer_end=None if shaft.outer_end is None else times * shaft.outer_end,
        waist=None if waist is None else replace(waist, diameter=times * waist.diameter),
    )
    return replace(wish, outline=outline)


def _added(models: Models, layout: Layout, joint: Joint) -> Cost:
    """What another size of joint adds: the filament of its window's pieces, E for the rest."""
    wish = models.wish
    shaft = wish.straight(wish.diameters[0])
    volumes = []
    for one in (layout.joint, joint):
        mesh = models.mesh(one, shaft)  # type: ignore[arg-type]
        volumes.append(sum(v for r, v in mesh.report.volumes.items() if r != "glue"))
    laid = volumes[1] - volumes[0]
    return Cost(laid * len(layout.stations) / wish.printer.flow, 0.0)
