"""A folder with everything a study found: table, record, summary, fields and figures."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import jinja2
import numpy as np

from orthofem import figures
from orthofem.errors import ModelError
from orthofem.mesh import write_vtu
from orthofem.study import ESTIMATE, Answer, StudyResult

from .contact import COLUMNS as CONTACT_COLUMNS
from .contact import contact_csv, contact_notes, contact_ranking, contact_rows
from .lasting import conditions_notes, lasting_csv, lasting_rows, reserve, years
from .pictures import all_pictures, file_stem
from .printing import BRIEF, brief_rows, print_notes, printing_csv
from .record import record, versions
from .table import csv_text
from .verdict import (
    CAUTION,
    case_verdicts,
    certainty,
    option_notes,
    overall,
    standing,
    where,
)

Progress = Callable[[str], None]
TEMPLATES = jinja2.Environment(
    loader=jinja2.PackageLoader("orthofem.report"), trim_blocks=True, lstrip_blocks=True,
    undefined=jinja2.StrictUndefined, keep_trailing_newline=True,
)  # fmt: skip


def check_folder(folder: str | Path) -> Path:
    """Make the output folder and prove that it can be written to, before anything is computed.

    Raises
    ------
    ModelError
        If the folder cannot be made or written to.
    """
    folder = Path(folder)
    probe = folder / f".write-check-{os.getpid()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        probe.write_text("")
        probe.unlink()
    except OSError as error:
        raise ModelError(
            f"Cannot write to folder '{folder}': {error.strerror or error}. "
            "Give another with --out, or change its permissions."
        ) from error
    return folder


def write_text(path: Path, text: str) -> Path:
    """Write a file whole or not at all.

    Raises
    ------
    ModelError
        If it cannot be written: no permission, no space.
    """
    temporary = path.with_name(f".{path.name}-{os.getpid()}")
    try:
        temporary.write_text(text, encoding="utf-8")
        temporary.replace(path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise ModelError(f"Cannot write '{path}': {error.strerror or error}.") from error
    return path


def write(
    result: StudyResult, folder: str | Path, progress: Progress = lambda text: None
) -> list[Path]:
    """Write a study's results, most valuable first.

    Parameters
    ----------
    result : StudyResult
    folder : str or Path
        Made if missing.
    progress : callable, optional
        Called with a line of text before each file.

    Returns
    -------
    paths : list of Path
        Files written: results.csv, results.json, summary.md, fields/*.vtu, figures/*;
        time_and_heat.csv where the study has conditions; printing.csv where it has a printer;
        contact.csv where pieces touch.
    """
    folder = check_folder(folder)
    paths = [
        write_text(folder / "results.csv", csv_text(result)),
        write_text(folder / "results.json", json.dumps(record(result), indent=1)),
    ]
    if result.printing:
        paths.append(write_text(folder / "printing.csv", printing_csv(result)))
    if contact_rows(result):
        paths.append(write_text(folder / "contact.csv", contact_csv(result)))
    if lasting_rows(result):
        paths.append(write_text(folder / "time_and_heat.csv", lasting_csv(result)))
    for name, answers in result.answers.items():
        progress(f"{name}: writing fields")
        paths.append(write_fields(answers[-1], folder / "fields" / f"{file_stem(name)}.vtu"))
    write_text(folder / "summary.md", summary(result, []))  # a figure that fails loses no verdict
    drawn = []
    for stem, kind, data in all_pictures(result):
        progress(f"drawing {stem}")
        drawn += figures.save(figures.FIGURES[kind](data), folder / "figures" / stem)
    pictures = [path.relative_to(folder).as_posix() for path in drawn if path.suffix == ".png"]
    paths.append(write_text(folder / "summary.md", summary(result, pictures)))
    return paths + drawn


def summary(result: StudyResult, pictures: list[str]) -> str:
    """Page in plain words: verdict, table, how sure, sources, cautions."""
    return TEMPLATES.get_template("summary.md.jinja").render(
        result=result, study=result.study, verdict=overall(result), caution=CAUTION,
        cases=case_verdicts(result), standing=standing, where=where, certainty=certainty,
        pictures=pictures, conditions=conditions_notes(result), lasting=lasting_rows(result),
        lasting_reserve=reserve, lasting_years=years,
        print_columns=BRIEF, print_rows=brief_rows(result), print_notes=print_notes(result),
        print_estimate=ESTIMATE, contact=contact_notes(result),
        contact_ranking=contact_ranking(result), contact_columns=CONTACT_COLUMNS,
        contact_rows=contact_rows(result),
        notes=option_notes(result), versions=versions(), materials=_materials(result),
    )  # fmt: skip


def write_fields(answer: Answer, path: Path) -> Path:
    """One file for a viewer: displacement, failure index and mode of every load case."""
    points, cells = {}, {}
    for worst in answer.worst:
        case = worst.loading.name
        points[f"displacement {case} [mm]"] = answer.displacement(worst)
        points[f"failure index {case} [-]"] = answer.nodal_index(worst)
        points[f"raw failure index {case} [-]"] = answer.nodal_index(worst, averaged=False)
        stress = answer.responses.solution.stress.mean(axis=2) @ worst.shares
        cells[f"stress part axes {case} [MPa]"] = stress
    region = answer.part_mesh.piece_of
    number = np.zeros(answer.model.mesh.nelements)
    for i, name in enumerate(region):
        number[answer.model.mesh.subdomains[name]] = i
    cells["region [-]"] = number
    path.parent.mkdir(parents=True, exist_ok=True)
    write_vtu(path, answer.model.mesh, points, cells)
    return path


def _materials(result: StudyResult) -> list:
    """Every material used, once, with the sources of its numbers."""
    used = {}
    for answers in result.answers.values():
        for printed in answers[-1].option.prints.values():
            used[printed.loaded.key] = printed.loaded
    return list(used.values())
