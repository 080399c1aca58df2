"""A load case: what pulls on the stick, in several variants, with its source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from orthofem.errors import check_between
from orthofem.loads.beam import StickStiffness
from orthofem.loads.blow import Blow
from orthofem.loads.energy_form import energy_form
from orthofem.loads.statics import PointLoads
from orthofem.loads.stepped import blow_history
from orthofem.loads.stick import Stick
from orthofem.loads.struck import BlowHistory
from orthofem.tensors import FloatArray

BLOW_METHODS = {"energy": energy_form, "stepped": blow_history}


@dataclass(frozen=True)
class LoadCase:
    """A load on a stick in one or more variants (instants of a step, directions of a kick).

    Parameters
    ----------
    name, title : str
        Short name, and plain words.
    source : str
        "load taken from ...".
    grade : str
        Weakest evidence grade of the load.
    factor : float
        Wanted reserve factor. [-]
    factor_reason : str
        Why that much.
    labels : tuple of str
        One per variant.
    stick : Stick
        The stick that it acts on.
    loads : PointLoads, optional
        Forces and reactions that do not depend on the stick's stiffness.
    blow : Blow, optional
        A blow whose force depends on the stick's stiffness.
    notes : tuple of str
        What the reader must know.
    extras : mapping of str to ndarray of shape (n_variants,)
        Further numbers per variant, unit in the name ("preload_N").
    clamped : tuple of (float or None), optional
        Station where each variant is clamped; None where it stands on its tip and is held at
        the handle, as all do if this is empty. [mm]
    cut_out : float, optional
        Length of the piece that is tested by itself; the whole stick if not given. [mm]
    """

    name: str
    title: str
    source: str
    grade: str
    factor: float
    factor_reason: str
    labels: tuple[str, ...]
    stick: Stick
    loads: PointLoads | None = None
    blow: Blow | None = None
    notes: tuple[str, ...] = ()
    extras: Mapping[str, FloatArray] = field(default_factory=dict)
    clamped: tuple[float | None, ...] = ()
    cut_out: float | None = None

    def __post_init__(self):
        counts = [] if self.loads is None else [self.loads.forces.shape[2]]
        counts += [] if self.blow is None else [self.blow.stations.size]
        counts += [np.size(values) for values in self.extras.values()]
        counts += [len(self.clamped)] if self.clamped else []
        if self.loads is None and self.blow is None:
            raise ValueError(f"Load case '{self.name}' has neither loads nor a blow.")
        if any(count != len(self.labels) for count in counts):
            raise ValueError(
                f"Load case '{self.name}' has {len(self.labels)} labels but {counts} variants."
            )

    def resultants(self, x: float, stiffness: StickStiffness | None = None) -> FloatArray:
        """Section resultants at a station, for all variants.

        Parameters
        ----------
        x : float
            Station, from the tip. Where a load enters just there, the section lies on the tip
            side of it. [mm]
        stiffness : StickStiffness, optional
            Stick with its joints, for a blow. Without it, the plain shaft of the stick, if its
            EI is given.

        Returns
        -------
        resultants : ndarray of shape (6, n_variants)
            Fx, Fy, Fz [N], Mx, My, Mz [N mm] that the handle side exerts on the tip side at
            the section centre, part axes. Compression is negative Fx. For a blow, each station
            at its own worst instant.

        Raises
        ------
        ValueError
            If the station is off the stick, or a blow has no stiffness to work with.
        """
        check_between("station", x, 0.0, self.stick.length, "mm")
        parts = [] if self.loads is None else [self.loads.resultants(x)]
        if self.blow is not None:
            parts.append(self.history(stiffness).resultants(x))
        return sum(parts[1:], start=parts[0])

    def balance(self, stiffness: StickStiffness | None = None) -> FloatArray:
        """Net force and moment about the tip of all loads and reactions: zero by statics.

        For a blow, with the inertia of the stick at the instant of its largest moment.

        Returns
        -------
        net : ndarray of shape (6, n_variants)
            Fx, Fy, Fz [N], Mx, My, Mz [N mm].
        """
        return self.all_loads(stiffness).net()

    def history(self, stiffness: StickStiffness | None = None) -> BlowHistory:
        """What the blow does over time, by the method that it asks for.

        Found once for each stick and blow, and kept with the stick.

        Parameters
        ----------
        stiffness : StickStiffness, optional
            Stick with its joints; without it the plain shaft, if its EI is given.

        Returns
        -------
        history : BlowHistory

        Raises
        ------
        ValueError
            If this case has no blow, or no stiffness is known.
        """
        if self.blow is None:
            raise ValueError(f"Load case '{self.name}' has no blow; its loads are given forces.")
        stiffness = self._plain_shaft if stiffness is None else stiffness
        key = ("blow", id(self.blow))
        if key not in stiffness.kept:
            found = BLOW_METHODS[self.blow.method](stiffness, self.blow)
            stiffness.kept[key] = self.blow, found  # the blow too, lest its id be used again
        return stiffness.kept[key][1]

    def all_loads(self, stiffness: StickStiffness | None = None) -> PointLoads:
        """Return every force and reaction; for a blow at the instant of its largest moment."""
        parts = [] if self.loads is None else [self.loads]
        if self.blow is not None:
            parts.append(self.history(stiffness).peak_loads())
        return parts[0].joined(*parts[1:])

    @cached_property
    def _plain_shaft(self) -> StickStiffness:
        """Stiffness of the stick without joints, from its own EI."""
        if self.stick.EI is None:
            raise ValueError(
                f"Load case '{self.name}' is a blow: its force depends on how stiff the stick "
                "is. Give stiffness=StickStiffness(stick, EI, GA, "
                "joints), or a Stick with EI (plain shaft, joints neglected)."
            )
        return StickStiffness(self.stick, self.stick.EI, self.stick.GA or math.inf)
