"""The batch command as a user types it, right and wrong."""

from __future__ import annotations

import csv

import pytest
from typer.testing import CliRunner

from orthofem.cli import app
from orthofem.cli.batch import Log, load_studies

STUDY = """
from orthofem.parts import Shaft
from orthofem.study import HeldPart, LYING, Option, Print, Study, SurfaceLoad

def study():
    pin = Option("upright", Shaft(outer_diameter=DIAMETER).part(24.0), {"shaft": Print("pla")})
    push = SurfaceLoad("push", "Push sideways", (0.0, 10.0, 0.0))
    return Study("A pin", [pin, pin.printed("lying", shaft=LYING)],
                 HeldPart("lower_end", "upper_end", [push]), refinements=(0.6, 0.7))
"""


@pytest.fixture
def call(tmp_path, monkeypatch):
    """Call the command line in an empty folder, with a wide terminal."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "300")
    return lambda *arguments: CliRunner().invoke(app, ["batch", *map(str, arguments)])


def script(path, diameter=12.0):
    """Write a study of one pin, upright and lying."""
    path.parent.mkdir(exist_ok=True)
    path.write_text(STUDY.replace("DIAMETER", str(diameter)))
    return path


def test_a_folder_of_studies_is_answered_and_resumed(call, tmp_path):
    """All studies of a folder end in one table; the second call computes nothing."""
    script(tmp_path / "studies" / "thin.py", 11.0)
    script(tmp_path / "studies" / "thick.py", 13.0)
    script(tmp_path / "studies" / "_helper.py")
    first = call("studies", "--coarse", "--workers", 2)
    assert first.exit_code == 0, first.output
    assert "4 cases" in first.output
    assert "4 computed in this run" in first.output
    out = tmp_path / "results" / "batch"
    rows = list(csv.DictReader((out / "table.csv").open()))
    assert [(row["study"], row["option"]) for row in rows] == [
        ("thick", "upright"), ("thick", "lying"), ("thin", "upright"), ("thin", "lying")
    ]  # fmt: skip
    assert len(list((tmp_path / "results" / ".cases").glob("*.json"))) == 4
    table = (out / "table.csv").read_bytes()
    second = call("studies", "--coarse")
    assert second.exit_code == 0
    assert "4 taken from the store" in second.output
    assert (out / "table.csv").read_bytes() == table
    log = (out / "batch.log").read_text()
    assert log.count(" begun ") == log.count(" done ") == 4
    assert log.count(" stored ") == 4


def test_some_failures_end_with_their_own_code(call, tmp_path):
    """A script that raises and cases past their limit are told; the rest counts: code 3 or 1."""
    good = script(tmp_path / "good.py")
    bad = tmp_path / "bad.py"
    bad.write_text("1 / 0\n")
    late = call(good, bad, "--time-limit", 0.05, "--coarse")
    assert late.exit_code == 1, late.output
    assert "Stopped at the time limit of 0.05 s." in late.output
    assert "bad.py, line 1: ZeroDivisionError: division by zero" in late.output
    kept = call(good, "--coarse", "--keep-failed")
    assert kept.exit_code == 1
    assert "2 failed" in kept.output
    done = call(good, bad, "--coarse")
    assert done.exit_code == 3, done.output
    assert "2 computed in this run" in done.output


def test_nothing_to_do_is_an_error(call, tmp_path):
    """Paths that do not exist, empty folders and scripts without a study end with code 1."""
    assert "'nowhere' does not exist" in call("nowhere").output
    (tmp_path / "empty").mkdir()
    assert "'empty' holds no study script" in call("empty").output
    (tmp_path / "none.py").write_text("x = 1\n")
    done = call("none.py")
    assert done.exit_code == 1
    assert "has no function study()" in done.output
    assert "None of the scripts gives a study" in done.output
    good = script(tmp_path / "good.py")
    assert "Did you mean 'direct'" in call(good, "--solver", "directt").output
    (tmp_path / "file").write_text("")
    blocked = call(good, "--store", "file/store")
    assert blocked.exit_code == 1
    assert "Cannot write results to 'file/store'" in blocked.output


def test_help_tells_the_exit_codes(call):
    """What a shell script needs to know is in the help."""
    text = " ".join(call("--help").output.split())
    assert "Exit codes: 0 all cases done; 3 some failed" in text
    assert "130 stopped" in text


def test_scripts_of_one_name_keep_apart(tmp_path, monkeypatch):
    """Two scripts of the same name in two folders get their paths as labels; doubles count once."""
    monkeypatch.chdir(tmp_path)
    first, second = script(tmp_path / "a" / "pin.py"), script(tmp_path / "b" / "pin.py")
    studies, broken = load_studies([first, second, first])
    assert len(studies) == 2
    assert not broken
    assert all(label.endswith("/pin") for label in studies)


def test_a_full_disk_does_not_stop_the_batch_for_its_log(tmp_path):
    """A log that cannot be written loses its line and nothing else."""
    log = Log(tmp_path / "log")
    log.write("one\n two")
    assert log.path.read_text().endswith(" one two\n")
    Log(tmp_path / "nowhere" / "log").write("lost")
