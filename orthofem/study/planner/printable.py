"""How long a piece can be on a printer, standing or lying, and what gives where none fits."""

from __future__ import annotations

from itertools import product

import numpy as np

from orthofem.errors import ModelError
from orthofem.materials import Printer
from orthofem.mesh import bed_fit
from orthofem.parts import Joint

from .rules import SEPARATE, kind_of, stud_beyond
from .wish import MOST_PIECES, WAYS, Wish

_NEAR = 1e-3  # mm


def longest(printer: Printer, diameter: float, way: str) -> float:
    """Length of the longest round piece that fits a printer; 0 where none does. [mm].

    Parameters
    ----------
    printer : Printer
    diameter : float
        [mm]
    way : {"upright", "lying"}

    Examples
    --------
    >>> longest(Printer(width=220, depth=220, height=250), 32.0, "upright")
    250
    >>> round(longest(Printer(width=220, depth=220, height=250), 32.0, "lying"), 1)  # 220 sqrt 2-32
    279.1
    """
    width, depth = printer.width, printer.depth
    if way == "upright":
        return printer.height if diameter <= min(width, depth) else 0.0
    if diameter > printer.height or not _lies(diameter, diameter, width, depth):
        return 0.0
    low, high = diameter, float(np.hypot(width, depth))
    while high - low > _NEAR:
        middle = (low + high) / 2
        low, high = (middle, high) if _lies(middle, diameter, width, depth) else (low, middle)
    return low


def _lies(length: float, diameter: float, width: float, depth: float) -> bool:
    corners = np.array(list(product((0.0, length), (0.0, diameter), (0.0, diameter)))).T
    up = np.array([[0.0], [0.0], [1.0]])
    return bool(bed_fit(corners, up, width, depth).share[0] <= 1.0 + 1e-9)


def stud_ways(wish: Wish, joint: Joint) -> tuple[str, ...]:
    """Ways up in which a joint's separate stud can be printed; ("",) where it has none."""
    if not SEPARATE[kind_of(joint)]:
        return ("",)
    return tuple(
        way for way in wish.ways if 2 * joint.end <= longest(wish.printer, joint.core_diameter, way)
    )


def check_printable(wish: Wish) -> None:
    """Refuse a wish that the printer cannot fulfil, and say what gives.

    Raises
    ------
    ModelError
        If the stick is longer than the printer and no joint is allowed, the printer is smaller
        than a stud or than the shortest piece between two joints, or too many pieces are needed.
    """
    thickest = max(wish.diameters)
    most = {way: longest(wish.printer, thickest, way) for way in wish.ways}
    best = max(most.values())
    room = f"{wish.printer.width:g} x {wish.printer.depth:g} x {wish.printer.height:g} mm"
    told = ", ".join(f"{way} {long:.0f} mm" for way, long in most.items())
    if wish.length <= best:
        return
    if not wish.rules:
        other = [way for way in WAYS if way not in most]
        also = f", another way up (ways={tuple(WAYS)})" if other else ""
        raise ModelError(
            f"The stick is {wish.length:g} mm long; the longest piece that the printer ({room}) "
            f"takes is {told}, and no joint is allowed. What gives: allow a joint "
            f"(joints=['printed_stud']), take a larger printer{also}, or shorten the stick to "
            f"{best:.0f} mm."
        )
    found = [_too_small(wish, name, joint, most) for name, joint in wish.designs.items()]
    if all(found):
        reasons, gives = zip(*(one for one in found if one is not None), strict=True)
        raise ModelError(
            f"The printer ({room}; longest piece: {told}) is too small for this stick. "
            f"{' '.join(reasons)} What gives: {'; or '.join(dict.fromkeys(gives))}."
        )


def _too_small(
    wish: Wish, name: str, joint: Joint, most: dict[str, float]
) -> tuple[str, str] | None:
    """Why no stick of this joint comes off the printer, and what gives; or nothing."""
    stud = 2 * joint.end if SEPARATE[kind_of(joint)] else joint.end
    best = max(most.values())
    if not stud_ways(wish, joint) or best <= stud:
        return (
            f"{name}: its stud is {stud:.0f} mm long and {joint.core_diameter:g} mm thick, more "
            "than the printer takes.",
            "a larger printer, or a thinner or shorter stud (JointRule(core=..., engaged=...))",
        )
    window, beyond = wish.window(joint), stud_beyond(joint)
    need = 2 * window + beyond
    if best < need:
        with_stud = f" with its stud of {beyond:.0f} mm" if beyond else ""
        return (
            f"{name}: a piece between two joints is at least {need:.0f} mm long{with_stud}; the "
            f"printer takes {best:.0f} mm.",
            "a larger printer, or a shorter or thinner stud (JointRule(core=..., engaged=...))",
        )
    pieces = int(np.ceil((wish.length - beyond) / (best - beyond) - 1e-9))
    if pieces > wish.most_pieces:
        return (
            f"{name}: the stick takes at least {pieces} pieces, {wish.most_pieces} are allowed.",
            (f"allow more (most_pieces={pieces}), " if pieces <= MOST_PIECES else "")
            + "a larger printer, or a shorter stick",
        )
    return None
