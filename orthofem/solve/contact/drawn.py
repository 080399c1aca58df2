"""Whether tightening a thread presses anything together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from orthofem.errors import ModelError

from ..space import ElementSpace
from ..supports import connected_bodies
from .zones import Zone

CLOSES = 0.1
"""Share of a thread's travel by which a point must close to count as in its way. [-]"""


def check_pressed(space: ElementSpace, zones: Sequence[Zone]) -> None:
    """Refuse a tightened thread that draws its pieces together with nothing in between.

    Raises
    ------
    ModelError
        If no point of any interface closes while the thread travels.
    """
    if not any(zone.pull for zone in zones):
        return
    body = np.empty(space.nodes.shape[1], dtype=int)
    for number, nodes in enumerate(connected_bodies(space)):
        body[nodes] = number
    for zone in zones:
        if not zone.pull:
            continue
        first, second = (body[nodes[0]] for nodes in zone.tied)
        field = np.zeros((len(body), 3))
        field[np.isin(body, _moving(body, zones, zone, second))] = zone.pull * zone.axis
        # a piece that hangs together round the thread is strained by it, whatever else touches
        if first != second and not any(_closes(other, field, zone.pull) for other in zones):
            raise ModelError(
                f"Tightening '{zone.name}' draws its pieces together by {abs(zone.pull):g} mm and "
                "presses nothing: no face across its axis touches within that. Let the faces that "
                'it should press touch (shoulder="bonded" in a joint), give them Contact(), or '
                "leave pull out."
            )


def _moving(body: np.ndarray, zones: Sequence[Zone], drawn: Zone, first: int) -> list[int]:
    """Bodies that move along with one: those that other threads tie to it along the axis."""
    moving = [first]
    ties = [{int(body[n[0]]) for n in zone.tied} for zone in zones if zone.tied.size]
    ties.remove({int(body[n[0]]) for n in drawn.tied})
    for one in moving:  # grows while it is walked
        for tie in ties:
            if one in tie:
                moving += [other for other in tie if other not in moving]
    return moving


def _closes(zone: Zone, field: np.ndarray, pull: float) -> bool:
    change = zone.press @ field.ravel()
    closing = change < -CLOSES * abs(pull)
    return bool((closing & (change + zone.clearance < 0)).any())
