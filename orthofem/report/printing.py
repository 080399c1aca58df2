"""What each option costs to print, as rows: estimates beside the reserve factors."""

from __future__ import annotations

import csv
import io

from orthofem.study import ESTIMATE, OptionPrint, PiecePrint, StudyResult

PIECE_COLUMNS = (
    "option", "piece", "extent", "number", "up x [-]", "up y [-]", "up z [-]", "filaments",
    "height [mm]", "layers [-]", "overhang area [mm2]", "supported space [mm3]",
    "supported space on the other end [mm3]", "footprint [mm2]", "bed contact [mm2]",
    "along bed width [mm]", "along bed depth [mm]", "volume [mm3]", "filament [mm3]",
    "support filament [mm3]", "mass [g]", "filament changes [-]", "layers of mixed filament [-]",
    "time, estimate [h]", "does not fit",
)  # fmt: skip
OPTION_COLUMNS = (
    "print extent", "print height [mm]", "supported space [mm3]", "filament changes [-]",
    "print mass [g]", "print time, estimate [h]",
)  # fmt: skip
BRIEF = ("option", "of", "height", "support", "changes", "mass", "time")


def printing_csv(result: StudyResult) -> str:
    """Comma-separated table of all printed pieces of all options."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(PIECE_COLUMNS)
    for name, costs in result.printing.items():
        writer.writerows([name, *_piece(row)] for row in costs.pieces)
    return out.getvalue()


def option_cells(costs: OptionPrint | None) -> list:
    """Cells of `OPTION_COLUMNS`; empty where an option was not costed."""
    if costs is None:
        return [""] * len(OPTION_COLUMNS)
    return [
        costs.extent, f"{costs.height:.2f}", f"{costs.total('support_volume'):.1f}",
        f"{costs.total('changes'):.0f}", _mass(costs.total("mass")),
        f"{costs.total('seconds') / 3600:.2f}",
    ]  # fmt: skip


def brief_rows(result: StudyResult) -> list[list[str]]:
    """Cells of `BRIEF`, one row an option, those that were judged first."""
    order = sorted(result.printing, key=lambda name: name not in result.answers)
    return [[name, *_brief(result.printing[name])] for name in order]


def print_notes(result: StudyResult) -> dict[str, list[str]]:
    """What the costs leave out and what does not fit, by the options that it is true of."""
    found: dict[str, list[str]] = {}
    for name, costs in result.printing.items():
        for note in costs.notes:
            found.setdefault(note, []).append(name)
    told: dict[str, list[str]] = {}
    for note, names in found.items():
        told.setdefault(", ".join(names), []).append(note)
    return told


def printing_record(result: StudyResult) -> dict:
    """Printer and pieces as plain data; empty without a printer."""
    if not result.printing:
        return {}
    printer = next(iter(result.printing.values())).printer
    return {
        "note": ESTIMATE,
        "printer": printer.values,
        "options": {
            name: {"extent": costs.extent, "pieces": costs.pieces, "notes": costs.notes}
            for name, costs in result.printing.items()
        },
    }


def _brief(costs: OptionPrint) -> list[str]:
    number = sum(row.count for row in costs.pieces)
    of = f"{number} pieces" if costs.extent == "whole" else "window only"
    mass = costs.total("mass")
    return [
        of, f"{costs.height:.0f} mm{' !' if costs.misfits else ''}",
        f"{costs.total('support_volume') / 1000:.1f} cm3",
        f"{costs.total('changes'):.0f}", "?" if mass != mass else f"{mass:.0f} g",
        f"{costs.total('seconds') / 3600:.1f} h",
    ]  # fmt: skip


def _piece(row: PiecePrint) -> list:
    return [
        row.piece, row.extent, row.count, *(f"{v:.5f}" for v in row.way_up),
        " ".join(row.filaments), f"{row.height:.2f}", row.layers, f"{row.overhang_area:.1f}",
        f"{row.support_volume:.1f}", f"{row.support_turned:.1f}", f"{row.footprint:.1f}",
        f"{row.bed_contact:.1f}", *(f"{v:.2f}" for v in row.sides), f"{row.volume:.1f}",
        f"{row.filament_volume:.1f}", f"{row.support_filament:.1f}", _mass(row.mass), row.changes,
        row.mixed_layers, f"{row.seconds / 3600:.3f}", row.misfit,
    ]  # fmt: skip


def _mass(grams: float) -> str:
    return "" if grams != grams else f"{grams:.1f}"
