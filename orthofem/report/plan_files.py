"""A folder with everything the planner found: a page a plan, tables, record and figures."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

from orthofem.study import ESTIMATE
from orthofem.study.planner import PlanResult
from orthofem.study.versions import versions

from .folder import TEMPLATES, Progress, check_folder, write_page, write_texts
from .plan import conclusion, pages, shared_cautions
from .plan_tables import (
    BRIEF_COLUMNS,
    brief_plans,
    parts_csv,
    plans_csv,
    plans_record,
    stick_plan_picture,
    tradeoff_picture,
)
from .stick import stick_margins_picture
from .verdict import CAUTION


def write_plans(
    result: PlanResult, folder: str | Path, progress: Progress = lambda text: None
) -> list[Path]:
    """Write what the planner found, most valuable first.

    Parameters
    ----------
    result : PlanResult
    folder : str or Path
        Made if missing.
    progress : callable, optional
        Called with a line of text before each file.

    Returns
    -------
    paths : list of Path
        Files written: plans.csv, parts.csv, plans.json, plan.md, figures/*.
    """
    folder = check_folder(folder)
    paths = write_texts(folder, {
        "plans.csv": lambda: plans_csv(result),
        "parts.csv": lambda: parts_csv(result),
        "plans.json": lambda: json.dumps(plans_record(result), indent=1),
    })  # fmt: skip
    page = partial(plan_page, result)
    return paths + write_page(folder / "plan.md", page, plan_pictures(result), progress)


def plan_pictures(result: PlanResult) -> Iterator[tuple[str, str, Any]]:
    """File stem, kind and data of every figure, the comparison first."""
    yield "plan_tradeoff", "plan_tradeoff", tradeoff_picture(result)
    for k, plan in enumerate(result.plans, start=1):
        yield f"plan_{k}", "stick_plan", stick_plan_picture(plan, k)
        if plan.confirmed is not None and plan.confirmed.stick is not None:
            title = f"Plan {k}: margin along the stick"
            margins = stick_margins_picture(plan.confirmed.stick, title)
            yield f"plan_{k}_margins", "stick_margins", margins


def plan_page(result: PlanResult, pictures: list[str]) -> str:
    """The plans in plain words, one page each."""
    told = pages(result)
    cases = result.wish.built(result.wish.stick(result.top.layout.stations))
    return TEMPLATES.get_template("plan.md.jinja").render(
        result=result, wish=result.wish, conclusion=conclusion(result), pages=told,
        shared=shared_cautions(told),
        rows=brief_plans(result), columns=BRIEF_COLUMNS, caution=CAUTION, pictures=pictures,
        cases=cases, print_estimate=ESTIMATE, versions=versions(),
        material=result.wish.print_way(result.wish.ways[0]).loaded,
    )  # fmt: skip
