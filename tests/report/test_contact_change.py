"""What changed against bonded pieces, told from answers whose numbers are known."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from orthofem.report.contact_change import change_rows, contact_ranking
from orthofem.study import Loading, Row, Worst


def worst(reserve, case="kick", mode="layers part", wanted=1.0):
    """Return the worst of a case."""
    loading = Loading(case, case.capitalize(), ("y",), np.ones((6, 1)), "s", "E", wanted, "r")
    return Worst(loading, reserve, 1 / reserve, "tsai_hill", mode, "a", "a", (0, 0, 0), 0, 9, 1.0)


def result(options, ties=()):
    """Return a result of options by name: bonded worst and worst in contact, None if bonded."""
    answers, rows = {}, []
    for name, (bonded, contact) in options.items():
        touched = SimpleNamespace(bonded=(bonded,)) if contact else None
        answers[name] = (SimpleNamespace(worst=(contact or bonded,), contact=touched),)
        rows.append((name, Row(name, contact or bonded, np.nan, np.nan)))
    rows.sort(key=lambda pair: -pair[1].margin)
    return SimpleNamespace(answers=answers, ranking=lambda: rows, ties=lambda: list(ties))


def test_a_ranking_that_turns_is_told_place_by_place():
    """An option that loses in contact falls, the glued one rises; change and places are told."""
    found = result({"stud": (worst(0.5), worst(0.3)), "glued": (worst(0.4), None)})
    assert contact_ranking(found) == (
        "Touching changes the ranking: 'glued' rises from place 2 to 1; 'stud' falls from place 1 "
        "to 2."
    )
    assert change_rows(found) == [
        ("glued", "Kick", "0.40", "0.40 ?", "bonded in both", "2", "1"),
        ("stud", "Kick", "0.50", "0.30 ?", "-40 %", "1", "2"),
    ]


def test_a_ranking_that_stays_is_told_too():
    """The order is named once."""
    found = result({"stud": (worst(0.5), worst(0.45)), "glued": (worst(0.4), None)})
    assert contact_ranking(found) == (
        "Touching leaves the ranking as it is with bonded pieces: 'stud' > 'glued'."
    )


def test_a_turn_that_the_meshes_cannot_tell_is_called_so():
    """Options that change places and are a tie may be in that order by chance."""
    found = result(
        {"stud": (worst(0.41), worst(0.39)), "glued": (worst(0.4), None)}, [("glued", "stud")]
    )
    assert "cannot tell apart, so their order may be chance: 'glued' and 'stud'" in contact_ranking(
        found
    )


@pytest.mark.parametrize(
    ("contact", "told"),
    [
        (worst(0.6, case="walk"), "another load"),
        (worst(0.6, mode="bead breaks along"), "+20 %, by 'bead breaks along'"),
        (worst(np.inf), "—"),
    ],
)
def test_what_else_changes_is_told(contact, told):
    """Another load, another mode, and a load that breaks nothing."""
    assert change_rows(result({"stud": (worst(0.5), contact)}))[0][4] == told


def test_the_margin_ranks_not_the_reserve():
    """A load that asks for more weighs more."""
    found = result({
        "one": (worst(1.0, "walk", wanted=3.0), worst(1.0, "walk", wanted=3.0)),
        "other": (worst(0.5), worst(0.2)),
    })  # fmt: skip
    assert [cells[-2:] for cells in change_rows(found)] == [("2", "1"), ("1", "2")]


def test_nothing_is_told_where_nothing_touches():
    """A study of bonded options has no such table."""
    found = result({"stud": (worst(0.5), None), "glued": (worst(0.4), None)})
    assert change_rows(found) == []
    assert contact_ranking(found) == ""
    assert contact_ranking(result({"stud": (worst(0.5), worst(0.4))})) == ""
