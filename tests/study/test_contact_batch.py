"""Options in contact in a batch: stopped, resumed, ranked in the morning with their uncertainty."""

from __future__ import annotations

import sys
import threading
from pathlib import Path

import pytest

from orthofem.report import batch_csv, morning
from orthofem.report.contact_change import change_rows, contact_ranking
from orthofem.report.table import csv_text
from orthofem.solve.contact import ThreadTie
from orthofem.study import Study, SurfaceLoad, run
from orthofem.study.batch import How, Store, run_batch

sys.path.insert(0, str(Path(__file__).parent))
from touching_parts import held, option, pinned, push

SIDE = SurfaceLoad("side", "Side", [[0, 0], [50, 0], [0, 50.0]], labels=("y", "z"))
PART = pinned()
OPTIONS = [
    option("bonded pin", PART),
    option("threaded pin", PART, interfaces={"pin|sleeve": ThreadTie()}),
    option("pin with play", PART, interfaces={"pin|sleeve": ThreadTie(clearance=0.02)}),
]
STUDY = Study("Pins", OPTIONS, held(SIDE, push(500.0)), refinements=(0.5, 0.7))


@pytest.fixture(scope="module")
def plain():
    """Return the study's own run."""
    return run(STUDY)


@pytest.fixture(scope="module")
def halves(tmp_path_factory):
    """Return a batch stopped after its first case in contact, and the one that went on."""
    store, stop = tmp_path_factory.mktemp("store"), threading.Event()

    def tell(event, item, text):
        if event == "done" and item.option == "threaded pin":
            stop.set()

    first = run_batch({"pins": STUDY}, Store(store), How(workers=1), tell=tell, stop=stop)
    return first, run_batch({"pins": STUDY}, Store(store), How(workers=1))


def test_a_stopped_batch_goes_on_where_it_was(halves):
    """What was solved in contact before the stop is not solved again; the rest is."""
    first, rest = halves
    assert first.stopped
    kept = {item.key for item in first.done}
    assert {item.option for item in first.missing} == {"pin with play"}
    assert not rest.missing
    assert not rest.failed
    assert not kept & set(rest.computed)
    assert len(rest.computed) == 1


def test_its_table_is_that_of_a_plain_run(halves, plain):
    """Resumed, the rows of all options are those of an undisturbed run, digit for digit."""
    result = halves[1].results["pins"]
    assert csv_text(result) == csv_text(plain)
    assert change_rows(result) == change_rows(plain)
    assert contact_ranking(result) == contact_ranking(plain)
    assert batch_csv(halves[1]).count("\n") == 7


def test_the_morning_ranks_contact_with_its_uncertainty(halves, plain):
    """The page ranks options in contact beside bonded ones, how sure each is, what it changed."""
    page = morning(halves[1])
    ranked = page.split("## Ranking")[1].split("##")[0]
    for _, row in plain.ranking():
        (line,) = [line for line in ranked.splitlines() if f"| {row.option} |" in line]
        assert row.uncertainty > 0
        assert f"{row.worst.reserve:.2f} ± {100 * row.uncertainty:.2g} %" in line
    assert "| held back by | bonded | in contact | change | rank bonded | rank in contact |" in page
    assert "- Contact, threaded pin: against bonded the joint is" in page
