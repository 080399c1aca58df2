"""Everything that decides a study's answer, as plain data for a JSON file."""

from __future__ import annotations

import math
from dataclasses import asdict, is_dataclass

import numpy as np

from orthofem.study import Answer, Row, StudyResult
from orthofem.study.versions import versions

from .bench import bench_record, foretold
from .contact import contact_record
from .lasting import lasting_record
from .printing import printing_record
from .table import tied_options
from .verdict import CAUTION, case_verdicts, overall
from .whole import whole_record


def record(result: StudyResult) -> dict:
    """Study, versions, materials with sources, mesh figures and rows, ready for JSON."""
    study = result.study
    return plain(
        {
            "title": study.title,
            "caution": CAUTION,
            "verdict": overall(result),
            "cases": [{"case": c.title, "verdict": c.conclusion} for c in case_verdicts(result)],
            "versions": versions(),
            "settings": {
                "criteria": study.criteria,
                "refinements": study.refinements,
                "size_mm": study.size,
                "averaging_radius_mm": study.radius,
                "hot_spot": study.hot_spot,
                "wanted_uncertainty": study.uncertainty,
            },
            "options": {name: _option(answers) for name, answers in result.answers.items()},
            "time_and_heat": lasting_record(result),
            "printing": printing_record(result),
            "bench": bench_record(foretold(result)),
            "whole_stick": whole_record(result),
            "uncertainty": [_sure(result, row) for row in result.rows],
            "refined": {name: entry.sentence for name, entry in result.reached.items()},
            "failed": result.failed,
            "seconds": {name: round(value, 2) for name, value in result.seconds.items()},
        }
    )


def plain(value):
    """Turn arrays, dataclasses and NaN into what JSON can hold."""
    if is_dataclass(value) and not isinstance(value, type):
        return plain(asdict(value))
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set):
        return [plain(item) for item in value]
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def _option(answers: tuple[Answer, ...]) -> dict:
    fine = answers[-1]
    return {
        "part": fine.option.part.name,
        "notes": [*fine.option.part.notes, *([fine.option.note] if fine.option.note else [])],
        "pieces": {piece: _print(printed) for piece, printed in fine.option.prints.items()},
        "meshes": [answer.part_mesh.report for answer in answers],
        "averaging": {
            r.region: {"radius_mm": r.radius, "nodes": len(r.nodes)} for r in fine.readings
        },
        "borders": [_border(reading) for reading in fine.borders],
        "borders_not_judged": fine.not_judged,
        "contact": contact_record(fine),
        "solver": {
            "method": fine.responses.solution.method,
            "relative_residual": fine.responses.solution.residual,
            "largest_imbalance": float(np.abs(fine.responses.solution.imbalance).max()),
        },
        "loads": [_worst(worst) for worst in fine.worst],
        "coarser_mesh": [_worst(worst) for worst in answers[0].worst] if len(answers) > 1 else [],
    }


def _sure(result: StudyResult, row: Row) -> dict:
    return {
        "option": row.option,
        "case": row.worst.loading.name,
        "reserve": row.worst.reserve,
        "uncertainty": row.uncertainty,
        "extrapolated": row.extrapolated,
        "order": row.estimate.order,
        "raw_peak_converges": not row.sharp,
        "not_told_apart_from": tied_options(result, row),
    }


def _print(printed) -> dict:
    material = printed.loaded
    return {
        "material": material.key,
        "title": material.title,
        "build": printed.frame.build,
        "bead": printed.frame.bead,
        "beads": printed.frame.beads,
        "values": material.values,
    }


def _border(reading) -> dict:
    return {
        "border": reading.name,
        "regions": reading.region,
        "held_by": reading.border.told,
        "grade": reading.grade,
        "tension_MPa": [reading.tension.min(), reading.tension.max()],
        "shear_MPa": [reading.shear.min(), reading.shear.max()],
        "radius_mm": reading.radius,
        "nodes": len(reading.nodes),
    }


def _worst(worst) -> dict:
    loading = worst.loading
    return {
        "case": loading.name,
        "title": loading.title,
        "load_taken_from": loading.source,
        "grade": loading.grade,
        "wanted": loading.wanted,
        "reason": loading.reason,
        "reserve": worst.reserve,
        "index": worst.index,
        "criterion": worst.criterion,
        "mode": worst.mode,
        "region": worst.region,
        "place_mm": worst.place,
        "governing": worst.label,
        "resultants_N_Nmm": worst.resultants,
        "raw_reserve": worst.raw_reserve,
        "samples_in_ball": worst.held,
        "disagreement_of_traction": worst.disagreement,
        "notes": loading.notes,
    }
