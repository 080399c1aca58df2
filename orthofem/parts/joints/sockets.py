"""Sockets and the glue in them: outlines that several joints share."""

from __future__ import annotations

from orthofem.parts.joints.base import Joint
from orthofem.parts.joints.thread import Rings, draw_engaged
from orthofem.parts.outline import Outline, Pen, mirrored, polygon
from orthofem.parts.part import Piece, Refinement
from orthofem.parts.selectors import NearTube
from orthofem.parts.shaft import MIN_WALL, Shaft
from orthofem.parts.solids import Fused, Revolved


def socket(
    joint: Joint, shaft: Shaft, window: float, mouth: float, radius: float, rings: Rings | None
) -> Outline:
    """Outline of the upper piece: shaft with a countersunk blind socket [mm].

    `mouth` is the station of its shoulder face, `radius` that of the bore.
    """
    end, bottom, bore = joint.end, joint.end_gap, shaft.bore / 2
    pen = Pen(mouth, radius + joint.neck - mouth).line(joint.neck, radius)
    draw_engaged(pen, rings, joint.neck, end, radius)
    pen.arc(end + bottom, radius - bottom, (end, radius - bottom))
    pen.line(end + bottom, bore).line(window, bore)
    return pen.line(window, shaft.radius).line(mouth, shaft.radius).close()


def socket_core(joint: Joint, shaft: Shaft, window: float, radius: float) -> Revolved | None:
    """Infill of the upper piece: walls also line the socket, its bottom and the shoulder."""
    if shaft.walls is None:
        return None
    walls, outer = shaft.walls, shaft.radius - shaft.walls
    inner, start = radius + walls, joint.neck + walls
    bottom = joint.end + joint.end_gap + walls
    bore = shaft.bore / 2 + (walls if shaft.bore else 0.0)
    if outer - inner < MIN_WALL:
        pen = Pen(bottom, bore)
    else:
        pen = Pen(start, outer).line(start, inner).line(bottom, inner).line(bottom, bore)
    pen.line(window, bore).line(window, outer)
    if pen.place[0] > bottom and outer - inner < MIN_WALL:
        pen.line(bottom, outer)
    return Revolved(pen.close())


def round_rod(radius: float, half: float) -> Revolved:
    """A plain rod from x = -half to x = half.

    Revolved like the bores round it, so that their seams fall on one line.
    """
    return Revolved(polygon([(-half, 0), (half, 0), (half, radius), (-half, radius)]))


def glue_rings(joint: Joint, end: float) -> tuple[Piece, ...]:
    """Glue between core and sockets from neck to `end` on both sides; none at clearance 0."""
    if joint.clearance == 0:
        return ()
    low, high = joint.core_radius, joint.core_radius + joint.clearance
    ring = polygon([(joint.neck, low), (end, low), (end, high), (joint.neck, high)])
    return (Piece("glue", Fused((Revolved(mirrored(ring)), Revolved(ring)))),)


def glue_zones(joint: Joint, end: float) -> tuple[Refinement, ...]:
    """Elements small enough that the chords of the glue's two skins do not cross."""
    if joint.clearance == 0:
        return ()
    size = (2.5 * joint.core_radius * joint.clearance) ** 0.5  # chord height 0.3 of the glue
    middle = joint.core_radius + joint.clearance / 2
    return tuple(
        Refinement(
            NearTube(
                (side * joint.neck, 0, 0),
                (side * (end - joint.neck), 0, 0),
                middle,
                joint.clearance,
            ),
            size,
            firm=True,
        )
        for side in (-1, 1)
    )
