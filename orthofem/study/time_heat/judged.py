"""All that time and heat do to one answer, under the conditions of its study."""

from __future__ import annotations

from ..evaluate import Answer
from ..setting import Setting
from .conditions import Conditions
from .endurance import fatigue_rows
from .finding import Lasting
from .sustained import sustained_rows
from .warming import warming_rows


def time_and_heat(
    answer: Answer, conditions: Conditions | None, setting: Setting, method: str = "auto"
) -> tuple[Lasting, ...]:
    """Findings about fatigue, loads that stay and warming; none where all is switched off.

    Parameters
    ----------
    answer : Answer
        Of an option whose materials the conditions were applied to.
    conditions : Conditions or None
    setting : StickWindow or HeldPart
    method : str, optional
        Linear solver, for the warming.

    Returns
    -------
    rows : tuple of Lasting
    """
    if conditions is None:
        return ()
    rows: list[Lasting] = []
    if conditions.use is not None:
        rows += fatigue_rows(answer, conditions.use, conditions.temperature)
    if conditions.hours is not None:
        rows += sustained_rows(answer, conditions.hours, conditions.temperature)
    if conditions.warming:
        rows += warming_rows(answer, setting, conditions.warming, method)
    return tuple(rows)
