"""A layout: where a stick is cut, by which joint, which way up each piece is printed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from orthofem.parts import Joint

from ..stick import StickPiece, WholeStick
from .models import Models, Ways
from .wish import Wish


@dataclass(frozen=True)
class Layout:
    """A way to make the stick.

    Parameters
    ----------
    design : str
        Name of the joint; "" for a stick of one piece.
    joint : Joint or None
    stations : tuple of float
        Of the joints, from the tip. [mm]
    ways : tuple of str
        Way up of each piece, from tip to handle.
    stud : str
        Way up of studs that are printed apart; "" where there are none.
    """

    design: str
    joint: Joint | None
    stations: tuple[float, ...]
    ways: tuple[str, ...]
    stud: str = ""

    def edges(self, wish: Wish) -> tuple[float, ...]:
        """Ends of the pieces. [mm]."""
        return (0.0, *self.stations, wish.length)

    def spans(self, wish: Wish) -> list[tuple[float, float]]:
        """Both ends of each piece. [mm]."""
        edges = self.edges(wish)
        return list(zip(edges[:-1], edges[1:], strict=True))

    def at_joint(self, number: int) -> Ways:
        """Ways up at a joint."""
        return Ways(self.ways[number], self.ways[number + 1], self.stud)

    def turned(self, number: int, way: str) -> Layout:
        """The same with one piece printed another way up."""
        return replace(
            self, ways=tuple(way if k == number else old for k, old in enumerate(self.ways))
        )

    @property
    def words(self) -> str:
        """The layout in a line."""
        number = len(self.ways)
        if number == 1:
            return f"one piece, {self.ways[0]}"
        kinds = dict.fromkeys(self.ways)
        ways = f"all {self.ways[0]}" if len(kinds) == 1 else " / ".join(self.ways)
        stud = f", studs {self.stud}" if self.stud else ""
        return f"{number} pieces, {self.design}, {ways}{stud}"


def pieces_of(wish: Wish, layout: Layout) -> tuple[StickPiece, ...]:
    """Pieces of the whole stick."""
    return tuple(
        StickPiece(low, high, wish.piece_shaft(low, high), wish.print_way(way), wish.core_way(way))
        for (low, high), way in zip(layout.spans(wish), layout.ways, strict=True)
    )


def question_of(models: Models, layout: Layout) -> WholeStick:
    """The whole stick with the fast models at its joints."""
    wish = models.wish
    windows = [
        models.at(layout.joint, layout.at_joint(k), x).detail(x, f"joint {k + 1}")
        for k, x in enumerate(layout.stations)
        if layout.joint is not None
    ]
    return WholeStick(
        wish.person, wish.stick(layout.stations), pieces_of(wish, layout), windows, wish.cases,
        wish.crooked, criteria=wish.criteria,
    )  # fmt: skip
