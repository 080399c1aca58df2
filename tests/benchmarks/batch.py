"""One study as a batch: one worker against two, the store empty each time.

``python tests/benchmarks/batch.py``. The study is the marsh-walk stick's waist: three waists, each
upright and lying, two meshes, walking and kick. Every worker has one thread, so that the table is
the same however many there are; a third row gives one worker all cores' threads instead. The
tables must agree, or nothing is printed but the difference. Ratios are what counts.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from time import perf_counter

from orthofem.report import batch_csv
from orthofem.study import Study
from orthofem.study.batch import How, Store, cores, run_batch

SCRIPT = Path(__file__).parent.parent.parent / "studies" / "waist_kick.py"


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--refinements", type=float, nargs="+", default=[1.0, 1.6])
    sys.stdout.write(report(tuple(parser.parse_args().refinements)))


def report(refinements: tuple[float, ...] = (1.0, 1.6)) -> str:
    """Run the study three ways and return the table."""
    study = replace(the_study(), refinements=refinements)
    ways = {
        "one worker": How(workers=1),
        "two workers": How(workers=2),
        f"one worker, {cores()} threads": How(workers=1, threads=cores()),
    }
    timed = {name: run_once(study, how) for name, how in ways.items()}
    first = timed["one worker"]
    if timed["two workers"][1] != first[1]:
        sys.exit(f"The tables differ:\n{first[1]}\n{timed['two workers'][1]}")
    unknowns = ", ".join(f"{n:,}" for n in first[2])
    lines = [
        f"**A night's batch.** 6 cases of {unknowns} unknowns, {cores()} cores; one and two "
        "workers give the identical table.",
        "",
        "| batch | time [s] | times as fast [-] |",
        "|---|---|---|",
        *(f"| {name} | {seconds:.1f} | {first[0] / seconds:.2f} |"
          for name, (seconds, _, _) in timed.items()),
        "",
    ]  # fmt: skip
    return "\n".join(lines)


def run_once(study: Study, how: How) -> tuple[float, str, list[int]]:
    """Time of a batch with an empty store, its table, and the unknowns of its first case. [s]"""
    with tempfile.TemporaryDirectory() as folder:
        started = perf_counter()
        found = run_batch({"waist": study}, Store(folder), how)
        seconds = perf_counter() - started
    if found.failed:
        sys.exit(f"Cases failed: {found.failed}")
    return seconds, batch_csv(found), found.records[found.planned[0].key]["unknowns"]


def the_study() -> Study:
    """Study of the waist."""
    spec = importlib.util.spec_from_file_location(SCRIPT.stem, SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.study()


if __name__ == "__main__":
    main()
