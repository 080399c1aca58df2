"""A `Part` in; tetrahedra with named regions and surfaces, checked against the solid, out."""

from orthofem.mesh.bed import PrintCosts, cheaper_way, print_costs
from orthofem.mesh.file_report import FileReport, check_file
from orthofem.mesh.generate import MeshReport, PartMesh, mesh_part
from orthofem.mesh.hemisphere import hemisphere
from orthofem.mesh.section import Section, plane_section
from orthofem.mesh.surface import Triangles, boundary_triangles
from orthofem.mesh.vtu import write_vtu

__all__ = [
    "FileReport",
    "MeshReport",
    "PartMesh",
    "PrintCosts",
    "Section",
    "Triangles",
    "boundary_triangles",
    "cheaper_way",
    "check_file",
    "hemisphere",
    "mesh_part",
    "plane_section",
    "print_costs",
    "write_vtu",
]
