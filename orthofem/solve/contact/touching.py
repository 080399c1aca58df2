"""Solve split pieces that touch: condensed once, then a small contact problem for each load."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any

import numpy as np

from orthofem.errors import ModelError, check_finite, unknown

from ..dense import one_dense_thread
from ..loads import Load
from ..model import Model
from ..run import RESIDUAL_LIMIT, check_balance, free_strain_of, nodal_forces
from ..solution import Solution
from ..supports import Balanced, Support
from .drawn import check_pressed
from .factor import LastFactor
from .laws import Law
from .prepared import Prepared
from .result import ContactSolution
from .settle import STEPS, Settled, all_closed, settle
from .states import zone_forces, zone_state
from .zones import zones_of

WORK = 1e-4
"""Share of a load that may push along a motion that nothing stops."""
ALIKE = 1e-12
"""Difference below which two loads have one direction, over their size."""


@dataclass(frozen=True)
class Touching:
    """Pieces with laws on their interfaces, condensed once: solves any number of load sets.

    Parameters
    ----------
    model : Model
        On a mesh that was split along the interfaces in contact (:func:`orthofem.mesh.split`).
    supports : sequence of Fixed or Balanced
        Of the pieces as if bonded; what they leave loose, contact must hold.
    laws : mapping of str to Bonded, Glued, Contact or ThreadTie
        By interface "a|b".
    method : str, optional
        "direct", "scipy" or "auto".
    steps : int, optional
        Most steps for a load set.

    Raises
    ------
    ValueError
        If an interface is unknown, not split, or split but bonded.
    ModelError
        If pieces overlap by more than the interference given, tightening presses nothing,
        supports leave the pieces loose even if bonded, or memory does not suffice.
    """

    model: Model
    supports: Sequence[Support]
    laws: Mapping[str, Law]
    method: str = "auto"
    steps: int = STEPS
    prepared: Prepared = field(init=False, repr=False, compare=False)

    def __post_init__(self):
        if self.model.order != 2:
            raise ValueError(f"Contact needs elements of order 2, not {self.model.order}.")
        _check_laws(self.model, self.laws)
        zones = zones_of(self.model, dict(self.laws))
        prepared = Prepared(self.model, self.supports, zones, self.method)
        prepared.held  # noqa: B018  refuse bad supports when it is made
        check_pressed(self.model.space, zones)
        object.__setattr__(self, "prepared", prepared)

    @property
    def scales(self) -> bool:
        """Whether the answer to a load that is twice as large is twice as large.

        So it is without clearance, interference, tightening, prescribed displacement and
        friction: one solve for each direction of the load then serves all magnitudes.
        """
        zones = self.prepared.zones
        at_rest = not any(z.clearance.any() or z.pull or z.friction for z in zones)
        return at_rest and not self.prepared.held[1].any()

    def solve(
        self, load_sets: Sequence[Sequence[Load]], mix: np.ndarray | None = None
    ) -> ContactSolution:
        """Displacements, pressures and slips for each load set.

        Parameters
        ----------
        load_sets : sequence of sequences of loads
            Loads of one set act together.
        mix : ndarray of shape (len(load_sets), n_loads), optional
            Factors on the load sets, one column for each load to solve; unit load sets so serve
            many cases. One load set each if not given.

        Returns
        -------
        solution : ContactSolution

        Raises
        ------
        ModelError
            If contact does not settle, a load pushes a piece along a motion that nothing stops,
            or loads under `Balanced` supports do not balance.
        """
        if not len(load_sets):
            raise ValueError("No load set given; pass [[load, ...], ...], or [[]] for no load.")
        factors = np.eye(len(load_sets)) if mix is None else check_finite("mix", mix)
        if factors.ndim != 2 or len(factors) != len(load_sets):
            raise ValueError(
                f"mix has shape {factors.shape}; wanted ({len(load_sets)}, number of loads)."
            )
        free = [free_strain_of(self.model, loads) for loads in load_sets]
        if mix is not None and any(f is not None for f in free):
            raise ValueError("Load sets with a free strain cannot be mixed; solve them by name.")
        applied = np.stack([nodal_forces(self.model, loads) for loads in load_sets], axis=-1)
        forces = applied.reshape(-1, len(load_sets)) @ factors
        self._check(forces)
        settled, unknowns, torques, steps = self._settled(forces)
        return self._answer(forces, free if mix is None else [None] * len(steps), settled,
                            unknowns, torques, steps)  # fmt: skip

    def _check(self, forces: np.ndarray) -> None:
        """Refuse loads that do not balance, or that push along a motion that nothing stops."""
        prepared, n_loads = self.prepared, forces.shape[1]
        if any(isinstance(support, Balanced) for support in self.supports):
            joined = np.zeros((prepared.joined.n_unknowns // 3, 3, n_loads))
            np.add.at(joined, prepared.tied, forces.reshape(-1, 3, n_loads))
            view: Any = SimpleNamespace(space=prepared.joined)
            check_balance(view, joined, self.supports)
        never = prepared.free
        work = np.abs(never.fields.T @ forces)
        size = np.abs(forces).sum(axis=0)
        pushed = work > WORK * size * np.abs(never.fields).max(initial=0.0)
        if pushed.any():
            load = int(np.argmax(pushed.any(axis=0)))
            weights = (never.fields.T @ forces)[:, [load]]
            raise ModelError(
                f"Load set {load} pushes along a motion that contact cannot stop, of "
                f"{never.mixed(weights).names()}. Hold it with Fixed(...), tie it with "
                "ThreadTie(...), or give the contact friction."
            )

    def _settled(self, forces: np.ndarray):
        """Reduce the loads, then find the state of each; a like load's state is the start."""
        prepared = self.prepared
        condensed, turns = prepared.condensed, prepared.turns
        offset = prepared.basis.prescribed
        right = forces.copy()
        if offset.any():
            right -= self.model.forces_of(offset[:, None])
        right = prepared.basis.matrix.T @ right
        reduced = condensed.reduce(right)
        onto = reduced[condensed.kept]
        turned = np.zeros((0, forces.shape[1]))
        if turns is not None:
            turned = turns.response.T @ right + (turns.forces.T @ offset)[:, None]
            onto -= turns.reduced[condensed.kept] @ np.linalg.solve(turns.compliance, turned)
        with one_dense_thread():
            settled = self._one_by_one(onto)
        unknowns = np.stack([state.unknowns for state in settled], axis=1)
        torques = np.zeros((0, forces.shape[1]))
        if turns is not None:
            torques = turns.torques(condensed.kept, unknowns, turned)
            reduced += turns.reduced @ torques
        reduced[condensed.kept] = unknowns
        coordinates = condensed.expand(reduced)
        coordinates[condensed.kept] = unknowns
        answer = prepared.basis.matrix @ coordinates + offset[:, None]
        return settled, answer, torques, tuple(state.steps for state in settled)

    def _one_by_one(self, onto: np.ndarray) -> list[Settled]:
        """State under each load (n_kept, n_loads), all with the factor of the one before."""
        problem, last = self.prepared.problem, LastFactor()
        settled: list[Settled] = []
        cold = all_closed(problem, onto, last)
        for load in range(onto.shape[1]):
            like, ratio = _likeness(onto[:, : load + 1])
            if self.scales and like is not None and ratio is not None:
                settled.append(settled[like].scaled(ratio))
                continue
            start = cold[load] if like is None else settled[like]
            found = settle(problem, onto[:, load], start, last, self.steps)
            if found.weak is not None:
                raise self._came_off(load, found.weak)
            settled.append(found)
        return settled

    def _came_off(self, load: int, weak: np.ndarray) -> ModelError:
        """What to say when only the weak springs hold a piece."""
        prepared = self.prepared
        moving = prepared.moving[prepared.condensed.kept]
        weights = -moving.T @ weak
        weights[np.abs(weights) < 1e-3 * np.abs(weights).max()] = 0.0
        return ModelError(
            f"Load set {load} takes a piece off, and contact does not pull: nothing stops "
            f"{prepared.motions.mixed(weights[:, None]).names()}. Hold it with Fixed(...), tie it "
            "with ThreadTie(...) or bond it."
        )

    def _answer(self, forces, free, settled, answer, torques, steps) -> ContactSolution:
        """Solution and states of the zones, with the residual of the whole system checked."""
        model, prepared = self.model, self.prepared
        shape = (-1, 3, forces.shape[1])
        parts = zone_forces(prepared, settled, torques, forces - model.forces_of(answer))
        applied = forces + sum(part.nodal for part in parts)
        displacement = answer.reshape(shape).transpose(1, 0, 2)
        states = {
            zone.name: zone_state(zone, part, settled, displacement, model)
            for zone, part in zip(prepared.zones, parts, strict=True)
        }
        solution = Solution(
            model=model,
            displacement=displacement,
            applied=applied.reshape(shape).transpose(1, 0, 2),
            free_strain=free,
            method="contact",
            residual=self._residual(applied, answer),
            iterations=steps,
        )
        return ContactSolution(solution, states, self.scales, steps)

    def _residual(self, applied: np.ndarray, answer: np.ndarray) -> float:
        missing = applied - self.model.forces_of(answer)
        missing[self.prepared.held_free[0]] = 0.0
        # rounding alone leaves as much where pieces move as a whole and hardly strain
        rounding = np.abs(self.model.matrix.diagonal()[:, None] * answer)
        scale = np.linalg.norm(applied, axis=0) + 1e-9 * np.linalg.norm(rounding, axis=0)
        residual = float((np.linalg.norm(missing, axis=0) / np.where(scale > 0, scale, 1)).max())
        if not residual < RESIDUAL_LIMIT:
            raise ModelError(
                f"Contact left a relative residual of {residual:.1e} (allowed "
                f"{RESIDUAL_LIMIT:g}): the answer is not to be trusted. Check cells and materials."
            )
        return residual


def solve_contact(
    model: Model,
    supports: Sequence[Support],
    load_sets: Sequence[Sequence[Load]],
    laws: Mapping[str, Law],
    method: str = "auto",
) -> ContactSolution:
    """Solve once; see :class:`Touching` to keep the condensed pieces for further loads."""
    return Touching(model, supports, laws, method).solve(load_sets)


def _likeness(onto: np.ndarray) -> tuple[int | None, float | None]:
    """Earlier load most like the last one, if any is; and the ratio if they are one direction."""
    last, before = onto[:, -1], onto[:, :-1]
    size, sizes = np.linalg.norm(last), np.linalg.norm(before, axis=0)
    if not before.size or size == 0 or not sizes.any():
        return None, None
    cosine = (last @ before) / (size * np.where(sizes > 0, sizes, np.inf))
    like = int(cosine.argmax())
    if cosine[like] < 0.5:
        return None, None
    ratio = size / sizes[like]
    same = np.linalg.norm(last - ratio * before[:, like]) <= ALIKE * size
    return like, ratio if same else None


def _check_laws(model: Model, laws: Mapping[str, Law]) -> None:
    names = model.mesh.boundaries or {}
    if not any(law.splits for law in laws.values()):
        raise ValueError("No interface is in contact; use solve(...) for bonded pieces.")
    for name, law in laws.items():
        if law.splits:
            continue
        if any(side.startswith(f"{name} on ") for side in names):
            raise ValueError(
                f"Interface '{name}' is split in the mesh but {type(law).__name__}; split only "
                "what can come apart (to_split(laws))."
            )
        if name not in names:
            raise ValueError(unknown("interface", name, names))
    for name in {side.split(" on ")[0] for side in names if " on " in side} - set(laws):
        raise ValueError(f"Interface '{name}' is split in the mesh but has no law; give one.")
