"""A folder with everything a study found: table, record, summary, fields and figures."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path

import numpy as np

from orthofem.mesh import write_vtu
from orthofem.study import ESTIMATE, Answer, StudyResult

from .bench import COLUMNS as BENCH_COLUMNS
from .bench import bench_alike, bench_how, bench_notes, bench_rows, foretold
from .contact import COLUMNS as CONTACT_COLUMNS
from .contact import contact_csv, contact_notes, contact_rows
from .contact_change import CHANGE_COLUMNS, change_rows, contact_ranking
from .folder import TEMPLATES, Progress, check_folder, write_page, write_texts
from .glance import glance_columns, glance_rows, table_cells
from .lasting import conditions_notes, lasting_csv, lasting_rows, reserve, years
from .pictures import all_pictures, file_stem
from .printing import BRIEF, brief_rows, print_notes, printing_csv
from .record import record, versions
from .screw import SCREW_COLUMNS, screw_notes, screw_rows
from .table import csv_text
from .verdict import CAUTION, case_verdicts, option_notes, overall
from .whole import BOW_COLUMNS, STATION_COLUMNS, whole_csv, whole_page
from .whole import OPTION_COLUMNS as WHOLE_OPTIONS


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
        contact.csv where pieces touch; whole_stick.csv where it gives the stick's outline.
    """
    folder = check_folder(folder)
    paths = write_texts(folder, {
        "results.csv": lambda: csv_text(result),
        "results.json": lambda: json.dumps(record(result), indent=1),
        "printing.csv": lambda: printing_csv(result) if result.printing else "",
        "contact.csv": lambda: contact_csv(result) if contact_rows(result) else "",
        "whole_stick.csv": lambda: whole_csv(result),
        "time_and_heat.csv": lambda: lasting_csv(result) if lasting_rows(result) else "",
    })  # fmt: skip
    for name, answers in result.answers.items():
        progress(f"{name}: writing fields")
        paths.append(write_fields(answers[-1], folder / "fields" / f"{file_stem(name)}.vtu"))
    page = partial(summary, result)
    return paths + write_page(folder / "summary.md", page, all_pictures(result), progress)


def summary(result: StudyResult, pictures: list[str]) -> str:
    """Page in plain words: verdict, table, how sure, sources, cautions."""
    found = foretold(result)
    return TEMPLATES.get_template("summary.md.jinja").render(
        result=result, study=result.study, verdict=overall(result), caution=CAUTION,
        cases=case_verdicts(result), table_cells=table_cells,
        glance_columns=glance_columns(result), glance_rows=glance_rows(result),
        pictures=pictures, conditions=conditions_notes(result), lasting=lasting_rows(result),
        lasting_reserve=reserve, lasting_years=years,
        print_columns=BRIEF, print_rows=brief_rows(result), print_notes=print_notes(result),
        print_estimate=ESTIMATE, contact=contact_notes(result),
        contact_ranking=contact_ranking(result), change_columns=CHANGE_COLUMNS,
        change_rows=change_rows(result), screw_columns=SCREW_COLUMNS,
        screw_rows=screw_rows(result), screw_notes=screw_notes(result),
        contact_columns=CONTACT_COLUMNS, contact_rows=contact_rows(result),
        bench_columns=BENCH_COLUMNS, bench_how=bench_how(result, found),
        bench_rows=bench_rows(found), bench_notes=bench_notes(result),
        bench_alike=bench_alike(result, found),
        whole=whole_page(result), whole_options=WHOLE_OPTIONS, whole_stations=STATION_COLUMNS,
        whole_bows=BOW_COLUMNS, notes=option_notes(result), versions=versions(),
        materials=_materials(result),
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
    answer.responses.solution.release()
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
