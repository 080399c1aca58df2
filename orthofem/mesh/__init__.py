"""A `Part` in; tetrahedra with named regions and surfaces, checked against the solid, out."""

from orthofem.mesh.bed import PrintCosts, cheaper_way, print_costs, skin_costs
from orthofem.mesh.curved import Skin, fine_skin, flat_skin
from orthofem.mesh.filaments import fewest_changes, filaments_in_layers
from orthofem.mesh.file_report import FileReport, check_file
from orthofem.mesh.fit import BedFit, bed_fit, best_way_up
from orthofem.mesh.generate import MeshReport, PartMesh, mesh_part
from orthofem.mesh.hemisphere import hemisphere
from orthofem.mesh.section import Section, plane_section
from orthofem.mesh.size_field import SizeField, sizes_by_cell
from orthofem.mesh.split import side_name, split, split_mesh
from orthofem.mesh.surface import Triangles, boundary_triangles
from orthofem.mesh.vtu import write_vtu

__all__ = [
    "BedFit",
    "FileReport",
    "MeshReport",
    "PartMesh",
    "PrintCosts",
    "Section",
    "Skin",
    "SizeField",
    "Triangles",
    "bed_fit",
    "best_way_up",
    "boundary_triangles",
    "cheaper_way",
    "check_file",
    "fewest_changes",
    "filaments_in_layers",
    "fine_skin",
    "flat_skin",
    "hemisphere",
    "mesh_part",
    "plane_section",
    "print_costs",
    "side_name",
    "sizes_by_cell",
    "skin_costs",
    "split",
    "split_mesh",
    "write_vtu",
]
