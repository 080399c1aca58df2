"""The whole stick of a study in words and rows: its weakest link, station by station, bowing."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass

from orthofem.study import StudyResult
from orthofem.study.stick import BowRow, StationRow, StickResult

OPTION_COLUMNS = ("option", "weakest link", "under", "stands", "wanted", "margin", "fails by")
STATION_COLUMNS = (
    "station", "what is there", "known from", "load that governs", "nominal stress", "notch",
    "stands, straight", "stands, bowing", "wanted", "margin", "fails by",
)  # fmt: skip
BOW_COLUMNS = (
    "load", "pressed by", "buckles at", "wanted", "moment grows by", "bends", "bends, crooked",
)  # fmt: skip
NEAR = 0.02
"""Margins that differ by less are told as equal: beams and meshes are no surer (E). [-]"""
_MANY = 50.0
"""Buckling loads above so many times the load do not matter to a reader."""


@dataclass(frozen=True)
class WholePage:
    """The section on the whole stick.

    Parameters
    ----------
    lead : str
        Weakest link of the strongest stick.
    options, stations, bowing : list of list of str
        Rows of the three tables.
    strongest : str
        Option that the last two tables are of.
    notes : tuple of str
    """

    lead: str
    options: list[list[str]]
    strongest: str
    stations: list[list[str]]
    bowing: list[list[str]]
    notes: tuple[str, ...]


def whole_page(result: StudyResult) -> WholePage | None:
    """Words and tables on the whole stick; none where no option was judged as one."""
    reasons = tuple(
        f"Not judged as a whole stick: {why if name in why else f'{name}: {why}'}"
        for name, why in result.not_whole.items()
    )
    best = strongest(result)
    if best is None:
        lead = "No option makes a whole stick that can be judged."
        return WholePage(lead, [], "", [], [], reasons) if reasons else None
    stick = result.whole[best]
    ranked = sorted(result.whole.items(), key=lambda pair: -pair[1].weakest.margin)
    notes = (
        *reasons,
        *_alike(result),
        f"{stick.lean.words[0].upper()}{stick.lean.words[1:]}.",
        *(f"'{hold.title}': {hold.words}." for hold in stick.footholds if hold.slips),
        *(f"{note[0].upper()}{note[1:]}." for note in stick.notes),
    )
    return WholePage(
        _lead(best, stick, _equals(result, best)),
        [_option(name, one.weakest) for name, one in ranked], best,
        [_station(row) for row in stick.by_station], [_bow(row) for row in stick.bowing], notes,
    )  # fmt: skip


def strongest(result: StudyResult) -> str | None:
    """Option whose whole stick has the most margin."""
    if not result.whole:
        return None
    return max(result.whole, key=lambda name: result.whole[name].weakest.margin)


def whole_csv(result: StudyResult) -> str:
    """Comma-separated table: every station under every load, of every option."""
    out = io.StringIO()
    rows = [
        {"option": name, **line} for name, stick in result.whole.items() for line in stick.table
    ]
    if not rows:
        return ""
    writer = csv.DictWriter(out, list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def _equals(result: StudyResult, best: str) -> list[str]:
    """Options whose whole stick stands as much as the strongest one."""
    most = result.whole[best].weakest.margin
    return [
        name for name, stick in result.whole.items()
        if name != best and stick.weakest.margin > (1 - NEAR) * most
    ]  # fmt: skip


def _lead(name: str, stick: StickResult, equals: list[str]) -> str:
    row = stick.weakest
    if row.with_bowing < 1.0:
        meaning = "expect a break"
    elif row.margin < 1.0:
        meaning = "less than the reserve asked for"
    else:
        meaning = "the reserve asked for is there"
    words = f"The strongest whole stick is that of '{name}'"
    if equals:
        told = ", ".join(f"'{one}'" for one in equals)
        words += f", no stronger than {told} as far as can be told"
    words += f". Its weakest link: {row.words}; {meaning}."
    near = stick.column
    if near is not None and near.limit < _MANY:
        short = "" if near.limit >= near.wanted else ", which is less"
        words += (
            f" It buckles at {near.limit:.3g} times '{near.title}' ({near.wanted:g} times wanted"
            f"{short}); bowing makes the largest bending moment there "
            f"{_growth(near.amplification)}."
        )
    return words


def whole_record(result: StudyResult) -> dict:
    """The whole sticks as plain data: weakest link and bowing of each option."""
    return {
        "options": {
            name: {"weakest": stick.weakest, "bowing": stick.bowing, "lean": stick.lean,
                   "notes": stick.notes}
            for name, stick in result.whole.items()
        },
        "not_judged": result.not_whole,
    }  # fmt: skip


def _growth(factor: float) -> str:
    return "grow without end" if math.isinf(factor) else f"{factor:.2f} times as large"


def _alike(result: StudyResult):
    """What is told once where the joint is not the weakest link of any stick."""
    bases = {stick.weakest.basis for stick in result.whole.values()}
    if bases and "detailed model" not in bases:
        yield "No joint is the weakest link: what lies between them is, by an estimate."


def _option(name: str, row: StationRow) -> list[str]:
    return [
        name, f"{row.place} at {row.station:.0f} mm", row.title, f"{row.with_bowing:.2f}",
        f"{row.wanted:g}", f"{row.margin:.2f}", row.how,
    ]  # fmt: skip


def _station(row: StationRow) -> list[str]:
    return [
        f"{row.station:.0f} mm", row.place, row.basis, row.title,
        "" if math.isnan(row.nominal) else f"{row.nominal:.1f} MPa",
        "" if math.isnan(row.notch) or row.notch == 1.0 else f"{row.notch:.2f}",
        f"{row.reserve:.2f}", f"{row.with_bowing:.2f}", f"{row.wanted:g}", f"{row.margin:.2f}",
        row.how,
    ]  # fmt: skip


def _bow(row: BowRow) -> list[str]:
    pressed = row.compression > 1e-6
    limit = "does not" if math.isinf(row.limit) else f"{row.limit:.3g} x"
    return [
        row.title, f"{row.compression:.0f} N" if pressed else "nothing", limit,
        f"{row.wanted:g} x" if pressed else "", _times(row.amplification), f"{row.straight:.1f} mm",
        "buckles" if math.isinf(row.bowed) else f"{row.bowed:.1f} mm",
    ]  # fmt: skip


def _times(factor: float) -> str:
    return "no end" if math.isinf(factor) else f"{100 * (factor - 1):.0f} %"
