"""Studies in; the cases that answer them out, each with its key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from orthofem.errors import ModelError

from ..chain import Study
from .case import Case, case_of
from .key import case_key


@dataclass(frozen=True)
class Planned:
    """A case with its key and who asks for it.

    Parameters
    ----------
    study, option : str
        Label of the study, name of the option.
    key : str
        Content key.
    case : Case
    """

    study: str
    option: str
    key: str
    case: Case

    @property
    def title(self) -> str:
        """What people call it."""
        return f"{self.study}: {self.option}"


def plan(
    studies: Mapping[str, Study], method: str = "auto"
) -> tuple[list[Planned], dict[tuple[str, str], str]]:
    """Cases of all studies in order.

    Parameters
    ----------
    studies : mapping of str to Study
        By label.
    method : str, optional
        Linear solver.

    Returns
    -------
    planned : list of Planned
        Two of them may share a key; the case is then computed once.
    refused : dict of (study, option) to str
        Options that cannot even be described, with the reason.
    """
    planned, refused = [], {}
    for label, study in studies.items():
        for option in study.options:
            try:
                case = case_of(study, option, method)
                planned.append(Planned(label, option.name, case_key(case), case))
            except (ModelError, ValueError) as error:
                refused[label, option.name] = str(error)
    return planned, refused
