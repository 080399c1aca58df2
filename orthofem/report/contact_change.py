"""What changed when pieces touch instead of being bonded, and whether the ranking did."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from orthofem.study import Answer, Row, StudyResult, Worst
from orthofem.study.uncertainty import tied

from .verdict import unsure

CHANGE_COLUMNS = (
    "option", "held back by", "bonded", "in contact", "change", "rank bonded", "rank in contact",
)  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One option, its pieces bonded and in contact, each under the load that holds it back.

    Parameters
    ----------
    option : str
    bonded : Worst
    row : Row
        As judged: in contact, or bonded where nothing touches.
    touches : bool
    ranks : tuple of two int
        From the strongest, 1: bonded, and in contact.
    """

    option: str
    bonded: Worst
    row: Row
    touches: bool
    ranks: tuple[int, int]

    @property
    def cells(self) -> tuple[str, ...]:
        """Cells of the table, in words."""
        now = self.row.worst
        change = "bonded in both" if not self.touches else _change(self.bonded, now)
        load = now.loading.title
        if self.bonded.loading.name != now.loading.name:
            load += f"; bonded: {self.bonded.loading.title}"
        return (
            self.option, load, f"{self.bonded.reserve:.2f}",
            f"{now.reserve:.2f}{unsure(self.row)}", change, *map(str, self.ranks),
        )  # fmt: skip


def changes(result: StudyResult) -> list[Change]:
    """All options from the strongest in contact down; empty where no pieces touch."""
    answers = {name: found[-1] for name, found in result.answers.items()}
    if not any(answer.contact for answer in answers.values()):
        return []
    bonded = {name: _governing(answer) for name, answer in answers.items()}
    before = sorted(bonded, key=lambda name: -_margin(bonded[name]))
    return [
        Change(
            name, bonded[name], row, answers[name].contact is not None,
            (before.index(name) + 1, place + 1),
        )
        for place, (name, row) in enumerate(result.ranking())
    ]  # fmt: skip


def change_rows(result: StudyResult) -> list[tuple[str, ...]]:
    """Rows of the table of what changed."""
    return [change.cells for change in changes(result)]


def contact_ranking(result: StudyResult) -> str:
    """Whether contact changes which option is stronger; empty with one option or no contact."""
    found = changes(result)
    if len(found) < 2:
        return ""
    moved = [change for change in found if change.ranks[0] != change.ranks[1]]
    if not moved:
        order = " > ".join(f"'{change.option}'" for change in found)
        return f"Touching leaves the ranking as it is with bonded pieces: {order}."
    told = "; ".join(
        f"'{change.option}' {'falls' if change.ranks[1] > change.ranks[0] else 'rises'} from place "
        f"{change.ranks[0]} to {change.ranks[1]}"
        for change in moved
    )
    return f"Touching changes the ranking: {told}.{_unsure(result, moved)}"


def _unsure(result: StudyResult, moved: Sequence[Change]) -> str:
    """Warning where those that change places cannot be told apart."""
    names = {change.option for change in moved}
    ties = [pair for pair in result.ties() if names.issuperset(pair)]
    ties += [pair for pair in _bonded_ties(moved) if pair not in ties and pair[::-1] not in ties]
    if not ties:
        return ""
    told = "; ".join(f"'{one}' and '{other}'" for one, other in ties)
    return f" The meshes cannot tell apart, so their order may be chance: {told}."


def _bonded_ties(moved: Sequence[Change]) -> list[tuple[str, str]]:
    """Pairs that change places and were too near when bonded to tell which was stronger."""
    return [
        (one.option, other.option)
        for one, other in combinations(moved, 2)
        if (one.ranks[0] < other.ranks[0]) != (one.ranks[1] < other.ranks[1])
        and tied(
            _margin(one.bonded), _margin(other.bonded), (one.row.uncertainty, other.row.uncertainty)
        )
    ]


def _governing(answer: Answer) -> Worst:
    """Worst of all load cases with the pieces bonded."""
    cases = answer.worst if answer.contact is None else answer.contact.bonded
    return min(cases, key=_margin)


def _margin(worst: Worst) -> float:
    return worst.reserve / worst.loading.wanted


def _change(bonded: Worst, contact: Worst) -> str:
    if bonded.loading.name != contact.loading.name:
        return "another load"
    if not (0 < bonded.reserve < float("inf") and contact.reserve < float("inf")):
        return "—"
    percent = round(100 * (contact.reserve / bonded.reserve - 1.0))
    change = f"{percent:+d} %" if percent else "same"
    return change if bonded.mode == contact.mode else f"{change}, by '{contact.mode}'"
