"""How an option says that pieces touch, are glued or bonded: checked when it is made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from orthofem.errors import unknown
from orthofem.materials import BorderStrengths
from orthofem.solve.contact import LAWS, Glued, Law

from .border import Border

GLUE = "strengths given with the interface"


def check_interfaces(
    option: str, pieces: Iterable[str], interfaces: Mapping[str, Law], borders: Mapping
) -> None:
    """Refuse laws on interfaces that the part cannot have.

    Parameters
    ----------
    option : str
        Name of the option, for the message.
    pieces : iterable of str
        Names of the part's pieces.
    interfaces : mapping of str to Law
        By "a|b" of two pieces.
    borders : mapping of str to Border or what makes one
        Of the same option: what can come apart has no bond.

    Raises
    ------
    ValueError
        If a name is not that of two pieces, an entry is no law, two entries name the same pieces,
        or a border lies where pieces touch.
    """
    known = list(pieces)
    told: dict[frozenset[str], str] = {}
    for name, law in interfaces.items():
        sides = name.split("|")
        if len(sides) != 2 or sides[0] == sides[1]:
            raise ValueError(
                f"Interface '{name}' of option '{option}' does not name two pieces that meet; "
                f"write 'a|b', of: {', '.join(known)}."
            )
        for side in sides:
            if side not in known:
                raise ValueError(unknown(f"side of interface '{name}'", side, known))
        if not isinstance(law, Law):
            kinds = ", ".join(f"{kind.__name__}(...)" for kind in LAWS.values())
            raise ValueError(
                f"Interface '{name}' of option '{option}' is {law!r}; give one of: {kinds}."
            )
        pair = frozenset(sides)
        if pair in told:
            raise ValueError(
                f"Interfaces '{told[pair]}' and '{name}' of option '{option}' are one and the "
                "same; give it one law."
            )
        told[pair] = name
    for name, border in borders.items():
        pair = frozenset((getattr(border, "interface", None) or name).split("|"))
        if pair in told and (law := interfaces[told[pair]]).splits:
            raise ValueError(
                f"Border '{name}' of option '{option}' bonds pieces that interface '{told[pair]}' "
                f"lets come apart ({type(law).__name__}); keep one of the two."
            )


def glued_borders(interfaces: Mapping[str, Law]) -> dict[str, Border]:
    """Borders that the glued interfaces are judged by."""
    return {
        name: Border(strengths=BorderStrengths(law.tension, law.shear, GLUE, "E"), interface=name)
        for name, law in interfaces.items()
        if isinstance(law, Glued)
    }
