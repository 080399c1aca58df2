"""Forces of stud and shoulder against the pull on a joint, by finite elements with contact."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from orthofem.errors import ModelError, check_finite, unknown
from orthofem.mesh import PartMesh
from orthofem.mesh.split import split
from orthofem.solve import Balanced, Model, Resultant
from orthofem.solve.contact import Contact, Law, ThreadTie, Touching, to_split
from orthofem.tensors import FloatArray

from ..evaluate import stiffness_field
from ..option import Option

TRIAL = 1e-2
"""Travel of a nut from which the stiffness of tightening is found; any will do, as the closed
joint is linear. [mm]"""

CLOSED = 0.95
"""Share of the area above which a shoulder counts as wholly closed: single points at its edges are
open on any mesh, and do not bend the line (E)."""


@dataclass(frozen=True)
class Interfaces:
    """Laws of a tightened joint, and the zones that its stud and its shoulder act through.

    Parameters
    ----------
    laws : callable
        Travel of the nut [mm] to laws by interface.
    thread, shoulder : str
        Zones of the contact solution.
    """

    laws: Callable[[float], dict[str, Law]]
    thread: str
    shoulder: str


def _printed_stud(travel: float) -> dict[str, Law]:
    return {"lower|upper": ThreadTie(pull=travel)}


def _loose_stud(travel: float) -> dict[str, Law]:
    return {"stud|upper": ThreadTie(pull=travel), "lower|upper": Contact()}


def _tie_rod(travel: float) -> dict[str, Law]:
    return {"rod|washer": ThreadTie(pull=travel), "lower|upper": Contact()}


TIGHTENED: dict[str, Interfaces] = {
    "printed_stud": Interfaces(_printed_stud, "lower|upper thread", "lower|upper seat"),
    "loose_stud": Interfaces(_loose_stud, "stud|upper thread", "lower|upper"),
    "tie_rod": Interfaces(_tie_rod, "rod|washer thread", "lower|upper"),
}
"""By the part's name; what is not listed stays bonded: a loose stud in its lower socket, a tie
rod's head and washer on their seats."""


@dataclass(frozen=True)
class ShareCurve:
    """Forces in a joint against the outer pull.

    Parameters
    ----------
    preload : float
        Tension of the stud without an outer load. [N]
    travel : float
        How far the nut, or the piece, was screwed on beyond first touch. [mm]
    pull, stud, shoulder : ndarray of shape (n,)
        Outer pull, tension of the stud, force pressed on the shoulder. [N]
    closed : ndarray of shape (n,)
        Share of the shoulder's area in contact. [-]
    """

    preload: float
    travel: float
    pull: FloatArray
    stud: FloatArray
    shoulder: FloatArray
    closed: FloatArray

    @property
    def load_factor(self) -> float:
        """Share of a pull that the stud takes while all of the shoulder is closed [-].

        Raises
        ------
        ModelError
            If there are not two pulls with a closed shoulder.
        """
        whole = np.flatnonzero(self.closed > CLOSED)
        if len(whole) < 2:
            raise ModelError(
                f"The shoulder is wholly closed under {len(whole)} of the pulls; give two smaller "
                "pulls at least."
            )
        first, last = whole[0], whole[-1]
        rise = self.shoulder[first] - self.shoulder[last]
        return float(1.0 - rise / (self.pull[last] - self.pull[first]))

    @property
    def opening_pull(self) -> float:
        """Pull that the closed joint's line gives for a shoulder without force [N].

        For a shoulder that is wholly closed until it parts; where it opens from its rim, see
        :attr:`parts_between`.
        """
        return self.preload / (1.0 - self.load_factor)

    @property
    def parts_between(self) -> tuple[float, float]:
        """Largest pull under which the shoulder still presses, least under which none does [N]."""
        pressed = self.closed > 0
        held = self.pull[pressed].max(initial=-np.inf)
        return float(held), float(self.pull[~pressed].min(initial=np.inf))


def share_curve(
    option: Option,
    part_mesh: PartMesh,
    preload: float,
    pulls: Sequence[float],
    ends: tuple[str, str] = ("lower_end", "upper_end"),
    method: str = "auto",
) -> ShareCurve:
    """Pull on a tightened joint and read what stud and shoulder carry.

    Parameters
    ----------
    option : Option
        A screwed joint whose shoulders touch (shoulder="bonded").
    part_mesh : PartMesh
        Its mesh, not split.
    preload : float
        Tension of the stud without an outer load; 0: just touching. [N]
    pulls : sequence of float
        Outer pulls, not zero; a push is below zero. [N]
    ends : tuple of str, optional
        Surfaces toward the tip and toward the handle.
    method : str, optional
        Linear solver.

    Returns
    -------
    curve : ShareCurve

    Raises
    ------
    ValueError
        If the joint is not screwed, the preload is below zero, or a pull is zero.
    ModelError
        If the shoulders do not touch, or contact does not settle.
    """
    if option.part.name not in TIGHTENED:
        raise ValueError(unknown("screwed joint", option.part.name, TIGHTENED))
    if check_finite("preload", preload) < 0:
        raise ValueError(f"Preload {preload:g} N; it must not be below zero (0: loose).")
    pull = check_finite("pulls", pulls).reshape(-1)
    if not pull.size or (pull == 0).any():
        raise ValueError(f"pulls = {list(pulls)}; give at least one, and none of zero.")
    if not _touches(part_mesh):
        raise ModelError(
            f"The shoulders of '{option.part.name}' do not touch; make the joint with "
            'shoulder="bonded" so that tightening can press them together.'
        )
    faces = TIGHTENED[option.part.name]
    parted = split(part_mesh, to_split(faces.laws(0.0)))
    model = Model(parted.mesh, stiffness_field(option, parted))
    return pulled(model, faces, preload, pull, ends, method)


def pulled(
    model: Model,
    faces: Interfaces,
    preload: float,
    pull: FloatArray,
    ends: tuple[str, str],
    method: str = "auto",
) -> ShareCurve:
    """Forces of stud and shoulder of a model already split along its interfaces.

    Parameters
    ----------
    model : Model
    faces : Interfaces
    preload : float
        [N]
    pull : ndarray of shape (n,)
        [N]
    ends : tuple of str
        Surfaces toward the tip and toward the handle.
    method : str, optional
        Linear solver.

    Raises
    ------
    ModelError
        If tightening presses nothing together, or contact does not settle.
    """
    travel = 0.0
    if preload > 0:
        trial = _touching(model, faces.laws(TRIAL), method).solve([[]])
        pressed = float(trial.zone(faces.shoulder).resultant()[0, 0])
        if not pressed > 0:
            raise ModelError(
                f"Tightening by {TRIAL:g} mm presses nothing together on '{faces.shoulder}'; "
                "check which piece carries the thread."
            )
        travel = TRIAL * preload / pressed
    unit = [
        Resultant(ends[1], force=(1.0, 0.0, 0.0)),
        Resultant(ends[0], force=(-1.0, 0.0, 0.0)),
    ]
    answer = _touching(model, faces.laws(travel), method).solve([unit], pull[None, :])
    shoulder = answer.zone(faces.shoulder)
    return ShareCurve(
        preload=float(preload),
        travel=travel,
        pull=pull,
        stud=-answer.zone(faces.thread).resultant()[0],
        shoulder=shoulder.resultant()[0],
        closed=shoulder.closed_share,
    )


def _touches(part_mesh: PartMesh) -> bool:
    """Whether the two pieces share a face square to the stick."""
    mesh = part_mesh.mesh
    facets = (mesh.boundaries or {}).get("lower|upper", [])
    along = mesh.p[0, mesh.facets[:, facets]]
    return bool((np.ptp(along, axis=0) < 1e-9 * np.ptp(mesh.p[0])).any()) if len(facets) else False


def _touching(model: Model, laws: Mapping[str, Law], method: str) -> Touching:
    return Touching(model, [Balanced()], laws, method)
