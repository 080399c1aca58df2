"""A load case: what pulls on the stick, in several variants, with its source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from orthofem.errors import check_between
from orthofem.loads.beam import StickStiffness
from orthofem.loads.blow import Blow
from orthofem.loads.statics import PointLoads
from orthofem.loads.stepped import blow_history
from orthofem.loads.stick import Stick
from orthofem.tensors import FloatArray


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

    def __post_init__(self):
        counts = [] if self.loads is None else [self.loads.forces.shape[2]]
        counts += [] if self.blow is None else [self.blow.stations.size]
        counts += [np.size(values) for values in self.extras.values()]
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
            the section centre, part axes. Compression is negative Fx.

        Raises
        ------
        ValueError
            If the station is off the stick, or a blow has no stiffness to work with.
        """
        check_between("station", x, 0.0, self.stick.length, "mm")
        if self.blow is None or self.blow.method == "energy":
            return self.all_loads(stiffness).resultants(x)
        struck = blow_history(stiffness or self._plain_shaft(), self.blow).resultants(x)
        return struck if self.loads is None else struck + self.loads.resultants(x)

    def balance(self, stiffness: StickStiffness | None = None) -> FloatArray:
        """Net force and moment about the tip of all loads and reactions: zero by statics.

        For a blow, of its static-equivalent force.

        Returns
        -------
        net : ndarray of shape (6, n_variants)
            Fx, Fy, Fz [N], Mx, My, Mz [N mm].
        """
        return self.all_loads(stiffness).net()

    def blow_forces(self, stiffness: StickStiffness | None = None) -> FloatArray:
        """Largest force of the blow in each variant.

        Parameters
        ----------
        stiffness : StickStiffness, optional
            Stick with its joints; without it the plain shaft, if its EI is given.

        Returns
        -------
        forces : ndarray of shape (n_variants,)
            Force. [N]

        Raises
        ------
        ValueError
            If this case has no blow, or no stiffness is known.
        """
        if self.blow is None:
            raise ValueError(f"Load case '{self.name}' has no blow; its loads are given forces.")
        return self.blow.forces(stiffness or self._plain_shaft())

    def all_loads(self, stiffness: StickStiffness | None = None) -> PointLoads:
        """Return every force and reaction, those of a blow included."""
        parts = [] if self.loads is None else [self.loads]
        if self.blow is not None:
            unit = self.blow.unit_loads(self.stick)
            parts.append(unit.scaled(self.blow_forces(stiffness)))
        return parts[0].joined(*parts[1:])

    def _plain_shaft(self) -> StickStiffness:
        """Stiffness of the stick without joints, from its own EI."""
        if self.stick.EI is None:
            raise ValueError(
                f"Load case '{self.name}' is a blow: its force depends on how stiff the stick "
                "is. Give stiffness=StickStiffness(stick, EI, GA, "
                "joints), or a Stick with EI (plain shaft, joints neglected)."
            )
        return StickStiffness(self.stick, self.stick.EI, self.stick.GA or math.inf)
