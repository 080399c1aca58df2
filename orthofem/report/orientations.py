"""A sweep of build directions: map, trade-off against printing, and a table with its errors."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from orthofem import figures
from orthofem.errors import unknown
from orthofem.figures.gather import piece_cells
from orthofem.mesh import PrintCosts, bed_fit, cheaper_way, fine_skin
from orthofem.study import SweepResult

from .folder import check_folder, write_text

BEST = 10
"""Directions shown with a rigorous bound."""


@dataclass(frozen=True)
class Orientations:
    """A sweep over build directions of some pieces, with what each costs to print.

    Parameters
    ----------
    title : str
    result : SweepResult
        One option for each direction, in their order.
    piece : str
        Piece whose printing is costed.
    directions : ndarray of shape (3, n)
        Build directions; the first is upright.
    highest : float, optional
        Height of the printer. [mm]
    most_support : float, optional
        Support volume above which a direction counts as impractical. [mm^3]
    bed : tuple of float, optional
        Width and depth of the printer's bed. [mm]
    """

    title: str
    result: SweepResult
    piece: str
    directions: np.ndarray
    highest: float = np.inf
    most_support: float | None = None
    bed: tuple[float, float] | None = None

    @cached_property
    def printed(self) -> tuple[np.ndarray, PrintCosts]:
        """The cheaper of each direction's two ends, and what it costs."""
        part_mesh = self.result.sweep.part_mesh
        cells = piece_cells(part_mesh)
        if self.piece not in cells:
            raise ValueError(unknown("piece", self.piece, cells))
        return cheaper_way(part_mesh.mesh, cells[self.piece], self.directions)

    @cached_property
    def impractical(self) -> np.ndarray:
        """Directions too large for the printer, or that want more support than half the piece."""
        ways, costs = self.printed
        found = costs.impractical(height=self.highest, support_volume=self.support_limit)
        if self.bed is None:
            return found
        part_mesh = self.result.sweep.part_mesh
        skin = fine_skin(part_mesh.mesh, piece_cells(part_mesh)[self.piece])
        return found | (bed_fit(skin.points, ways, *self.bed).share > 1.0)

    @property
    def support_limit(self) -> float:
        """Support volume allowed: as given, or half of the piece's own volume (E). [mm^3]."""
        if self.most_support is not None:
            return self.most_support
        volumes = self.result.sweep.part_mesh.report.volumes
        owner = self.result.sweep.part_mesh.piece_of
        return 0.5 * sum(v for region, v in volumes.items() if owner[region] == self.piece)

    @cached_property
    def governing(self) -> np.ndarray:
        """Load case with the lowest margin of each direction, shape (n,)."""
        return np.array([np.argmin(x.reserve / x.wanted) for x in self.result.lowest])

    def best(self, count: int = BEST) -> np.ndarray:
        """Strongest directions that can be printed; any, if none can."""
        ranked = self.result.ranking()
        usable = ranked[~self.impractical[ranked]]
        return (usable if usable.size else ranked)[:count]

    def map(self, case: int) -> figures.OrientationMap:
        """Reserve factor of one load case over the hemisphere."""
        found = self.result.lowest
        best = self.best(1)[0]
        return figures.OrientationMap(
            title=f"{self.title}: {self._case_title(case)}",
            directions=self.directions,
            reserve=np.array([entry.reserve[case] for entry in found]),
            mode=tuple(entry.mode[case] for entry in found),
            impractical=self.impractical,
            marks={"best": self.directions[:, best], "upright": (1, 0, 0), "lying": (0, 1, 0)},
            wanted=float(found[0].wanted[case]),
            why=self._why(),
        )

    def tradeoff(self, case: int) -> figures.OrientationTradeoff:
        """Reserve factor against support volume and height."""
        found, costs = self.result.lowest, self.printed[1]
        return figures.OrientationTradeoff(
            title=f"{self.title}: {self._case_title(case)}",
            directions=self.printed[0],
            reserve=np.array([entry.reserve[case] for entry in found]),
            support_volume=costs.support_volume,
            height=costs.height,
            impractical=self.impractical,
            mode=tuple(entry.mode[case] for entry in found),
            wanted=float(found[0].wanted[case]),
            why=self._why(),
        )

    def csv_text(self) -> str:
        """One line a direction: reserves, modes, errors, printing."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(self._header())
        bounds = {int(i): self.result.bound(int(i)) for i in self.best()}
        for i in range(self.directions.shape[1]):
            writer.writerow(self._cells(i, bounds.get(i)))
        return out.getvalue()

    def _header(self) -> list[str]:
        cases = [loading.name for loading in self.loadings]
        per_case = [f"{text} {name}" for name in cases
                    for text in ("reserve factor [-]", "mode", "region")]  # fmt: skip
        return [
            "up x [-]", "up y [-]", "up z [-]", *per_case, "solved in full",
            "estimated energy error [%]", "estimated reserve error [%]",
            "rigorous energy bound [%]", "height [mm]", "support volume [mm3]",
            "overhang area [mm2]", "footprint [mm2]", "impractical",
        ]  # fmt: skip

    def _cells(self, i: int, bound: float | None) -> list:
        entry, (ways, costs) = self.result.lowest[i], self.printed
        per_case = [
            value
            for k in range(len(entry.reserve))
            for value in (f"{entry.reserve[k]:.5g}", entry.mode[k], entry.region[k])
        ]
        return [
            *(f"{v:.5f}" for v in ways[:, i]), *per_case, i in self.result.solved,
            f"{100 * self.result.energy_estimate[i]:.3g}",
            f"{100 * self.result.reserve_estimate[i]:.3g}",
            "" if bound is None else f"{100 * bound:.3g}", f"{costs.height[i]:.2f}",
            f"{costs.support_volume[i]:.1f}", f"{costs.overhang_area[i]:.1f}",
            f"{costs.footprint[i]:.1f}", bool(self.impractical[i]),
        ]  # fmt: skip

    @cached_property
    def loadings(self) -> list:
        """Load cases of the sweep's setting."""
        return self.result.sweep.loadings(0, self.result.respond(0))

    def _case_title(self, case: int) -> str:
        return self.loadings[case].title

    def _why(self) -> str:
        text = f"support above {self.support_limit / 1000:.1f} cm3"
        if np.isfinite(self.highest):
            text += f", or higher than {self.highest:g} mm"
        if self.bed is not None:
            text += f", or beyond a bed of {self.bed[0]:g} x {self.bed[1]:g} mm"
        return text


def write_orientations(found: Orientations, folder: str | Path) -> list[Path]:
    """Write the table and, for each load case, the map and the trade-off."""
    folder = check_folder(folder)
    paths = [write_text(folder / "orientations.csv", found.csv_text())]
    for case, loading in enumerate(found.loadings):
        for stem, kind, data in (
            ("map", "orientation_map", found.map(case)),
            ("tradeoff", "orientation_tradeoff", found.tradeoff(case)),
        ):
            target = folder / "figures" / f"orientation_{stem}_{loading.name}"
            paths += figures.save(figures.FIGURES[kind](data), target)
    return paths
