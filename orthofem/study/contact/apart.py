"""Pieces of one option taken apart where they touch: solved under resultants, read, summed up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from orthofem.mesh.split import split
from orthofem.solve import Load, Model, UnitResponses
from orthofem.solve.contact import ContactSolution, Law, Touching

from ..border_reading import BorderReading, border_readings
from ..reading import Places, Reader, Reading, read, stiffness_field
from ..setting import Setting


@dataclass(frozen=True)
class Readings:
    """Stresses and tractions of all load sets of one solution."""

    regions: tuple[Reading, ...]
    borders: tuple[BorderReading, ...]


@dataclass(frozen=True)
class Apart:
    """An option's pieces in contact, ready to be solved for any resultants.

    Parameters
    ----------
    reader : Reader
        Of the option on the split mesh.
    touching : Touching
    pulls : list of list of loads
        Six unit load sets.
    about : tuple of float
        Point that resultants refer to. [mm]
    """

    reader: Reader
    touching: Touching
    pulls: list[list[Load]]
    about: tuple[float, float, float]

    @property
    def model(self) -> Model:
        """On the split mesh."""
        return self.touching.model

    @property
    def scales(self) -> bool:
        """Whether twice the load has twice the answer."""
        return self.touching.scales

    @property
    def pressed(self) -> bool:
        """Whether tightening or interference presses before there is any load."""
        zones = self.touching.prepared.zones
        return any(bool(zone.pull) or bool((zone.clearance < 0).any()) for zone in zones)

    def solve(self, resultants: np.ndarray) -> ContactSolution:
        """Answers under resultants (6, n)."""
        return self.touching.solve(self.pulls, resultants)

    @cached_property
    def forces(self) -> np.ndarray:
        """Nodal forces of the six unit load sets, (3 n_nodes, 6). [N]."""
        columns = [sum(load.forces(self.model) for load in loads) for loads in self.pulls]
        return np.stack(columns, axis=-1).reshape(-1, 6)

    def moved(self, contact: ContactSolution) -> np.ndarray:
        """Movement of the loaded surface against the other end, work-conjugate, (6, n)."""
        shape = (-1, contact.solution.n_loads)
        return self.forces.T @ contact.solution.displacement.swapaxes(0, 1).reshape(shape)

    @cached_property
    def places(self) -> list[Places]:
        """Where stress is read; the same for all solutions."""
        return self.reader.places(self.model)

    def read(self, contact: ContactSolution) -> Readings:
        """Stresses and border tractions of a solution."""
        regions = read(self.places, contact.solution)
        lengths = {reading.region: reading.radius for reading in regions}
        found = border_readings(
            self.reader.option, self.reader.part_mesh,
            UnitResponses(contact.solution, self.about), lengths,
        )  # fmt: skip
        return Readings(regions, found)


def apart(reader: Reader, setting: Setting, method: str = "auto") -> Apart:
    """Take an option's pieces apart along the interfaces that can open or slide.

    Parameters
    ----------
    reader : Reader
        Of the option on its mesh, not split.
    setting : StickWindow or HeldPart
    method : str, optional
        Linear solver.

    Raises
    ------
    ValueError
        If pieces of an interface do not meet; the message lists those that do.
    ModelError
        If supports leave the part loose even if bonded, or memory does not suffice.
    """
    laws = split_laws(reader.option.interfaces)
    parted = split(reader.part_mesh, list(laws))
    model = Model(parted.mesh, stiffness_field(reader.option, parted))
    return Apart(
        replace(reader, part_mesh=parted),
        Touching(model, setting.supports, laws, method),
        setting.pulls(model),
        setting.about(model),
    )


def split_laws(interfaces: Mapping[str, Law]) -> dict[str, Law]:
    """Those that let pieces open or slide."""
    return {name: law for name, law in interfaces.items() if law.splits}
