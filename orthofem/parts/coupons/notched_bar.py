"""Round bars with a notch: a shoulder with a fillet, and a groove all round."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_finite, check_positive
from orthofem.parts.outline import Outline, Pen
from orthofem.parts.part import Part, Piece, Refinement
from orthofem.parts.selectors import InBox, NearCircle, OnPlane
from orthofem.parts.shaft import FILLET_EDGES, fillet_size
from orthofem.parts.solids import Revolved


@dataclass(frozen=True, kw_only=True)
class ShoulderBar:
    """A round bar stepped from `diameter` (x < 0) down to `neck` (x > 0) with a fillet.

    The fillet ends on the thin shank at x = 0. Piece `bar`; surfaces "lower_end" (thick) and
    "upper_end" (thin).

    Parameters
    ----------
    diameter, neck : float
        Of the thick and the thin shank. [mm]
    fillet : float
        Its radius. [mm]
    thick_length, thin_length : float or None
        Shank lengths; None: 1.6 `diameter` and 2.5 `neck`. [mm]
    fillet_edges : int
        Element edges round the fillet's quarter circle.
    """

    diameter: float = 20.0
    neck: float = 12.0
    fillet: float = 1.5
    thick_length: float | None = None
    thin_length: float | None = None
    fillet_edges: int = FILLET_EDGES

    def __post_init__(self):
        _check_sizes(self.diameter, self.neck, self.fillet, "fillet")
        step = (self.diameter - self.neck) / 2
        if self.fillet > step:
            raise ValueError(
                f"Fillet {self.fillet:g} mm is larger than the step of {step:g} mm; it must not be "
                "above the step."
            )
        for name in ("thick_length", "thin_length"):
            if getattr(self, name) is not None:
                check_positive(name.replace("_", " "), getattr(self, name), "mm")

    def part(self) -> Part:
        """Return the bar as a part."""
        thick = self.thick_length or 1.6 * self.diameter
        thin = self.thin_length or 2.5 * self.neck
        large, small, fillet = self.diameter / 2, self.neck / 2, self.fillet
        pen = Pen(-fillet - thick, 0).line(-fillet - thick, large).line(-fillet, large)
        pen.line(-fillet, small + fillet).arc(0, small, (0, small + fillet))
        outline = pen.line(thin, small).line(thin, 0).close()
        middle = (-0.3 * fillet, small + 0.3 * fillet)
        return _notch_part(
            "shoulder_bar", outline, (-fillet - thick, thin), large,
            (middle, fillet, self.fillet_edges),
        )  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class GroovedBar:
    """A round bar with a U groove all round at x = 0.

    A half circle at the root, with straight flanks where the groove is deeper than its radius.
    Piece `bar`; surfaces "lower_end" and "upper_end".

    Parameters
    ----------
    diameter, neck : float
        Of the bar, and at the root of the groove. [mm]
    fillet : float
        Radius of the root. [mm]
    length : float or None
        From end to end; None: 4 diameters. [mm]
    fillet_edges : int
        Element edges round a quarter circle of the root.
    """

    diameter: float = 16.0
    neck: float = 12.0
    fillet: float = 1.0
    length: float | None = None
    fillet_edges: int = FILLET_EDGES

    def __post_init__(self):
        _check_sizes(self.diameter, self.neck, self.fillet, "root radius")
        depth = (self.diameter - self.neck) / 2
        if self.fillet > depth * (1 + 1e-9):
            raise ValueError(
                f"Root radius {self.fillet:g} mm is larger than the groove's depth of "
                f"{depth:g} mm; it must not be above the depth."
            )
        if self.length is not None:
            check_positive("bar length", self.length, "mm")
            if self.length < 4 * self.fillet:
                raise ValueError(
                    f"A bar of {self.length:g} mm is too short for a groove {2 * self.fillet:g} mm "
                    f"wide; make it at least {4 * self.fillet:g} mm."
                )

    def part(self) -> Part:
        """Return the bar as a part."""
        half = (self.length or 4 * self.diameter) / 2
        large, small, root = self.diameter / 2, self.neck / 2, self.fillet
        centre, top = (0.0, small + root), small + root
        pen = Pen(-half, 0).line(-half, large).line(-root, large).line(-root, top)
        pen.arc(0, small, centre).arc(root, top, centre)
        outline = pen.line(root, large).line(half, large).line(half, 0).close()
        return _notch_part(
            "grooved_bar", outline, (-half, half), large,
            ((0.0, small + 0.3 * root), root, self.fillet_edges),
        )  # fmt: skip


def _check_sizes(diameter: float, neck: float, radius: float, kind: str) -> None:
    check_positive("bar diameter", diameter, "mm")
    check_positive("neck diameter", neck, "mm")
    check_positive(kind, radius, "mm")
    check_finite(kind, radius)
    if neck >= diameter:
        raise ValueError(
            f"Neck diameter {neck:g} mm is not below the bar's {diameter:g} mm; "
            "the neck must be thinner."
        )


def _notch_part(
    name: str,
    outline: Outline,
    ends: tuple[float, float],
    radius: float,
    notch: tuple[tuple[float, float], float, int],
) -> Part:
    (x, r), fillet, edges = notch
    ring = NearCircle((x, 0, 0), (1, 0, 0), r, 0.9 * fillet)
    far = 2 * radius
    keep = min(abs(ends[0]), ends[1]) / 2
    return Part(
        name,
        (Piece("bar", Revolved(outline)),),
        {
            "lower_end": OnPlane((ends[0], 0, 0), (1, 0, 0)),
            "upper_end": OnPlane((ends[1], 0, 0), (1, 0, 0)),
        },
        feature=0.8 * radius,
        refine=(Refinement(ring, fillet_size(fillet, edges)),),
        interest=InBox((-keep, -far, -far), (keep, far, far)),
    )
