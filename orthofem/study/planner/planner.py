"""From a wish to plans: search by fast models, judge as whole sticks, confirm in detail."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from time import perf_counter, process_time

from orthofem.errors import ModelError

from .confirm import confirmed
from .costs import Costs
from .cuts import undominated
from .judged import bench_tests, judged, with_margin_of
from .models import Models
from .printable import check_printable
from .remedies import remedies
from .result import Plan, PlanResult
from .search import Search, spread_out
from .wish import Wish

Progress = Callable[[str], None]
LOOKED_AT = 12
MOST = 7
"""Candidates judged as whole sticks, and undominated plans told at most."""
MORE = 2
"""Plans confirmed beyond those asked for, where one that is not confirmed would be strongest."""
NEAR = (math.log(1.02), math.log(1.02), 500.0)
"""Differences that do not count: 2 % of margin and of time, half a cm3 of support (E)."""


def plan(wish: Wish, progress: Progress = lambda text: None) -> PlanResult:
    """Find where to cut a stick, by which joints, and which way up to print its pieces.

    Parameters
    ----------
    wish : Wish
    progress : callable, optional
        Called with a line of text before each step.

    Returns
    -------
    result : PlanResult
        Undominated plans, the strongest first, the first of them confirmed by detailed models.

    Raises
    ------
    ModelError
        If the wish cannot be fulfilled; the message says what gives.
    """
    started, cpu = perf_counter(), process_time()
    check_printable(wish)
    models = Models(wish, progress)
    costs = Costs(models, progress)
    search = Search(models, costs, progress)
    found = search.candidates()
    plans, dropped = _judged(search, models, costs, found, progress)
    chosen = front(plans)
    others = tuple(one for one in plans if not any(one is kept for kept in chosen))
    chosen = _confirmed(models, chosen, progress)
    finished = []
    for one in chosen:
        progress(f"{one.layout.words}: what would raise it")
        finished.append(
            replace(one, remedies=remedies(models, costs, one), bench=bench_tests(models, one))
        )
    return PlanResult(
        wish, tuple(finished), tuple(found), others, dropped, perf_counter() - started,
        process_time() - cpu, models.count,
    )  # fmt: skip


def _judged(search: Search, models: Models, costs: Costs, found, progress: Progress):
    """The promising layouts as whole sticks, those that cannot be printed told with a reason."""
    plans: list[Plan] = []
    dropped: dict[str, str] = {}
    for candidate in search.promising(found, LOOKED_AT):
        progress(f"{candidate.layout.words}: the whole stick")
        layout = search.refined(candidate).layout
        try:
            plans.append(judged(models, costs, layout))
        except (ModelError, ValueError) as error:
            dropped[layout.words] = str(error)
    if not plans:
        reasons = "; ".join(f"{words}: {reason}" for words, reason in dropped.items())
        raise ModelError(f"None of the layouts could be judged. {reasons}")
    return plans, dropped


def front(plans: list[Plan]) -> list[Plan]:
    """The undominated plans, spread over their range where there are many."""
    rows = [(-math.log(one.margin), math.log(one.cost.seconds), one.cost.support) for one in plans]
    kept = spread_out(undominated(rows, NEAR), rows, MOST)
    return [plans[k] for k in sorted(kept, key=lambda k: rows[k])]


def _confirmed(models: Models, plans: list[Plan], progress: Progress) -> list[Plan]:
    """The first plans with their detailed answers, and more until the strongest has one."""
    wanted, order = models.wish.confirm, list(plans)
    for number in range(min(wanted + MORE, len(plans)) if wanted else 0):
        k = number if number < wanted else 0
        if order[k].confirmed is not None:
            break  # the strongest has its answer
        answer = confirmed(models, order[k], progress)
        order[k] = replace(order[k], confirmed=answer)
        if answer.stick is not None:
            order[k] = with_margin_of(order[k], answer.stick, models)
        if number >= wanted - 1:
            order.sort(key=lambda one: -one.margin)
    return order
