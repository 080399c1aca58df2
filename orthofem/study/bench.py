"""What a bench should show: one half of the joint clamped, a weight hung on the other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from orthofem import failure
from orthofem.errors import ModelError, check_positive
from orthofem.materials import Printer, print_stresses
from orthofem.materials.values import Value

from .answer import Answer
from .behind import strength_behind
from .loading import Loading
from .reading import applicable
from .row import Row, rows_of
from .section import end_section
from .setting import StickWindow
from .uncertainty import Estimate
from .worst import worst_place

ARM = 300.0
"""From the joint to the weight: long enough that bending counts, short enough for a bench (E).
[mm]"""
END = 40.0
"""Of a printed piece beyond its arm: for the stud, and to hang the weight on (E). [mm]"""
DIRECTIONS = 16
NINE_OF_TEN = 1.645
"""Standard deviations that hold 90 % of a normal scatter to both sides."""


@dataclass(frozen=True)
class Foretold:
    """A break on the bench as the model sees it coming.

    Parameters
    ----------
    row : Row
        Its reserve factor is the weight's force at the break. [N]
    arm : float
        From the joint to the weight. [mm]
    clamp : float
        From the joint to the edge of the clamp. [mm]
    scatter : float
        Scatter of the strength behind the mode, as standard deviation over mean; NaN where the
        material gives none. [-]
    strength, grade : str
        That strength, and how far to trust its mean.
    sinking : float
        How far the weight sinks under half the force at the break, the clamp rigid. [mm]
    clamp_force : float
        Force at which the plain piece breaks at the clamp's edge, by its section alone: a clamp
        that bites lowers it. [N]
    """

    row: Row
    arm: float
    clamp: float
    scatter: float
    strength: str
    grade: str
    sinking: float
    clamp_force: float

    @property
    def force(self) -> float:
        """Force at the break. [N]."""
        return self.row.worst.reserve

    @property
    def span(self) -> tuple[float, float]:
        """Forces between which nine breaks of ten fall: scatter of prints, and the mesh. [N].

        Scatter taken as normal; a mean strength that is off moves all of it. NaN where the
        scatter, or what one mesh leaves open, is not known.
        """
        share = np.hypot(NINE_OF_TEN * self.scatter, self.row.uncertainty)
        return self.force * float(np.maximum(0.0, 1 - share)), self.force * float(1 + share)

    def alike(self, row: Row) -> float:
        """Force on the bench that uses the joint up as much as a load case does. [N].

        NaN where that load case breaks it in another way.
        """
        return self.force / row.worst.reserve if row.worst.mode == self.row.worst.mode else np.nan


def arm_on(printer: Printer | None) -> float:
    """Longest arm, up to `ARM`, of a half that the printer takes upright and lying. [mm]."""
    if printer is None:
        return ARM
    room = min(printer.width, printer.depth, printer.height)
    return min(ARM, 10.0 * math.floor((room - END) / 10.0))


def hung_weight(arm: float = ARM) -> Loading:
    """One newton hung on the handle's side of a joint, turned all round the axis.

    Parameters
    ----------
    arm : float, optional
        From the joint to the weight. [mm]

    Raises
    ------
    ValueError
        If the arm is not above zero.
    """
    check_positive("arm", arm, "mm")
    angle = np.arange(DIRECTIONS) * 2 * np.pi / DIRECTIONS
    force = np.array([0 * angle, np.cos(angle), np.sin(angle)])
    moment = np.cross([arm, 0.0, 0.0], force, axisa=0, axisb=0, axisc=0)
    labels = [f"hung {_direction(y, z)}" for _, y, z in force.T]
    return Loading(
        "hung_weight", "Weight on the bench", tuple(labels), np.concatenate([force, moment]),
        source="chosen for the bench", grade="D", wanted=1.0, reason="a break is what is sought",
    )  # fmt: skip


def foretell(answers: Sequence[Answer], setting: StickWindow, arm: float = ARM) -> Foretold:
    """Foretell the break of an option on the bench, in its weakest direction.

    Parameters
    ----------
    answers : sequence of Answer
        On meshes coarse to fine, bonded.
    setting : StickWindow
    arm : float, optional
        From the joint to the weight. [mm]

    Raises
    ------
    ModelError
        If pieces are in contact: their answers do not grow with the load.
    ValueError
        If the weight would hang inside the window.
    """
    if answers[-1].contact is not None:
        raise ModelError(
            f"'{answers[-1].option.name}' has pieces in contact; its bench test is foretold for "
            "the same option with its pieces bonded."
        )
    loading = hung_weight(arm)
    fine = answers[-1]
    low, high = (end_section(fine.model, name) for name in (setting.opposite, setting.loaded))
    beyond = setting.centre + arm - high.station
    if beyond < 0:
        raise ValueError(
            f"arm = {arm:g} mm ends inside the joint's window; give at least "
            f"{high.station - setting.centre:g} mm."
        )
    row = _row(answers, loading)
    pull = row.worst.resultants
    shaft = beyond**3 / (3 * high.bending) + beyond / high.shear
    yields = float(pull @ fine.responses.flexibility @ pull) + shaft
    clamp = setting.centre - low.station
    name, value = _strength(fine, row)
    return Foretold(
        row, arm, clamp, scatter=np.nan if value is None or value.cov is None else value.cov,
        strength=name, grade="" if value is None else value.grade,
        sinking=0.5 * row.worst.reserve * yields,
        clamp_force=_plain_force(fine, setting.opposite, low.bending, arm + clamp),
    )  # fmt: skip


def _row(answers: Sequence[Answer], loading: Loading) -> Row:
    """The bench as a row; on meshes refined in places as unsure as the option's least sure load."""
    row = rows_of(answers[-1].option.name, [_hung(answer, loading) for answer in answers])[0]
    if not answers[-1].estimates:
        return row
    unsure = max(estimate.uncertainty for estimate in answers[-1].estimates)
    return replace(row, estimate=Estimate(row.worst.reserve, unsure, np.nan))


def _plain_force(answer: Answer, surface: str, bending: float, lever: float) -> float:
    """Force at a lever that breaks the plain section of an end, bent to the weaker side. [N]."""
    model, lowest = answer.model, np.inf
    facets = model.space.facets(surface)
    corners = model.mesh.facets[:, facets]
    points = model.mesh.p[:, corners].reshape(3, -1)
    cells = np.broadcast_to(model.mesh.f2t[0, facets], corners.shape).ravel()  # behind each corner
    young = model.young_along((1.0, 0.0, 0.0))[cells]
    stress = np.zeros((6, points.shape[1], 1))
    stress[0, :, 0] = lever * young * np.hypot(points[1], points[2]) / bending
    for region, piece in answer.part_mesh.piece_of.items():
        here = np.isin(cells, model.space.cells(region))
        printed = answer.option.print_of(region, piece)
        strengths = printed.loaded.strengths
        for name in applicable(answer.criteria, strengths) if here.any() else ():
            for turned in print_stresses(
                printed.loaded, printed.frame, stress[:, here], points[:, here]
            ):
                criterion = failure.CRITERIA[name]
                found = failure.evaluate(turned, [[1.0, -1.0]], strengths, criterion)
                lowest = min(lowest, float(found.reserve.min()))
    return lowest


def _hung(answer: Answer, loading: Loading) -> Answer:
    """The same answer with the bench for its only load case."""
    worst = worst_place(answer.model, answer.readings, answer.borders, loading, answer.criteria)
    return replace(answer, worst=(worst,), estimates=())


def _strength(answer: Answer, row: Row) -> tuple[str, Value | None]:
    """The strength that the break rests on, and its value with grade and scatter."""
    worst = row.worst
    printed = next((r.print for r in answer.readings if r.region == worst.region), None)
    return ("", None) if printed is None else strength_behind(worst.mode, printed)


def _direction(y: float, z: float) -> str:
    """Where a unit vector across the axis points, in part axes."""
    named = [(abs(v), f"{'+' if v > 0 else '-'}{n}") for v, n in ((y, "y"), (z, "z"))]
    strong = sorted((pair for pair in named if pair[0] > 0.3), reverse=True)
    if len(strong) == 2 and strong[0][0] - strong[1][0] > 0.3:
        return f"toward {strong[0][1]}, a little {strong[1][1]}"
    return "toward " + " and ".join(name for _, name in strong)
