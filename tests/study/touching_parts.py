"""Small parts of pieces that touch, for the tests of contact in a study."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.parts import InBox, OnPlane, Part, Piece, Revolved
from orthofem.parts.outline import Pen
from orthofem.solve import Balanced, UnitResponses, balanced_pulls
from orthofem.solve.run import Supported
from orthofem.study import HeldPart, Option, Print, SurfaceLoad

RADIUS = 5.0
PLA = Print("pla")
ENDS = {"low": OnPlane((-12.0, 0, 0), (1, 0, 0)), "high": OnPlane((12.0, 0, 0), (1, 0, 0))}


def round_piece(name: str, low: float, high: float) -> Piece:
    """Piece of a round bar."""
    pen = Pen(low, 0).line(low, RADIUS).line(high, RADIUS).line(high, 0)
    return Piece(name, Revolved(pen.close()))


def bar(cuts=(0.0,), names=("left", "right")) -> Part:
    """Return a round bar of pieces that butt at planes across it."""
    ends = (-12.0, *cuts, 12.0)
    pieces = tuple(map(round_piece, names, ends[:-1], ends[1:]))
    inner = InBox((-8.0, -9, -9), (8.0, 9, 9))
    return Part("bar", pieces, ENDS, feature=10.0, interest=inner)


def pinned() -> Part:
    """Return a pin whose thinner end sits in a sleeve, free at its shoulder and at its end."""
    pin = Pen(-12, 0).line(-12, RADIUS).line(-1, RADIUS).line(-1, 3).line(7, 3).line(7, 0)
    sleeve = Pen(0, 3).line(0, RADIUS).line(12, RADIUS).line(12, 0).line(8, 0).line(8, 3)
    inner = InBox((-9.0, -9, -9), (9.0, 9, 9))
    pieces = (Piece("pin", Revolved(pin.close())), Piece("sleeve", Revolved(sleeve.close())))
    return Part("pinned", pieces, ENDS, feature=5.0, interest=inner)


def option(name: str, part: Part, **settings) -> Option:
    """Return an option all of whose pieces are printed alike."""
    return Option(name, part, {piece.name: PLA for piece in part.pieces}, **settings)


def push(force: float, moment: float = 0.0, name="push") -> SurfaceLoad:
    """Return a push along the bar with bending about y."""
    return SurfaceLoad(name, name.capitalize(), (-force, 0.0, 0.0), (0.0, moment, 0.0))


def held(*loads: SurfaceLoad) -> HeldPart:
    """Return the bar held at its lower end."""
    return HeldPart("low", "high", loads)


@dataclass(frozen=True)
class Afloat:
    """The bar pulled at both ends, clamped nowhere."""

    cases: tuple[SurfaceLoad, ...]

    @property
    def case_names(self):
        """Names of the load cases."""
        return tuple(case.name for case in self.cases)

    @property
    def supports(self):
        """None but balance."""
        return [Balanced()]

    def about(self, model):
        """Middle of the bar."""
        return (0.0, 0.0, 0.0)

    def pulls(self, model):
        """Six unit load sets."""
        return balanced_pulls("high", "low", (0.0, 0.0, 0.0))

    def respond(self, model, method="auto"):
        """Solve them bonded."""
        found = Supported(model, self.supports, method).solve(self.pulls(model))
        return UnitResponses(found, self.about(model))

    def loadings(self, responses, density):
        """Loads as given."""
        return [case.loading() for case in self.cases]
