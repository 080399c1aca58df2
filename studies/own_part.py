"""A part of your own from a STEP file: which way up for the boot hook of the marsh-walk stick?

The hook clamps on the stick; a heel is caught behind its lip to pull off a wet boot. The file
stands in for one of yours: name the surfaces that hold and carry, and say what pulls.

Run with ``orthofem run studies/own_part.py``.
"""

from __future__ import annotations

from pathlib import Path

from orthofem.materials import PrintFrame
from orthofem.parts import InBox, OnCylinder, OnPlane, PartFile
from orthofem.study import HeldPart, Option, Print, Study, SurfaceLoad

FILE = Path(__file__).parent.parent / "meshes" / "boot_hook.step"
SURFACES = {
    "clamp_bore": OnCylinder((0, 0, 0), (0, 0, 1), radius=15.0),
    "hook_pad": OnPlane((52, 0, 0), (1, 0, 0), within=InBox((51, 4, 0), (60, 18, 22))),
}
PULL = 250.0  # a tug on a stuck boot, chosen for this study [N]

STANDING = PrintFrame(build=(0, 0, 1), bead=(1, 0, 0), beads="alternating")
ON_ITS_BACK = PrintFrame(build=(0, 1, 0), bead=(1, 0, 0), beads="along")
ON_END = PrintFrame(build=(1, 0, 0), beads="alternating")


def options(material: str = "petg") -> list[Option]:
    """Return the hook printed three ways up."""
    away_from_the_clamp = InBox((17, -50, -50), (80, 50, 50))
    part = PartFile(
        path=FILE, unit="mm", surfaces=SURFACES, feature=5.0, interest=away_from_the_clamp
    ).part()
    ways = {"ring flat on the bed": STANDING, "lip up": ON_ITS_BACK, "arm upright": ON_END}
    return [Option(name, part, {"body": Print(material, frame)}) for name, frame in ways.items()]


def study() -> Study:
    """Pull on the lip, straight and from both sides."""
    pulls = SurfaceLoad(
        name="boot_pull",
        title="Tug on a stuck boot",
        force=[[PULL, PULL, PULL], [0.0, 0.0, 0.0], [0.0, 0.3 * PULL, -0.3 * PULL]],
        labels=("straight", "from one side", "from the other side"),
        source="load chosen in this study, no source",
        grade="E",
        wanted=3.0,
        reason="a sudden tug may be twice a steady pull, and the print scatters (E)",
    )
    return Study(
        title="Boot hook: which way up?",
        options=options(),
        setting=HeldPart(held="clamp_bore", loaded="hook_pad", cases=[pulls]),
        note="The clamp's bore is held fast all round; the clamp itself is not judged.",
    )
