"""The one picture of a study: how best and worst are printed, and what every option bears."""

from __future__ import annotations

from typing import Any

from matplotlib.figure import Figure, SubFigure

from orthofem.figures.print_directions import layers_on_cut, line_key, on_the_bed
from orthofem.figures.reserve_by_option import reserve_by_option
from orthofem.figures.style import CAUTION, SOFT, drawing
from orthofem.figures.tables import Overview


def _size(overview: Overview) -> tuple[float, float]:
    rows = len(overview.table.options) * (len(overview.table.cases) + 1.7)
    return 265.0, max(125.0, 4.5 * rows + 34)


@drawing(_size, panels=True)
def overview(picture: Overview, figure: Figure | SubFigure) -> None:
    """Draw the layers of the best and the worst option beside all reserve factors.

    Parameters
    ----------
    picture : Overview
        Best and worst option, and the table.
    figure : Figure or SubFigure, optional
        Where to draw; a figure of its own if left out.
    """
    halves: Any = figure.subfigures(1, 2, width_ratios=[1.0, 1.5])
    left, right = halves
    rows = left.subplots(4, 1, height_ratios=[1.25, 1, 1.25, 1])
    for (cut, bed), option, word in (
        (rows[:2], picture.best, "Best"),
        (rows[2:], picture.worst, "Worst"),
    ):
        layers_on_cut(cut, option, short=True)
        cut.set_title(f"{word}: {option.title}")
        printed = tuple(piece for piece in option.pieces if piece.printed)
        if printed:
            on_the_bed(bed, option.section, printed, share=0.2)
        else:
            bed.set_axis_off()
    key = line_key(picture.best.pieces + picture.worst.pieces)
    left.supxlabel(key.replace(".  ", ".\n"), fontsize=8, color=SOFT)
    reserve_by_option(picture.table, right)
    figure.supxlabel(CAUTION, fontsize=8, color=SOFT)
