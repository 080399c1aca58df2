"""Options and settings with nothing left to look up by name."""

from __future__ import annotations

from dataclasses import replace

from orthofem.errors import pick
from orthofem.loads import LOAD_CASES, LoadCase

from ..option import Option, Print
from ..setting import Setting, StickWindow


def settled_option(option: Option) -> Option:
    """Return the option with every region's material itself."""
    prints = {}
    for piece in option.part.pieces:
        for region in piece.regions:
            printed = option.print_of(region, piece.name)
            prints[region] = Print(printed.loaded, printed.frame)
    borders = {name: border.settled() for name, border in option.joined.items()}
    return replace(option, prints=prints, borders=borders)


def settled_setting(setting: Setting) -> Setting:
    """Return the setting with the load cases themselves."""
    if not isinstance(setting, StickWindow):
        return setting
    cases = tuple(
        case if isinstance(case, LoadCase)
        else pick(LOAD_CASES, case, "load case")(setting.person, setting.stick)
        for case in setting.cases
    )  # fmt: skip
    stations = setting.stick.joints if setting.stations is None else setting.stations
    return replace(setting, cases=cases, stations=tuple(stations))
