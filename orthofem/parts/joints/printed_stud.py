"""A stud printed on to the lower piece, screwed into a socket in the upper one."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_positive
from orthofem.parts.joints.base import around, mouths, window_part
from orthofem.parts.joints.sockets import socket, socket_core
from orthofem.parts.joints.thread import ThreadedJoint, draw_engaged
from orthofem.parts.outline import Outline, Pen
from orthofem.parts.part import Part, Piece
from orthofem.parts.shaft import Shaft, fillet_size
from orthofem.parts.solids import Revolved


@dataclass(frozen=True, kw_only=True)
class PrintedStud(ThreadedJoint):
    """Stud and lower piece are one print; pieces `lower` and `upper`.

    Parameters
    ----------
    root_fillet : float
        Radius of the fillet at the stud's root. [mm]
    fillet_edges : int
        Element edges round the fillet's quarter circle.
    """

    root_fillet: float = 2.0
    fillet_edges: int = 4

    def __post_init__(self):
        super().__post_init__()
        check_positive("root fillet", self.root_fillet, "mm")
        if self.neck < self.root_fillet + self.clearance:
            raise ValueError(
                f"Neck {self.neck:g} mm is shorter than root fillet plus clearance "
                f"({self.root_fillet + self.clearance:g} mm); the socket's mouth would sit on the "
                "fillet. Make the neck longer or the fillet smaller."
            )

    def part(self, shaft: Shaft, window: float = 60.0) -> Part:
        """Return the window of the stick round this joint, `window` mm to each side."""
        step = shaft.radius - self.core_radius
        if 0 < step < self.root_fillet:
            raise ValueError(
                f"Root fillet {self.root_fillet:g} mm is larger than the step of {step:g} mm from "
                f"stud to shaft; it must not be above {step:g} mm."
            )
        self.check_fit(shaft, window, self.core_radius, self.widest, self.end + self.end_gap)
        upper = socket(self, shaft, window, self.shoulder_gap, self.core_radius, self.rings)
        pieces = (
            Piece("lower", Revolved(self._stud_outline(shaft, window)), _core(shaft, window)),
            Piece("upper", Revolved(upper), socket_core(self, shaft, window, self.widest)),
        )
        size = fillet_size(self.root_fillet, self.fillet_edges)
        half = self.root_fillet / 2
        root = around(half, self.core_radius + half, 1.2 * half, size)
        refine = (root, *mouths(self, 1))
        return window_part("printed_stud", pieces, self, shaft, window, refine, self.notes)

    def _stud_outline(self, shaft: Shaft, window: float) -> Outline:
        core, fillet, bore = self.core_radius, self.root_fillet, shaft.bore / 2
        pen = Pen(-window, bore).line(-window, shaft.radius).line(0, shaft.radius)
        pen.line(0, core + fillet).arc(fillet, core, (fillet, core + fillet))
        pen.line(self.neck, core)
        draw_engaged(pen, self.rings, self.neck, self.end, core)
        return pen.line(self.end, bore).close()


def _core(shaft: Shaft, window: float) -> Revolved | None:
    """Infill of the lower piece; the stud itself is printed solid."""
    if shaft.walls is None:
        return None
    bore = shaft.bore / 2 + (shaft.walls if shaft.bore else 0.0)
    outer = shaft.radius - shaft.walls
    pen = Pen(-window, bore).line(-window, outer).line(-shaft.walls, outer)
    return Revolved(pen.line(-shaft.walls, bore).close())
