"""Interfaces in contact laid flat, and bonded against contact, as the figures want them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from orthofem import figures
from orthofem.mesh.section import section_frame
from orthofem.solve.contact import ContactSolution, ZoneState
from orthofem.study import Answer, StudyResult, Worst, file_stem

FLAT = 0.98
"""Length of the mean normal above which an interface counts as flat. [-]"""


def contact_pictures(
    result: StudyResult, cases: tuple[str, ...]
) -> Iterator[tuple[str, str, object]]:
    """File stem, key of the figure and its data, for all options whose pieces touch."""
    touching = {name: a[-1] for name, a in result.answers.items() if a[-1].contact is not None}
    if not touching:
        return
    yield "bonded_contact", "bonded_contact", bonded_contact(touching)
    for name, answer in touching.items():
        for case in cases:
            worst = answer.case(case)
            for zone in contact_of(answer).zones.values():
                stem = f"{file_stem(name)}_{case}_on_{file_stem(zone.name)}"
                yield stem, "contact_interface", contact_picture(answer, worst, zone)


def bonded_contact(answers: dict[str, Answer]) -> figures.BondedContact:
    """Reserve factors of options, their pieces bonded and in contact."""
    first = next(iter(answers.values()))
    both = [
        [[(a.contact.bonded_case(w.loading.name).reserve, w.reserve) for w in a.worst]]
        for a in answers.values()
        if a.contact is not None
    ]
    bonded, contact = np.moveaxis(np.concatenate(both), -1, 0)
    titles = tuple(worst.loading.title for worst in first.worst)
    return figures.BondedContact(tuple(answers), titles, bonded, contact)


def contact_of(answer: Answer) -> ContactSolution:
    """What was solved on the interfaces."""
    return answer.responses.contact  # type: ignore[attr-defined]


def contact_picture(answer: Answer, worst: Worst, zone: ZoneState) -> figures.ContactPicture:
    """Pressure and opening of one interface under the governing variant of a load case."""
    column = int(np.argmax(worst.shares))
    areas = zone.faces.areas
    pressure, opening = zone.pressure[..., column], zone.opening[..., column]
    points = answer.model.space.nodes[:, zone.faces.first[:3]]
    corners, axes, alike = laid_flat(points, zone.faces.normals, areas)
    words = (
        f"means over faces; closed: {100 * zone.closed_share[column]:.0f} % of the area; largest "
        f"at one point: {pressure.max():.3g} MPa, {opening.max():.2g} mm"
    )
    pressed, parted = (
        np.maximum((field * areas).sum(axis=1) / areas.sum(axis=1), 0.0)
        for field in (pressure, opening)
    )
    return figures.ContactPicture(
        f"{answer.option.name}: {worst.loading.title}, {zone.name}", corners, pressed, parted,
        axes, alike, words,
    )  # fmt: skip


def laid_flat(
    points: np.ndarray, normals: np.ndarray, areas: np.ndarray
) -> tuple[np.ndarray, tuple[str, str], bool]:
    """Corners of faces on the paper: seen from the front if flat, else rolled out about x.

    Parameters
    ----------
    points : ndarray of shape (3, 3, n)
        Corners of each face, their number second. [mm]
    normals : ndarray of shape (3, n, n_quad)
    areas : ndarray of shape (n, n_quad)
        [mm2]

    Returns
    -------
    corners : ndarray of shape (2, n, 3)
        [mm] or degrees
    axes : tuple of two str
    alike : bool
        Whether both are lengths.
    """
    corners = points.swapaxes(1, 2)
    mean = (normals * areas).sum(axis=(1, 2)) / areas.sum()
    if np.linalg.norm(mean) > FLAT:
        frame = section_frame(mean / np.linalg.norm(mean))
        flat = np.einsum("ca,cnk->ank", frame[:, :2], corners)
        return flat, (_direction(frame[:, 0]), _direction(frame[:, 1])), True
    centre = np.median(corners.reshape(3, -1), axis=1)
    angle = np.degrees(np.arctan2(corners[2] - centre[2], corners[1] - centre[1]))
    arms = corners[1:].mean(axis=2) - centre[1:, None]
    middle = np.degrees(np.arctan2(arms[1], arms[0]))[:, None]
    angle -= 360.0 * np.round((angle - middle) / 360.0)  # a face across the seam stays whole
    rolled = np.stack([corners[0], angle])
    return rolled, ("along x [mm]", "round the axis, from y to z [degrees]"), False


def _direction(way: np.ndarray) -> str:
    axis = int(np.abs(way).argmax())
    if abs(way[axis]) < 0.999:
        return "along the face [mm]"
    return f"{'-' if way[axis] < 0 else ''}{'xyz'[axis]} [mm]"
