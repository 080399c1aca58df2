"""The printer that a piece is made on: its room, and a plain model of how long it takes."""

from __future__ import annotations

from dataclasses import dataclass, fields

from orthofem.errors import check_between, check_finite, check_positive
from orthofem.materials.values import Value

CHOSEN = "chosen for a printer of common size; set your own"
GIVEN = "given in the study"
_UNITS = {
    "width": "mm", "depth": "mm", "height": "mm", "layer_height": "mm", "flow": "mm3/s",
    "seconds_per_layer": "s", "seconds_per_change": "s", "overhang_angle": "degree",
    "support_density": "-",
}  # fmt: skip


@dataclass(frozen=True)
class Printer:
    """A printer as the costs of a print see it. All defaults are estimates (E): set your own.

    Parameters
    ----------
    width, depth : float
        Sides of the bed. [mm]
    height : float
        Height of the room above it. [mm]
    layer_height : float
        Thickness of a layer. [mm]
    flow : float
        Filament laid down per second, mean over walls, infill and supports. [mm3/s]
    seconds_per_layer : float
        What each layer takes besides: lifting, moving without printing. [s]
    seconds_per_change : float
        What each change of filament takes. [s]
    overhang_angle : float
        Skin that faces down and is nearer to level than this needs support. [degree]
    support_density : float
        Share of the supported space that is filled. [-]

    Raises
    ------
    ValueError
        If a number is out of its range.

    Examples
    --------
    >>> Printer(height=180.0).layers(36.1)  # of 0.2 mm
    181
    """

    width: float = 220.0
    depth: float = 220.0
    height: float = 250.0
    layer_height: float = 0.2
    flow: float = 6.0
    seconds_per_layer: float = 6.0
    seconds_per_change: float = 90.0
    overhang_angle: float = 45.0
    support_density: float = 0.2

    def __post_init__(self):
        for name in ("width", "depth", "height", "layer_height", "flow"):
            check_positive(f"printer's {_words(name)}", getattr(self, name), _UNITS[name])
        for name in ("seconds_per_layer", "seconds_per_change"):
            if check_finite(f"printer's {_words(name)}", getattr(self, name)) < 0:
                raise ValueError(
                    f"printer's {_words(name)} = {getattr(self, name):g} s; it must not be below "
                    "zero."
                )
        check_between("printer's overhang angle", self.overhang_angle, 0.0, 90.0, "degree")
        check_between("printer's support density", self.support_density, 0.0, 1.0)
        if self.layer_height > self.height:
            raise ValueError(
                f"printer's layer height = {self.layer_height:g} mm is above its height of "
                f"{self.height:g} mm; give the thickness of one layer."
            )

    @property
    def values(self) -> dict[str, Value]:
        """Every number with its grade: an estimate, whether chosen here or given."""
        default = type(self)()
        return {
            field.name: Value(
                getattr(self, field.name),
                "E",
                CHOSEN if getattr(self, field.name) == getattr(default, field.name) else GIVEN,
                _UNITS[field.name],
            )
            for field in fields(self)
        }

    def layers(self, height: float) -> int:
        """Number of layers of a print of this height. [-]."""
        count = check_positive("height", height, "mm") / self.layer_height
        return max(int(-(-(count - 1e-6) // 1)), 1)

    def seconds(self, volume: float, layers: int, changes: int) -> float:
        """Estimated time of a print. [s].

        Parameters
        ----------
        volume : float
            Filament laid down, supports included. [mm3]
        layers, changes : int
            Numbers of layers and of changes of filament.

        Notes
        -----
        volume / flow + layers x time per layer + changes x time per change. It leaves out
        heating up, slowing down on small layers and outlines, and failed prints.

        Examples
        --------
        >>> Printer(flow=10, seconds_per_layer=2, seconds_per_change=60).seconds(5000, 100, 3)
        880.0
        """
        return float(
            volume / self.flow + layers * self.seconds_per_layer + changes * self.seconds_per_change
        )


def _words(name: str) -> str:
    return name.replace("_", " ")
