"""How often the stick is used: a year's contacts from the user's steps."""

from __future__ import annotations

from dataclasses import dataclass

from orthofem.errors import check_between

MOST_STEPS = 100_000.0
DEFAULT_STEPS = 5500.0
WALKING = ("light_walking", "everyday_walking", "heavy_support")
STEPS_SOURCE = (
    "about 5500 steps a day, a million contacts a year (E), inside 2000 to 9000 steps a day of "
    "healthy older adults and 1200 to 8800 with disability or chronic illness (P: Tudor-Locke et "
    "al. 2009, 2011, Int. J. Behav. Nutr. Phys. Act. 6:59; 8:80)"
)


@dataclass(frozen=True)
class Use:
    """How much a stick is walked with, and for how long it is wanted to last.

    Parameters
    ----------
    steps_per_day : float
        Steps of the person; the stick is put down at every second one. [1/day]
    days_per_year : float
        Days on which the stick is taken along. [day/year]
    share : float
        Share of the steps of such a day that are walked with the stick, above 0 to 1. [-]
    years : float
        Wanted life. [year]
    cases : tuple of str
        Load cases that come back with every contact. Each is judged as if every contact were
        of its kind.

    Raises
    ------
    ValueError
        If a number is out of range, or no case is named.

    Examples
    --------
    >>> round(Use().contacts_per_year / 1e6, 2)
    1.0
    """

    steps_per_day: float = DEFAULT_STEPS
    days_per_year: float = 365.0
    share: float = 1.0
    years: float = 1.0
    cases: tuple[str, ...] = WALKING

    def __post_init__(self):
        check_between("steps_per_day", self.steps_per_day, 1.0, MOST_STEPS, "1/day")
        check_between("days_per_year", self.days_per_year, 1.0, 366.0, "days")
        check_between("share of the steps", self.share, 1e-3, 1.0)
        check_between("years of use", self.years, 0.01, 100.0, "years")
        if isinstance(self.cases, str) or not self.cases:
            raise ValueError(
                f"cases = {self.cases!r}; give a tuple of the load cases that come back with "
                f"every contact, for example {WALKING[1:2]}."
            )

    @property
    def contacts_per_year(self) -> float:
        """Times a year that the stick is put down: half of the steps. [1/year]."""
        return 0.5 * self.steps_per_day * self.days_per_year * self.share

    @property
    def contacts(self) -> float:
        """Contacts in the wanted life. [-]."""
        return self.contacts_per_year * self.years

    @property
    def source(self) -> str:
        """Where the number of steps comes from."""
        if self.steps_per_day == DEFAULT_STEPS and self.days_per_year == 365.0:
            return STEPS_SOURCE
        return "steps and days as given in the study"
