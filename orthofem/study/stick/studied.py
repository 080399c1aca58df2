"""The whole stick round an option of a study: its window's answer at every joint."""

from __future__ import annotations

from orthofem.errors import ModelError
from orthofem.parts import Shaft

from ..evaluate import Answer
from ..option import Option, Print
from ..section import end_pieces
from ..setting import StickWindow
from .piece import StickPiece, cut_shaft
from .result import StickResult
from .whole import WholeStick, whole_stick
from .window import DetailWindow
from .window_answer import WindowAnswer

PLAIN_STATIONS = 12
"""Stretches of the stick between plain stations; where loads enter it is read too."""
_ENDS = ("lower", "upper")


def studied_stick(answer: Answer, setting: StickWindow, outline: Shaft) -> StickResult:
    """Put an option's answer at every joint of the stick and find the weakest link.

    Parameters
    ----------
    answer : Answer
        Of the option's window, its pieces bonded.
    setting : StickWindow
    outline : Shaft
        Of the whole stick: a taper runs over its length, a waist's position is its station.

    Raises
    ------
    ModelError
        If the option is no joint between a lower and an upper piece, one of its pieces runs on
        through the stick or has bands, the stick has no joint where it is looked at, or its
        pieces touch: the reason is told.
    ValueError
        If its pieces differ at the two ends of a piece between two joints.
    """
    name = answer.option.name
    if answer.contact is not None:
        raise ModelError(
            f"'{name}' has pieces in contact: its answer stands for its own loads only."
        )
    ends = end_pieces(answer.part_mesh, (setting.opposite, setting.loaded))
    beyond = sorted(ends - set(_ENDS))
    if beyond:
        raise ModelError(
            f"'{name}': {' and '.join(beyond)} reach{'' if beyond[1:] else 'es'} on beyond "
            "the window, and nothing says how far; only the pieces 'lower' and 'upper' may."
        )
    banded = [p.name for p in answer.option.part.pieces if p.name in _ENDS and p.splits]
    if banded:
        raise ModelError(
            f"'{name}': {' and '.join(banded)} has bands; between joints a piece has one print."
        )
    stick = setting.stick
    if setting.stations is not None and not set(setting.stations) <= set(stick.joints):
        raise ModelError(
            f"The joint of '{name}' is looked at where the stick has none: stations "
            f"{setting.stations}, joints {tuple(stick.joints)}. Give the stick those joints."
        )
    edges = [0.0, *sorted(stick.joints), stick.length]
    pieces = [
        _piece(answer.option, outline, stick.length, (low, high), k, len(edges) - 2)
        for k, (low, high) in enumerate(zip(edges[:-1], edges[1:], strict=True))
    ]
    seen = WindowAnswer.of(answer, setting.opposite, setting.loaded)
    windows = [
        DetailWindow(x, seen, setting.centre, name=f"joint {k}")
        for k, x in enumerate(edges[1:-1], start=1)
    ]
    return whole_stick(
        WholeStick(
            setting.person, stick, pieces, windows, setting.cases, criteria=answer.criteria,
            step=stick.length / PLAIN_STATIONS,
        )
    )  # fmt: skip


def _piece(
    option: Option, outline: Shaft, length: float, span: tuple[float, float], k: int, last: int
) -> StickPiece:
    """One piece of the stick, printed as the window's pieces that it continues."""
    like = [name for name, is_it in (("upper", k > 0), ("lower", k < last)) if is_it] or ["lower"]
    skins = [_print(option, name, "wall" if outline.walls else "") for name in like]
    cores = [_print(option, name, "core") for name in like] if outline.walls else [None]
    for prints in (skins, cores):
        if any(_unlike(prints[0], other) for other in prints[1:]):
            raise ValueError(
                f"A piece between two joints continues both 'upper' and 'lower' of "
                f"'{option.name}', which are printed differently; give both the same print."
            )
    return StickPiece(*span, cut_shaft(outline, length, *span), skins[0], cores[0])


def _unlike(one: Print | None, other: Print | None) -> bool:
    """Whether two prints differ in what decides stress or strength."""
    if one is None or other is None:
        return one is not other
    decides = [(p.frame, p.loaded.constants, p.loaded.strengths) for p in (one, other)]
    return decides[0] != decides[1]


def _print(option: Option, piece: str, layer: str) -> Print:
    return option.print_of(f"{piece}.{layer}" if layer else piece, piece)
