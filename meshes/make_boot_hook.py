"""Makes boot_hook.step: a hook on the marsh-walk stick for pulling off a wet boot.

A clamp ring for a 30 mm shaft (axis z), an arm with fillets, a rib under it, and an upturned
lip that takes the heel of the boot. The part is the project's own; it stands in for a file that
a user brings along.
"""

from __future__ import annotations

import re
from pathlib import Path

from orthofem.mesh.session import session
from orthofem.mesh.shapes import shape
from orthofem.parts import Cut, Cylinder, Extruded, Fused, OnCylinder, OnPlane, Outline, Pen, Solid
from orthofem.parts.selectors import InBox

TARGET = Path(__file__).with_name("boot_hook.step")

BORE, OUTER, WIDTH = 15.0, 20.0, 22.0  # clamp ring: radii and length along the shaft [mm]
ARM, LIP, REACH = 14.0, 18.0, 60.0  # width of the arm, height of the lip, reach from the axis [mm]
HALF, THICK, FILLET = 4.0, 8.0, 4.0  # half the arm's depth, thickness of the lip, fillets [mm]

SURFACES = {
    "clamp_bore": OnCylinder((0, 0, 0), (0, 0, 1), BORE),
    "hook_pad": OnPlane(
        (REACH - THICK, 0, 0), (1, 0, 0), InBox((REACH - THICK - 1, HALF, 0), (REACH, LIP, WIDTH))
    ),
}


def boot_hook() -> Solid:
    """Return the hook as plain data."""
    ring = Cylinder((0, 0, 0), (0, 0, WIDTH), OUTER)
    bore = Cylinder((0, 0, -1), (0, 0, WIDTH + 2), BORE)
    side = (WIDTH - ARM) / 2
    arm = Extruded(_arm(), (0, 0, ARM), side)
    rib = Extruded(_rib(), (0, 0, 5.0), (WIDTH - 5.0) / 2)
    return Cut(Fused((ring, arm, rib)), bore)


def _tangent(height: float, radius: float) -> tuple[float, tuple[float, float]]:
    """Where a fillet between the ring and a level line ends on the line, and on the ring."""
    centre = ((OUTER + radius) ** 2 - (height + radius) ** 2) ** 0.5
    share = OUTER / (OUTER + radius)
    return centre, (share * centre, share * (height + radius))


def _arm() -> Outline:
    """Outline of arm and lip, with fillets to the ring and inside the lip."""
    along, touch = _tangent(HALF, FILLET)
    inner = REACH - THICK
    pen = Pen(BORE + 1, -HALF).line(REACH - HALF, -HALF)
    pen.arc(REACH, 0, (REACH - HALF, 0)).line(REACH, LIP - HALF)
    pen.arc(REACH - HALF, LIP, (REACH - HALF, LIP - HALF))
    pen.arc(inner, LIP - HALF, (REACH - HALF, LIP - HALF))
    pen.line(inner, HALF + FILLET).arc(inner - FILLET, HALF, (inner - FILLET, HALF + FILLET))
    pen.line(along, HALF).arc(*touch, (along, HALF + FILLET))
    return pen.line(BORE + 1, touch[1]).close()


def _rib() -> Outline:
    """Outline of the rib under the arm."""
    return Pen(16, 0).line(12, -13.5).line(44, -HALF).line(46, 0).close()


def write(target: Path = TARGET) -> Path:
    """Write the STEP file and return its path."""
    with session() as gmsh:
        shape(gmsh, boot_hook())
        gmsh.model.occ.synchronize()
        gmsh.write(str(target))
    # a plain header in the usual order: the same file every time
    header = (
        "HEADER;\nFILE_DESCRIPTION(('boot_hook'),'2;1');\n"
        "FILE_NAME('boot_hook','2026-01-01T00:00:00',('orthofem'),('orthofem'),'','','');\n"
        "FILE_SCHEMA"
    )
    text = re.sub(r"HEADER;.*?FILE_SCHEMA", header, target.read_text(), count=1, flags=re.DOTALL)
    text = re.sub(r"'Open CASCADE[^']*'", "'boot_hook'", text)
    target.write_text(text)
    return target


if __name__ == "__main__":
    write()
