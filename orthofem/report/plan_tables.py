"""Plans as tables, as a record and as plain data for the figures."""

from __future__ import annotations

import csv
import io

import numpy as np

from orthofem import figures
from orthofem.study import ESTIMATE
from orthofem.study.planner import Layout, Plan, PlanResult
from orthofem.study.planner.rules import SEPARATE, kind_of
from orthofem.study.versions import versions

from .plan import conclusion, pages
from .record import plain
from .verdict import CAUTION

COLUMNS = (
    "plan", "pieces [-]", "joint", "core [mm]", "cuts [mm]", "ways up", "studs", "margin [-]",
    "reserve factor [-]", "wanted [-]", "governing place", "station [mm]", "load case", "variant",
    "mode", "load grade", "fast margin [-]", "confirmed", "uncertainty of meshes [%]",
    "print time, estimate [h]", "supported space [mm3]", "mass [g]", "spare", "spare time [h]",
)  # fmt: skip
BRIEF_COLUMNS = (
    "plan", "what", "ways up", "cuts [mm]", "margin", "by fast models", "time", "support",
    "what governs", "spare",
)  # fmt: skip
PART_COLUMNS = (
    "plan", "part", "number", "from [mm]", "to [mm]", "way up", "margin [-]", "where",
    "height [mm]", "layers [-]", "time, estimate [h]", "supported space [mm3]", "filament [mm3]",
    "mass [g]", "filament changes [-]",
)  # fmt: skip


def plans_csv(result: PlanResult) -> str:
    """Comma-separated table of the plans."""
    return _csv(COLUMNS, (_row(k + 1, plan) for k, plan in enumerate(result.plans)))


def parts_csv(result: PlanResult) -> str:
    """Comma-separated table of all parts of all plans."""
    rows = (_part(k + 1, part) for k, plan in enumerate(result.plans) for part in plan.parts)
    return _csv(PART_COLUMNS, rows)


def brief_plans(result: PlanResult) -> list[list[str]]:
    """Cells of `BRIEF_COLUMNS`, one row a plan."""
    return [
        [
            f"{k + 1}", _short(plan.layout), letters(plan.layout),
            ", ".join(f"{x:.0f}" for x in plan.layout.stations),
            f"{plan.margin:.3f}" if _detailed(plan) else "", f"{plan.fast_margin:.3f}",
            f"{plan.cost.seconds / 3600:.1f} h", f"{plan.cost.support / 1000:.1f} cm3",
            f"{plan.weakest.place} at {plan.weakest.station:.0f} mm: {plan.weakest.how}",
            plan.spare.name,
        ]
        for k, plan in enumerate(result.plans)
    ]  # fmt: skip


def plans_record(result: PlanResult) -> dict:
    """Wish, versions, plans and their words as plain data, ready for JSON."""
    wish = result.wish
    return plain({
        "title": wish.title,
        "caution": CAUTION,
        "verdict": conclusion(result),
        "print_estimate": ESTIMATE,
        "versions": versions(),
        "wish": {
            "length_mm": wish.length,
            "outline_mm": wish.outline,
            "person": wish.person,
            "printer": wish.printer.values,
            "joints": {name: joint for name, joint in wish.designs.items()},
            "material": wish.print_way(wish.ways[0]).loaded.key,
            "cases": [case.name for case in wish.built(wish.stick())],
            "ways": wish.ways,
        },
        "plans": [
            {"page": page, "stations_mm": plan.layout.stations, "ways": plan.layout.ways,
             "studs": plan.layout.stud, "margin": plan.margin, "fast_margin": plan.fast_margin,
             "weakest": plan.weakest, "parts": plan.parts, "remedies": plan.remedies,
             "seconds": plan.cost.seconds, "support_mm3": plan.cost.support,
             "confirmed": _confirmed(plan)}
            for page, plan in zip(pages(result), result.plans, strict=True)
        ],
        "looked_at": len(result.looked_at),
        "dropped": result.dropped,
        "seconds": round(result.seconds, 1),
        "cpu_seconds": round(result.cpu_seconds, 1),
        "fast_models": result.models,
    })  # fmt: skip


def stick_plan_picture(plan: Plan, number: int) -> figures.StickPlan:
    """One plan as the plain data of its drawing."""
    row, layout = plan.weakest, plan.layout
    pieces = plan.parts[: len(layout.ways)]
    edges = np.array([0.0, *layout.stations, pieces[-1].span[1]])  # type: ignore[index]
    reach = (0.0, 0.0, 0.0)
    if layout.joint is not None:
        below = layout.joint.end if SEPARATE[kind_of(layout.joint)] else 0.0
        reach = (below, layout.joint.end, layout.joint.core_radius)
    return figures.StickPlan(
        title=f"Plan {number}: {layout.words}",
        outline=plan.stick.outline,
        edges=edges,
        upright=np.array([way == "upright" for way in layout.ways]),
        margin=np.array([part.margin for part in pieces]),
        stud=reach,
        weakest=row.station,
        words=(
            f"Weakest: {row.place} at {row.station:.0f} mm, {row.how}",
            f"{row.title}: margin {plan.margin:.2f}",
        ),
    )


def tradeoff_picture(result: PlanResult) -> figures.PlanTradeoff:
    """All plans as the plain data of their comparison."""
    plans = result.plans
    return figures.PlanTradeoff(
        title=f"What more margin costs. {result.wish.title}",
        margin=np.array([plan.margin for plan in plans]),
        hours=np.array([plan.cost.seconds / 3600 for plan in plans]),
        support=np.array([plan.cost.support / 1000 for plan in plans]),
        names=tuple(_short(plan.layout) for plan in plans),
        ways=tuple(letters(plan.layout) for plan in plans),
        detailed=np.array([_detailed(plan) for plan in plans]),
        others=np.array([
            [one.margin, one.cost.seconds / 3600, one.cost.support / 1000] for one in result.others
        ]).reshape(-1, 3).T,
    )  # fmt: skip


def letters(layout: Layout) -> str:
    """Ways up in letters: U upright, L lying, after + the studs.

    Examples
    --------
    >>> letters(Layout("loose stud", None, (300.0,), ("upright", "lying"), "lying"))
    'U L + L'
    """
    pieces = " ".join(way[0].upper() for way in layout.ways)
    return f"{pieces} + {layout.stud[0].upper()}" if layout.stud else pieces


def _short(layout: Layout) -> str:
    number = len(layout.ways)
    return "one piece" if number == 1 else f"{number} pieces, {layout.design}"


def _detailed(plan: Plan) -> bool:
    return plan.confirmed is not None and bool(plan.confirmed.unknowns)


def _confirmed(plan: Plan) -> dict | None:
    answer = plan.confirmed
    if answer is None:
        return None
    return {
        "margin": answer.margin, "uncertainty": answer.uncertainty, "rows": answer.rows,
        "unknowns": answer.unknowns, "seconds": round(answer.seconds, 1), "failed": answer.failed,
    }  # fmt: skip


def _row(number: int, plan: Plan) -> list:
    row, layout, cost = plan.weakest, plan.layout, plan.cost
    core = "" if layout.joint is None else f"{layout.joint.core_diameter:g}"
    doubt = plan.confirmed.uncertainty if plan.confirmed is not None else float("nan")
    mass = plan.mass
    return [
        number, len(layout.ways), layout.design, core,
        " ".join(f"{x:g}" for x in layout.stations), " ".join(layout.ways), layout.stud,
        f"{plan.margin:.5g}", f"{row.with_bowing:.5g}", row.wanted, row.place,
        f"{row.station:.1f}", row.case, row.label, row.mode, row.grade, f"{plan.fast_margin:.5g}",
        "yes" if _detailed(plan) else "no", "" if doubt != doubt else f"{100 * doubt:.2f}",
        f"{cost.seconds / 3600:.2f}", f"{cost.support:.0f}", "" if mass != mass else f"{mass:.1f}",
        plan.spare.name, f"{plan.spare.cost.seconds / 3600:.2f}",
    ]  # fmt: skip


def _part(number: int, part) -> list:
    low, high = ("", "") if part.span is None else (f"{x:g}" for x in part.span)
    cost = part.cost
    return [
        number, part.name, cost.count, low, high, part.way, f"{part.margin:.5g}", part.words,
        f"{cost.height:.1f}", cost.layers, f"{cost.seconds / 3600:.2f}",
        f"{cost.support_volume:.0f}", f"{cost.filament_volume:.0f}",
        "" if cost.mass != cost.mass else f"{cost.mass:.1f}", cost.changes,
    ]  # fmt: skip


def _csv(header, rows) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()
