"""What would raise a plan's margin, and what that adds to printing: by the fast models."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from orthofem.errors import ModelError
from orthofem.parts import Joint, PrintedStud

from ..printing import PiecePrint
from ..stick.places import places_of, read_place
from .costs import Cost, Costs
from .layout import Layout, pieces_of, question_of
from .models import Models
from .printable import longest, stud_ways
from .pulls import pulls, stiffness_of_stick
from .result import Plan, Remedy
from .rules import fits, stud_beyond
from .wish import Wish

LEAST = 0.02  # gains below this are not told [-]
WORTH = 0.05  # gain that is worth its price [-]
_THICKER, _ROUNDER, _WIDER = 1.1, 1.5, 1.1


def straight_margin(models: Models, layout: Layout) -> float:
    """Least reserve over the wanted one of a layout that does not bow. [-].

    Parameters
    ----------
    models : Models
    layout : Layout
    """
    wish = models.wish
    question = question_of(models, layout)
    stiffness = stiffness_of_stick(question)
    cases = question.built()
    least = np.inf
    stations = np.array(layout.stations)
    for k, x in enumerate(layout.stations):
        model = models.at(layout.joint, layout.at_joint(k), x)  # type: ignore[arg-type]
        for pull in pulls(cases, stations[k : k + 1], stiffness):
            least = min(least, float(pull.margin(model.reserve)[0]))
    for place in places_of(pieces_of(wish, layout), question.windows, wish.length):
        if place.window is None:
            read = read_place(place, wish.criteria)
            for pull in pulls(cases, np.array([place.station]), stiffness):
                least = min(least, float(pull.margin(lambda r, read=read: read(r).reserve)[0]))
    return least


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
    The gain is that of the stick without bowing, put on the plan's own margin; in a taper each
    joint stands in the nearer end's diameter.
    """
    models = replace(models, ends_only=True)
    base = straight_margin(models, plan.layout)
    found = []
    for change in _changes(models, costs, plan):
        try:
            margin = straight_margin(change.models, change.layout)
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
    tries = []
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
    """A tenth more of diameter all along, the joint as large as its rule then makes it."""
    wish, layout = models.wish, plan.layout
    if "thicker" not in models.kept:
        try:
            models.kept["thicker"] = Models(_wider(wish), ends_only=True)
        except ValueError:
            models.kept["thicker"] = None  # too stout for a stick
    thick = models.kept["thicker"]
    joint = None if thick is None else thick.wish.designs.get(layout.design)
    if thick is None or (layout.joint is not None and joint is None):
        return
    added = Cost(0.0, 0.0)
    for part in plan.parts[: len(layout.ways)]:
        cost: PiecePrint = part.cost
        laid = (_WIDER**2 - 1.0) * (cost.filament_volume + cost.support_filament)
        support = (_WIDER**2 - 1.0) * cost.support_volume
        added = added.plus(Cost(laid / wish.printer.flow, support))
    words = "outline and joint a tenth thicker"
    yield _Change(words, replace(layout, joint=joint), added, thick)


def _wider(wish: Wish) -> Wish:
    shaft, waist = wish.shaft, wish.shaft.waist
    outline = replace(
        shaft,
        outer_diameter=_WIDER * shaft.outer_diameter,
        outer_end=None if shaft.outer_end is None else _WIDER * shaft.outer_end,
        waist=None if waist is None else replace(waist, diameter=_WIDER * waist.diameter),
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
