"""A part's pieces, bands and cores as one conformal set of volumes, each with its region."""

from __future__ import annotations

from dataclasses import dataclass
from types import ModuleType

import numpy as np

from orthofem.errors import ModelError
from orthofem.mesh.shapes import DimTags, plane_face, shape
from orthofem.parts import Part, Piece


@dataclass(frozen=True)
class Built:
    """Volumes in the open session.

    Parameters
    ----------
    volumes : dict of str to list of int
        Volume tags by region.
    solid_volume : dict of str to float
        Volume of each region's solid. [mm3]
    area : float
        Outer and inner surface of all volumes. [mm2]
    diagonal : float
        Length of the diagonal of the box round the part. [mm]
    """

    volumes: dict[str, list[int]]
    solid_volume: dict[str, float]
    area: float
    thinnest: float
    diagonal: float


def build(gmsh: ModuleType, part: Part) -> Built:
    """Build all pieces so that touching regions share their faces.

    Raises
    ------
    ModelError
        If two pieces overlap, or a region has no volume.
    """
    tagged = [_build_piece(gmsh, piece) for piece in part.pieces]
    flat = [(region, volume) for regions in tagged for region, volume in regions]
    volumes = _conformal(gmsh, flat, part)
    missing = [region for region in part.regions if not volumes.get(region)]
    if missing:
        raise ModelError(
            f"No volume is left for region {', '.join(missing)} of part '{part.name}'; regions "
            f"with volume: {', '.join(name for name in part.regions if volumes.get(name))}. "
            "Does a layer plane or a core miss the solid?"
        )
    return _measured(gmsh, {region: volumes[region] for region in part.regions})


def _build_piece(gmsh: ModuleType, piece: Piece) -> list[tuple[str, int]]:
    """Volumes of a piece with their regions, its bands and core cut out."""
    volumes = _split(gmsh, shape(gmsh, piece.solid), piece)
    if piece.core is None:
        return [(_band(gmsh, tag, piece), tag) for _, tag in volumes]
    core = shape(gmsh, piece.core)
    _, found = gmsh.model.occ.fragment(volumes, core)
    inside = {tag for entities in found[len(volumes) :] for _, tag in entities}
    own = {tag for entities in found[: len(volumes)] for _, tag in entities}
    stray = [(3, tag) for tag in inside - own]
    gmsh.model.occ.remove(stray, recursive=True)
    return [
        (_band(gmsh, tag, piece) + (".core" if tag in inside else ".wall"), tag)
        for tag in sorted(own)
    ]


def _split(gmsh: ModuleType, volumes: DimTags, piece: Piece) -> DimTags:
    """Cut volumes at the piece's layer planes."""
    if not piece.splits:
        return volumes
    planes = [face for plane in piece.splits for face in plane_face(gmsh, plane)]
    made, _ = gmsh.model.occ.fragment(volumes, planes)
    kept = [entity for entity in made if entity[0] == 3]
    _remove_loose_faces(gmsh, [entity for entity in made if entity[0] == 2], kept)
    return kept


def _remove_loose_faces(gmsh: ModuleType, faces: DimTags, volumes: DimTags) -> None:
    """Remove what sticks out of the volumes of the planes that cut them."""
    occ = gmsh.model.occ
    skin = {int(tag) for _, volume in volumes for loop in occ.getSurfaceLoops(volume)[1]
            for tag in loop}  # fmt: skip
    occ.remove([face for face in faces if face[1] not in skin], recursive=True)


def _band(gmsh: ModuleType, volume: int, piece: Piece) -> str:
    """Region of a volume that lies between two of the piece's layer planes."""
    if not piece.splits:
        return piece.name
    centre = np.array(gmsh.model.occ.getCenterOfMass(3, volume))
    normal = np.array(piece.splits[0].normal, float)
    levels = [np.dot(plane.point, normal) for plane in piece.splits]
    return f"{piece.name}.{piece.band_names[int(np.searchsorted(levels, centre @ normal))]}"


def _conformal(gmsh: ModuleType, tagged: list[tuple[str, int]], part: Part) -> dict[str, list[int]]:
    """Make touching volumes share faces; follow each one's region through."""
    occ = gmsh.model.occ
    if len(tagged) > 1:
        entities = [(3, tag) for _, tag in tagged]
        _, found = occ.fragment(entities[:1], entities[1:])
    else:
        found = [[(3, tagged[0][1])]]
    owner: dict[int, str] = {}
    volumes: dict[str, list[int]] = {}
    for (region, _), entities in zip(tagged, found, strict=True):
        for dim, tag in entities:
            if dim != 3:
                continue
            if tag in owner:
                raise ModelError(
                    f"Regions '{owner[tag]}' and '{region}' of part '{part.name}' overlap by "
                    f"{occ.getMass(3, tag):g} mm3; pieces may touch but not overlap."
                )
            owner[tag] = region
            volumes.setdefault(region, []).append(tag)
    occ.synchronize()
    return volumes


def _measured(gmsh: ModuleType, volumes: dict[str, list[int]]) -> Built:
    occ = gmsh.model.occ

    def area(entities: DimTags) -> float:
        skin = gmsh.model.getBoundary(entities, combined=True, oriented=False)
        return sum(occ.getMass(2, tag) for _, tag in skin)

    mass = {tag: occ.getMass(3, tag) for tags in volumes.values() for tag in tags}
    box = np.array(gmsh.model.getBoundingBox(-1, -1)).reshape(2, 3)
    return Built(
        volumes,
        {region: sum(mass[tag] for tag in tags) for region, tags in volumes.items()},
        area(gmsh.model.getEntities(3)),
        min(2 * volume / area([(3, tag)]) for tag, volume in mass.items()),
        float(np.linalg.norm(box[1] - box[0])),
    )
