"""Plans in plain words: what governs, how sure, what would raise it, what to test, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from orthofem.parts.joints.thread import ThreadedJoint
from orthofem.study.behind import strength_behind
from orthofem.study.bench import NINE_OF_TEN
from orthofem.study.planner import Plan, PlanResult, Remedy
from orthofem.study.stick.result import BUCKLES

from .verdict import CAUTION

FAR = 2.0
"""Buckling loads beyond this many times the wanted one are not told (E). [-]"""
UNKNOWN = 0.1
"""How far fast models are taken to be off where no detailed one looked (E). [-]"""


@dataclass(frozen=True)
class PlanPage:
    """One plan as a page of plain text.

    Parameters
    ----------
    title : str
    verdict : str
        What governs, with what margin.
    sure : tuple of str
        How far to trust it.
    raises : tuple of str
        What would raise it, the cheapest first.
    bench : tuple of str
        What to test before trusting it.
    spare : str
    cautions : tuple of str
    """

    title: str
    verdict: str
    sure: tuple[str, ...]
    raises: tuple[str, ...]
    bench: tuple[str, ...]
    spare: str
    cautions: tuple[str, ...]


def pages(result: PlanResult) -> list[PlanPage]:
    """A page for every plan."""
    return [page(result, number) for number in range(len(result.plans))]


def page(result: PlanResult, number: int) -> PlanPage:
    """Words for one plan.

    Parameters
    ----------
    result : PlanResult
    number : int
        From 0, the strongest.
    """
    plan = result.plans[number]
    return PlanPage(
        f"Plan {number + 1}: {plan.layout.words}", verdict(plan), tuple(sure(result, plan)),
        tuple(raised(plan)), plan.bench, spare(plan), tuple(cautions(result, plan)),
    )  # fmt: skip


def shared_cautions(found: Sequence[PlanPage]) -> list[str]:
    """Cautions that all plans have."""
    return [line for line in found[0].cautions if all(line in one.cautions for one in found)]


def verdict(plan: Plan) -> str:
    """What holds a plan back, without promising anything."""
    row = plan.weakest
    if row.with_bowing < 1.0:
        meaning = "expect a break"
    elif row.margin < 1.0:
        meaning = f"below the reserve of {row.wanted:g} asked for"
    else:
        meaning = f"has the reserve of {row.wanted:g} asked for"
    text = (
        f"{row.place[0].upper()}{row.place[1:]} at {row.station:.0f} mm governs, under "
        f"'{row.title}' ({row.label}): it stands {row.with_bowing:.2f} times this load, "
        f"{row.wanted:g} times is wanted: margin {plan.margin:.2f}, {meaning}. It fails by: "
        f"{row.how}."
    )
    return " ".join([text, *_column(plan)])


def _column(plan: Plan):
    """What bowing takes from the place that governs, and how near the stick is to buckling."""
    row, column = plan.weakest, plan.known.column
    if row.bows:
        yield f"Were the stick dead straight and stiff, it would stand {row.reserve:.2f} times."
    if column is not None and column.limit < FAR * column.wanted:
        yield (
            f"As a column the stick buckles at {column.limit:.2g} times '{column.title}'; "
            f"{column.wanted:g} times is wanted."
        )


def sure(result: PlanResult, plan: Plan):
    """How far to trust a plan's margin, line by line."""
    answer = plan.confirmed
    if answer is not None and answer.failed:
        yield f"Detailed models could not confirm it: {answer.failed}"
    elif answer is not None and not answer.unknowns:
        yield (
            "No joint, so nothing for a detailed model of a joint to confirm; shaft and waist are "
            "estimates from nominal stress and a handbook's notch factor."
        )
    elif answer is not None:
        change = 100 * (plan.fast_margin / plan.margin - 1)
        meshes = (
            f"sure to {100 * answer.uncertainty:.1f} % as far as meshes tell"
            if answer.uncertainty == answer.uncertainty
            else "its mesh dependence is not known"
        )
        yield (
            f"Confirmed by detailed models of every kind of joint in it, up to "
            f"{max(answer.unknowns):,} unknowns: margin {plan.margin:.3g}, {meshes}. The fast "
            f"models said {plan.fast_margin:.3g} ({change:+.1f} %); at all its joints and loads "
            f"they are off by at most {100 * answer.largest_change:.0f} %."
        )
    else:
        yield f"By the fast models only (one coarse mesh). {_off(result)}"
    yield from _scatter(result, plan)
    row = plan.weakest
    yield f"The load is of grade {row.grade}: trust the order of the plans more than their margins."


def _off(result: PlanResult) -> str:
    if not any(one.confirmed is not None and one.confirmed.rows for one in result.plans):
        return "No plan of this run was confirmed, so it is not known how far they are off."
    return f"Where detailed models looked, these were off by up to {100 * _largest(result):.0f} %."


def _scatter(result: PlanResult, plan: Plan):
    """What the spread of the published strength does to the margin."""
    if plan.weakest.mode == BUCKLES:
        yield "Buckling rests on stiffness, not on strength: see the test of the whole stick below."
        return
    name, value = strength_behind(plan.weakest.mode, result.wish.print_way(plan.spare.way))
    if value is not None and value.low is not None and value.high is not None:
        low, high = (plan.margin * x / value.mean for x in (value.low, value.high))
        yield (
            f"The print's strength behind it ({name}, {value.mean:g} {value.unit}, grade "
            f"{value.grade}) is reported from {value.low:g} to {value.high:g}: that alone "
            f"moves the margin from {low:.2f} to {high:.2f}."
        )
    elif value is not None and value.cov is not None:
        spread = NINE_OF_TEN * value.cov
        low, high = plan.margin * (1 - spread), plan.margin * (1 + spread)
        yield (
            f"The print's strength behind it ({name}, {value.mean:g} {value.unit}, grade "
            f"{value.grade}) scatters from print to print by {100 * value.cov:.0f} % "
            f"(standard deviation, E): nine of ten prints lie between margins of {low:.2f} and "
            f"{high:.2f}."
        )
    else:
        yield "How far the print's strength spreads is not known for this way to fail."


def raised(plan: Plan):
    """What would raise a plan's margin."""
    if not plan.remedies:
        yield "None of the changes tried raises it by 2 % or more."
        return
    first = plan.remedies[0]
    yield f"Most cheaply: {_remedy(first)}"
    for other in plan.remedies[1:]:
        yield f"Also: {_remedy(other)}"
    if plan.margin < 1.0 and max(one.margin for one in plan.remedies) < 1.0:
        yield (
            "None of these alone brings the reserve that is asked for: combine them, allow another "
            "joint or material, or ask less of the stick."
        )
    yield "Each change by itself, by the fast models; print times are estimates."


def _remedy(one: Remedy) -> str:
    support = f", {one.support / 1000:+.1f} cm3 of support" if abs(one.support) > 50 else ""
    hours = one.seconds / 3600
    time = f"{hours:+.1f} h of printing" if abs(hours) >= 0.05 else "no more time to print"
    return f"{one.words}: margin {one.margin:.2f} ({100 * one.gain:+.0f} %), {time}{support}."


def spare(plan: Plan) -> str:
    """The spare to print along, and what it costs."""
    part = plan.spare
    cost = part.cost
    where = "" if part.span is None else f" ({part.span[0]:.0f} to {part.span[1]:.0f} mm)"
    mass = "" if cost.mass != cost.mass else f", {cost.mass:.0f} g"
    text = (
        f"{part.name}{where}, printed {part.way}: of all printed parts the most likely to go first "
        f"(margin {part.margin:.2f}). Printing one takes about {cost.seconds / 3600:.1f} h{mass}, "
        f"{cost.support_volume / 1000:.1f} cm3 of supported space (estimates)."
    )
    if part.margin > 1.001 * plan.margin:
        text += " What governs is not a printed part (glue): both pieces at that joint are lost."
    return text


def cautions(result: PlanResult, plan: Plan):
    """What the reader must know before relying on a plan."""
    yield CAUTION
    if plan.layout.joint is not None:
        yield (
            "Joints are modelled as bonded over their engaged length, shoulders apart: play, "
            "loosening and a bad fit are not in the margin."
        )
        if isinstance(plan.layout.joint, ThreadedJoint):
            yield from (f"{note[0].upper()}{note[1:]}." for note in plan.layout.joint.notes)
    yield (
        "Foot and handle are not judged; neither are fatigue, heat and time: run the joint as a "
        "study of its own for those."
    )
    slipping = [hold for hold in plan.known.footholds if hold.slips]
    for hold in slipping:
        yield f"'{hold.title}': {hold.words}."
    yield from (f"{note[0].upper()}{note[1:]}." for note in plan.known.notes)
    for part in plan.parts:
        turned = part.cost.support_turned
        if turned < 0.9 * part.cost.support_volume - 1.0:
            yield (
                f"{part.name}: stood on its other end it would need {turned / 1000:.1f} in place "
                f"of {part.cost.support_volume / 1000:.1f} cm3 of supported space; layers, and so "
                "strength, stay the same."
            )


def conclusion(result: PlanResult) -> str:
    """The outcome in a few sentences."""
    top = result.top
    text = f"The strongest plan is {top.layout.words}"
    if top.margin < 1.0:
        text = f"No plan has all the reserve that is asked for. {text}"
    if top.layout.stations:
        text += f", cut at {', '.join(f'{x:.0f}' for x in top.layout.stations)} mm"
    text += (
        f": margin {top.margin:.2f}, about {top.cost.seconds / 3600:.0f} h of printing and "
        f"{top.cost.support / 1000:.0f} cm3 of support. {verdict(top)}"
    )
    alike = near_top(result)
    if alike:
        many = "Plans" if len(alike) > 1 else "Plan"
        text += (
            f" {many} {' and '.join(f'{k + 1}' for k in alike)} cannot be told from it by margin: "
            "the difference is less than the models are off by."
        )
    others = len(result.plans) - 1 - len(alike)
    if others > 0:
        many = "plans cost" if others > 1 else "plan costs"
        text += f" {others} more {many} less time or support, for less margin."
    return text


def near_top(result: PlanResult) -> list[int]:
    """Plans, from 1 on, whose margin differs from the strongest one's by less than its doubt.

    Two confirmed plans are compared by what their meshes leave open, others by how far the fast
    models were off; a tenth (E) where nothing was confirmed.
    """
    top = result.top
    found = []
    for k, plan in enumerate(result.plans[1:], start=1):
        if _settled(top) and _settled(plan):
            doubt = top.confirmed.uncertainty + plan.confirmed.uncertainty  # type: ignore[union-attr]
            if abs(plan.margin / top.margin - 1.0) <= doubt:
                found.append(k)
        elif abs(plan.fast_margin / top.fast_margin - 1.0) <= _largest(result):
            found.append(k)
    return found


def _settled(plan: Plan) -> bool:
    answer = plan.confirmed
    return answer is not None and answer.uncertainty == answer.uncertainty


def _largest(result: PlanResult) -> float:
    """How far the fast models were off where detailed ones looked. [-]."""
    changes = [
        one.confirmed.largest_change
        for one in result.plans
        if one.confirmed is not None and one.confirmed.rows
    ]
    return max(changes, default=UNKNOWN)
