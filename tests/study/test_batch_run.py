"""The batch: each case once, failures kept apart, full disks and lost workers survived."""

from __future__ import annotations

import threading
from collections import Counter
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context

import pytest

from orthofem.errors import ModelError
from orthofem.parts import Shaft
from orthofem.report import batch_csv, duration, morning, outcome, write_morning
from orthofem.report.table import csv_text
from orthofem.study import LYING, HeldPart, Option, Print, Study, SurfaceLoad, run
from orthofem.study.batch import How, Store, case_of, cores, run_batch, solve_case

PUSH = SurfaceLoad("push", "Push sideways", (0.0, 10.0, 0.0))
HELD = HeldPart("lower_end", "upper_end", [PUSH])


def pins(count: int, title="Pins", **settings) -> Study:
    """Return a study of short pins of several diameters."""
    options = [
        Option(f"pin {k}", Shaft(outer_diameter=11.0 + k / 8).part(24.0), {"shaft": Print("pla")})
        for k in range(count)
    ]
    return Study(title, options, HELD, **{"refinements": (0.6,), **settings})


class Canned(Executor):
    """Answers at once, with what a table of outcomes says of the case's diameter."""

    def __init__(self, result, outcomes=None):
        self.result, self.outcomes, self.calls = result, outcomes or {}, []

    def submit(self, function, key, case, limit):
        """Return a finished future."""
        self.calls.append(key)
        radius = case.option.part.pieces[0].solid.outline.points(2)[1].max()
        script = self.outcomes.get(round(8 * (2 * radius - 11.0)), [])
        said = script.pop(0) if script else {"status": "done", "result": self.result}
        future = Future()
        if isinstance(said, Exception):
            future.set_exception(said)
        else:
            future.set_result(said)
        return future


@pytest.fixture(scope="module")
def result():
    """Return the plain result of one pin."""
    study = pins(1)
    return solve_case(case_of(study, study.options[0]))


def test_local_workers_give_the_table_of_a_plain_run(tmp_path):
    """Two worker processes, one, and the store alone give the chain's own table, byte for byte."""
    study = pins(2, refinements=(0.6, 0.7))
    study = replace(study, options=[*study.options, study.options[0].printed("l", shaft=LYING)])
    expected = csv_text(run(study))
    told = Counter()
    two = run_batch({"pins": study}, Store(tmp_path / "two"), How(workers=2),
                    tell=lambda event, item, text: told.update([event]))  # fmt: skip
    one = run_batch({"pins": study}, Store(tmp_path / "one"), How(workers=1))
    again = run_batch({"pins": study}, Store(tmp_path / "two"), How(workers=2))
    for found in (two, one, again):
        assert csv_text(found.results["pins"]) == expected
        assert not found.failed
        assert not found.missing
    assert told == {"waiting": 3, "begun": 3, "done": 3}
    assert len(two.computed) == 3
    assert again.computed == ()


@pytest.mark.parametrize("context", ["spawn", "forkserver"])
def test_any_standard_executor_will_do(tmp_path, context):
    """A process pool of the standard library gives the same table."""
    study = pins(2)
    with ProcessPoolExecutor(2, mp_context=get_context(context)) as pool:
        found = run_batch({"pins": study}, Store(tmp_path), executor=pool)
    assert csv_text(found.results["pins"]) == csv_text(run(study))


def test_a_case_shared_by_two_studies_is_computed_once(tmp_path, result):
    """Studies that ask for the same case share its answer under their own names."""
    first, second = pins(3), pins(4, "More pins")
    renamed = [replace(option, name=f"thing {k}") for k, option in enumerate(second.options)]
    second = replace(second, options=renamed)
    executor = Canned(result)
    found = run_batch({"a": first, "b": second}, Store(tmp_path), executor=executor)
    assert len(executor.calls) == 4
    assert list(found.results["a"].answers) == ["pin 0", "pin 1", "pin 2"]
    assert list(found.results["b"].answers) == ["thing 0", "thing 1", "thing 2", "thing 3"]
    assert batch_csv(found).splitlines()[1].startswith("a,pin 0,push,")
    assert len(batch_csv(found).splitlines()) == 8


def test_a_failed_case_is_recorded_and_tried_again(tmp_path, result):
    """The rest goes on; the next run tries the failed case again, unless told to keep it."""
    failed = {"status": "failed", "kind": "ModelError", "error": "too thin | here"}
    executor = Canned(result, {1: [dict(failed)]})
    found = run_batch({"pins": pins(3)}, Store(tmp_path), executor=executor)
    assert found.failed == {("pins", "pin 1"): "too thin | here"}
    assert [item.option for item in found.done] == ["pin 0", "pin 2"]
    assert outcome(found) == "3 cases in 0 s: 2 computed in this run, 1 failed."
    page = morning(found)
    assert "| pins | pin 1 | too thin \\| here |" in page
    assert "Not all options have an answer: 1 failed." in page
    kept = run_batch({"pins": pins(3)}, Store(tmp_path), How(keep_failed=True), Canned(result))
    assert kept.failed == found.failed
    assert kept.computed == ()
    again = run_batch({"pins": pins(3)}, Store(tmp_path), executor=Canned(result))
    assert not again.failed
    assert len(again.computed) == 1
    assert outcome(again) == "3 cases in 0 s: 1 computed in this run, 2 taken from the store."


@pytest.mark.parametrize(
    "death",
    [
        {"status": "died", "error": "was killed"},
        BrokenExecutor("a process ended"),
        EOFError(),
        type("KilledWorker", (Exception,), {})("lost twice"),
    ],
    ids=["own worker", "pool", "connection", "cluster"],
)
def test_a_case_whose_worker_dies_is_tried_once_more(tmp_path, result, death):
    """One death is survived; two are recorded as a failure, and the rest goes on."""
    told = []
    executor = Canned(result, {0: [death], 1: [death, death]})
    found = run_batch({"pins": pins(3)}, Store(tmp_path), executor=executor,
                      tell=lambda event, item, text: told.append((event, item.option)))  # fmt: skip
    assert Counter(executor.calls).most_common() == [
        (found.planned[0].key, 2), (found.planned[1].key, 2), (found.planned[2].key, 1)
    ]  # fmt: skip
    assert list(found.failed) == [("pins", "pin 1")]
    assert ("again", "pin 0") in told
    assert Store(tmp_path).read(found.planned[1].key)["kind"] == "Died"


def test_an_executor_that_cannot_run_a_case_fails_that_case(tmp_path, result):
    """What an executor raises for one case is recorded with it."""
    executor = Canned(result, {0: [TypeError("cannot pickle")]})
    found = run_batch({"pins": pins(2)}, Store(tmp_path), executor=executor)
    assert found.failed["pins", "pin 0"] == "The executor could not run the case: cannot pickle"


def test_a_broken_executor_ends_the_batch_with_advice(tmp_path, result):
    """An executor that takes no more cases ends the run; what was done stays."""
    executor = Canned(result)
    submit, taken = executor.submit, []

    def refuse(*arguments):
        if taken:
            raise RuntimeError("cannot schedule new futures")
        taken.append(1)
        return submit(*arguments)

    executor.submit = refuse
    with pytest.raises(ModelError, match="takes no more cases .*run the same command again"):
        run_batch({"pins": pins(2)}, Store(tmp_path), executor=executor)


def test_a_full_disk_at_any_write_is_survived(tmp_path, monkeypatch, faulty, result):
    """Whichever write of a batch fails, the message is clear and the next run completes it."""
    expected = batch_csv(
        run_batch({"pins": pins(4)}, Store(tmp_path / "calm"), executor=Canned(result))
    )
    at, failed = 0, True
    while failed:
        at += 1
        store = Store(tmp_path / str(at))
        first = Canned(result)
        with monkeypatch.context() as patch:
            faults = faulty(patch, at)
            said = complaint({"pins": pins(4)}, store, first)
        failed = faults.count >= at
        assert ("No space left on device" in said) == failed
        kept = store.keys()
        second = Canned(result)
        found = run_batch({"pins": pins(4)}, store, executor=second)
        assert batch_csv(found) == expected
        assert not set(second.calls) & set(kept)
    assert at == 4 * 7 + 1  # seven calls touch the disk for each case


def complaint(studies, store, executor) -> str:
    """Run a batch; return the text of the error that ended it, if one did."""
    try:
        run_batch(studies, store, executor=executor)
    except ModelError as error:
        return str(error)
    return ""


def test_the_word_to_stop_keeps_what_is_finished(tmp_path, result):
    """After the word to stop nothing new begins; what was finished then is in the store."""
    stop = threading.Event()
    executor = Canned(result)

    def tell(event, item, text):
        if event == "done":
            stop.set()

    found = run_batch({"pins": pins(5)}, Store(tmp_path), executor=executor, tell=tell, stop=stop)
    assert found.stopped
    done = {item.key for item in found.done}
    assert done == set(Store(tmp_path).keys())
    assert done
    later = Canned(result)
    rest = run_batch({"pins": pins(5)}, Store(tmp_path), executor=later)
    assert not set(later.calls) & done
    assert not rest.missing


def test_stopping_ends_the_processes_at_once(tmp_path):
    """The word to stop kills cases in flight; they are missing, not failed, and told so."""
    stop = threading.Event()
    started = []

    def tell(event, item, text):
        if event == "begun":
            started.append(item)
            stop.set()

    long = pins(4, refinements=(2.5,))
    found = run_batch({"pins": long}, Store(tmp_path), How(workers=1), tell=tell, stop=stop)
    assert found.stopped
    assert len(started) == 1
    assert found.seconds < 10.0
    assert len(found.missing) == 4
    assert found.records == {}
    assert "4 not reached; stopped before its end, the same command goes on" in outcome(found)
    assert "- pins: pin 3" in morning(found)


def test_an_option_that_cannot_be_described_does_not_stop_the_rest(tmp_path, result):
    """An unknown material is told at the end with the others' answers."""
    study = pins(1)
    oak = Option("oak", study.options[0].part, {"shaft": Print("oak")})
    study = replace(study, options=[oak, *study.options])
    found = run_batch({"pins": study}, Store(tmp_path), executor=Canned(result))
    assert "Unknown material 'oak'" in found.failed["pins", "oak"]
    assert list(found.results["pins"].answers) == ["pin 0"]
    assert "Unknown material 'oak'" in found.results["pins"].failed["oak"]


def test_the_morning_page_holds_table_ranking_and_failures(tmp_path, result):
    """Both files are written; the page names the best, the times and where answers came from."""
    found = run_batch({"pins": pins(2)}, Store(tmp_path / "s"), executor=Canned(result))
    table, page = write_morning(found, tmp_path)
    assert table.read_text() == batch_csv(found)
    text = page.read_text()
    assert "does not show that a person may lean" in text
    assert "## pins: Pins" in text
    assert text.count("this run |") == 2
    assert table.read_text().startswith("study,option,load case,reserve factor [-]")
    empty = run_batch({}, Store(tmp_path / "s"), executor=Canned(result))
    assert outcome(empty) == "0 cases in 0 s: none."
    assert morning(empty)
    assert duration(600.0) == "10 min"


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"workers": 0}, "workers = 0"),
        ({"threads": 0}, "threads = 0"),
        ({"time_limit": 0.0}, "time limit = 0 s"),
        ({"method": "directt"}, "Did you mean 'direct'"),
    ],
)
def test_settings_that_make_no_sense_are_refused(settings, message):
    """Each bad setting of a batch gets its own message."""
    with pytest.raises(ValueError, match=message):
        How(**settings)
    assert cores() >= 1
