"""From a part to tetrahedra with named regions and surfaces, checked against the solid."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import ModuleType

from skfem import MeshTet1

from orthofem.errors import ModelError
from orthofem.mesh.bend import bent
from orthofem.mesh.build import Built, build
from orthofem.mesh.convert import Cells, read_cells, to_skfem
from orthofem.mesh.fill import SHARP, fill_stl
from orthofem.mesh.names import interfaces, named_surfaces
from orthofem.mesh.quality import cell_volumes, scaled_jacobians, straightened
from orthofem.mesh.session import session
from orthofem.mesh.size_field import SizeField
from orthofem.mesh.sizes import bulk_size, set_sizes
from orthofem.mesh.stl import smooth_faces
from orthofem.parts import Imported, Part

VOLUME_ERROR = 0.01  # largest relative error of a region's volume
LEAST_JACOBIAN = 0.1  # smallest scaled Jacobian of a curved element
LEAST_SHAPE = 1e-3  # smallest ratio of inscribed to circumscribed ball, 1 for a regular cell
THIN = 0.1  # a layer thinner than this share of an element is thin
_DELAUNAY, _HXT = 1, 10  # the generator's numbers for its two ways of filling a volume


@dataclass(frozen=True)
class MeshReport:
    """What a reader should know about a mesh.

    Parameters
    ----------
    n_cells, n_nodes, n_unknowns : int
        Tetrahedra, nodes, displacement components.
    volumes : dict of str to float
        Volume of each region's cells. [mm3]
    solid_volumes : dict of str to float
        Volume of each region's solid. [mm3]
    volume_error : float
        Largest relative difference between the two. [-]
    smallest_jacobian : float
        Smallest Jacobian of a cell over that of the same cell with straight edges. [-]
    n_straightened : int
        Curved cells that had to be straightened.
    """

    n_cells: int
    n_nodes: int
    n_unknowns: int
    volumes: dict[str, float]
    solid_volumes: dict[str, float]
    volume_error: float
    smallest_jacobian: float
    n_straightened: int


@dataclass(frozen=True)
class PartMesh:
    """A part's mesh with its names.

    Parameters
    ----------
    mesh : MeshTet1 or MeshTet2
        Regions in `mesh.subdomains`; named surfaces, and interfaces "a|b", in
        `mesh.boundaries`.
    part : Part
        The part it was made from.
    piece_of : dict of str to str
        Piece that each region belongs to.
    size : float
        Element size away from refined zones. [mm]
    report : MeshReport
        Figures of the mesh.
    """

    mesh: MeshTet1
    part: Part
    piece_of: dict[str, str]
    size: float
    report: MeshReport


def mesh_part(
    part: Part,
    size: float | None = None,
    order: int = 2,
    refinement: float = 1.0,
    wanted: Sequence[SizeField] = (),
) -> PartMesh:
    """Mesh a part.

    Parameters
    ----------
    part : Part
        What to mesh.
    size : float or None
        Element size away from refined zones; None: from the part's smallest feature. [mm]
    order : int
        2: ten-node tetrahedra with curved sides. 1: straight ones.
    refinement : float
        Divides all sizes. [-]
    wanted : sequence of SizeField
        Smaller sizes wanted in places of older meshes of this part; not divided.

    Returns
    -------
    mesh : PartMesh
        The mesh, its names and its figures.

    Raises
    ------
    ValueError
        If a size or the refinement is not above zero, or the order not 1 or 2.
    ModelError
        If pieces overlap, a region or surface is empty, a cell is turned inside out, or a
        region's volume is off by more than 1 %.
    """
    if order not in (1, 2):
        raise ValueError(f"Element order {order} is not available; choose 1 or 2.")
    with session() as gmsh:
        built = fill_stl(gmsh, part) if _is_stl(part) else build(gmsh, part)
        bulk = bulk_size(part, built, size)
        set_sizes(gmsh, part, bulk, refinement, wanted)
        cells = _generate(gmsh, part, built, bulk / refinement, order)
    if _is_stl(part):  # the generator cuts rings and tubes up; a user's face is whole
        faces = smooth_faces(cells.points, cells.triangles, SHARP)
        cells = replace(cells, cad_face=faces)
    count, points = 0, cells.points
    if order == 2:
        points = bent(points, cells.cells, cells.inner)
        points, count = straightened(points, cells.cells, LEAST_JACOBIAN)
    report = _report(part, built, replace(cells, points=points), count)
    # faces are told by the nodes that lie on them, before any edge was straightened
    curved = to_skfem(cells.points, cells.cells)
    names = named_surfaces(curved, part.surfaces, 1e-6 * built.diagonal, cells)
    names |= interfaces(curved, cells.regions, part)
    mesh = curved if points is cells.points else to_skfem(points, cells.cells)
    mesh = mesh.with_subdomains(cells.regions).with_boundaries(names)
    piece_of = {region: piece.name for piece in part.pieces for region in piece.regions}
    return PartMesh(mesh, part, piece_of, bulk / refinement, report)


def _is_stl(part: Part) -> bool:
    return any(
        isinstance(piece.solid, Imported) and piece.solid.path.lower().endswith(".stl")
        for piece in part.pieces
    )


def _generate(gmsh: ModuleType, part: Part, built: Built, bulk: float, order: int) -> Cells:
    """Mesh the open session and read the result."""
    # in a thin layer HXT polishes for 20 times as long as the classic Delaunay, for nothing;
    # elsewhere it is 2 to 3 times as fast
    thin = built.thinnest < THIN * bulk
    trouble = ""
    for algorithm in (_DELAUNAY, _HXT) if thin else (_HXT, _DELAUNAY):
        trouble = _fill(gmsh, algorithm)
        if not trouble:
            break
    if trouble:
        raise ModelError(
            f"Part '{part.name}' could not be meshed: {trouble}. Try a smaller element size, or "
            "look for very thin walls and slivers in the geometry."
        )
    if order == 2:
        gmsh.model.mesh.setOrder(2)
    return read_cells(gmsh, built.volumes, order)


def _fill(gmsh: ModuleType, algorithm: int) -> str:
    """Mesh with one algorithm; give what went wrong, empty if nothing."""
    gmsh.option.setNumber("Mesh.Algorithm3D", algorithm)
    gmsh.model.mesh.clear(gmsh.model.getEntities(3))  # faces stay: STL ones cannot be redone
    try:
        gmsh.model.mesh.generate(3)
    except Exception as error:  # the generator raises bare Exception
        return str(error)
    cells = gmsh.model.mesh.getElementsByType(4)[0]
    if not cells.size:
        return "no cells were made"
    worst = float(gmsh.model.mesh.getElementQualities(cells, "gamma").min())
    return "" if worst > LEAST_SHAPE else f"a cell without volume (shape {worst:.2g})"


def _report(part: Part, built: Built, cells: Cells, count: int) -> MeshReport:
    """Measure the mesh; refuse one that is not the part."""
    smallest = float(scaled_jacobians(cells.points, cells.cells).min())
    volume = cell_volumes(cells.points, cells.cells)
    if smallest <= 0 or volume.min() <= 0:
        raise ModelError(
            f"Part '{part.name}': a cell is turned inside out (scaled Jacobian {smallest:g}, "
            f"smallest volume {volume.min():g} mm3); use a smaller element size."
        )
    volumes = {region: float(volume[own].sum()) for region, own in cells.regions.items()}
    errors = {
        region: abs(volumes[region] / solid - 1) for region, solid in built.solid_volume.items()
    }
    worst = max(errors, key=lambda region: errors[region])
    if errors[worst] > VOLUME_ERROR:
        raise ModelError(
            f"Region '{worst}' of part '{part.name}' has {volumes[worst]:g} mm3 of cells for "
            f"{built.solid_volume[worst]:g} mm3 of solid, {100 * errors[worst]:.2g} % off; at most "
            f"{100 * VOLUME_ERROR:g} % is allowed. Use a smaller element size."
        )
    n_nodes = cells.points.shape[1]
    return MeshReport(
        cells.cells.shape[1], n_nodes, 3 * n_nodes, volumes, dict(built.solid_volume),
        errors[worst], smallest, count,
    )  # fmt: skip
