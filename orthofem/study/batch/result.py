"""What a batch found: studies rebuilt from stored cases, and how each case went."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..chain import Study, StudyResult
from .plan import Planned
from .stored import stored_answers, stored_lasting, stored_print, stored_reached


@dataclass(frozen=True)
class BatchResult:
    """What a batch found.

    Parameters
    ----------
    studies : mapping of str to Study
        By label.
    planned : tuple of Planned
        All cases, in order.
    records : dict of str to dict
        Stored record by key, of those cases that ended, well or badly.
    refused : dict of (study, option) to str
        Options that could not be described.
    computed : tuple of str
        Keys computed in this run, failed ones included; the others come from the store.
    stopped : bool
        Whether the batch was told to stop before its end.
    seconds : float
        Time of this run. [s]
    """

    studies: Mapping[str, Study]
    planned: tuple[Planned, ...]
    records: dict[str, dict]
    refused: dict[tuple[str, str], str] = field(default_factory=dict)
    computed: tuple[str, ...] = ()
    stopped: bool = False
    seconds: float = 0.0

    @property
    def done(self) -> list[Planned]:
        """Cases with an answer."""
        return [item for item in self.planned if self._status(item) == "done"]

    @property
    def missing(self) -> list[Planned]:
        """Cases that were not reached."""
        return [item for item in self.planned if item.key not in self.records]

    @property
    def failed(self) -> dict[tuple[str, str], str]:
        """Reasons by study and option of all cases without an answer that were tried."""
        tried = {
            (item.study, item.option): self.records[item.key]["error"]
            for item in self.planned
            if self._status(item) == "failed"
        }
        return {**self.refused, **tried}

    @property
    def results(self) -> dict[str, StudyResult]:
        """Results by study label, of studies with at least one answer.

        Their answers hold rows and mesh figures, but no fields to draw.
        """
        found = {}
        for label, study in self.studies.items():
            own = [item for item in self.done if item.study == label]
            if own:
                found[label] = StudyResult(
                    study,
                    {item.option: self._answers(item, study) for item in own},
                    {name: why for (at, name), why in self.failed.items() if at == label},
                    {item.option: self.records[item.key].get("took", 0.0) for item in own},
                    lasting={
                        item.option: stored_lasting(self.records[item.key]["result"])
                        for item in own
                    },
                    reached={
                        item.option: reached
                        for item in own
                        if (reached := stored_reached(self.records[item.key]["result"]))
                    },
                    printing={
                        item.option: costs
                        for item in own
                        if (costs := self._print(item, study)) is not None
                    },
                )
        return found

    def _status(self, item: Planned) -> str:
        return self.records.get(item.key, {}).get("status", "")

    def _print(self, item: Planned, study: Study):
        return stored_print(self.records[item.key]["result"], item.option, study.printer)

    def _answers(self, item: Planned, study: Study):
        return stored_answers(self.records[item.key]["result"], study.setting)
