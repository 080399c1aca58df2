"""What the planner found: plans, their parts, what would raise them, what to print in reserve."""

from __future__ import annotations

from dataclasses import dataclass, field

from ..printing import PiecePrint
from ..stick import StationRow, StickResult
from .costs import Cost, total
from .layout import Layout
from .search import Candidate
from .wish import Wish


@dataclass(frozen=True)
class PlanPart:
    """A part of a plan that is printed by itself.

    Parameters
    ----------
    name : str
    span : tuple of float or None
        Both ends along the stick; none for a stud. [mm]
    way : str
        Way up.
    margin : float
        Least reserve over the wanted one; inf where nothing is read in it. [-]
    words : str
        Where and under which load.
    cost : PiecePrint
        What printing one costs, and how many there are.
    """

    name: str
    span: tuple[float, float] | None
    way: str
    margin: float
    words: str
    cost: PiecePrint


@dataclass(frozen=True)
class Remedy:
    """A change that raises a plan's margin: an estimate of the fast models.

    Parameters
    ----------
    words : str
        What to change.
    margin : float
        Of the changed plan. [-]
    gain : float
        Over that of the plan. [-]
    seconds, support : float
        What it adds to printing. [s], [mm3]
    """

    words: str
    margin: float
    gain: float
    seconds: float
    support: float


@dataclass(frozen=True)
class Compared:
    """One joint under one load case by both kinds of model.

    Parameters
    ----------
    station : float
        [mm]
    case, title : str
    fast, detailed : float
        Margins, bowing included. [-]
    uncertainty : float
        Of the detailed reserve from its meshes, relative; NaN with one mesh. [-]
    """

    station: float
    case: str
    title: str
    fast: float
    detailed: float
    uncertainty: float


@dataclass(frozen=True)
class Confirmation:
    """A plan answered by detailed models on several meshes.

    Parameters
    ----------
    stick : StickResult
        The whole stick with the detailed models at its joints.
    rows : tuple of Compared
        Every joint under every case.
    unknowns : tuple of int
        Of the finest mesh of each kind of joint.
    seconds : float
        [s]
    failed : str
        Why it could not be done; empty if it was.
    """

    stick: StickResult | None
    rows: tuple[Compared, ...] = ()
    unknowns: tuple[int, ...] = ()
    seconds: float = 0.0
    failed: str = ""

    @property
    def margin(self) -> float:
        """Least reserve over the wanted one. [-]."""
        return float("nan") if self.stick is None else self.stick.weakest.margin

    @property
    def uncertainty(self) -> float:
        """Of the governing reserve from its meshes; NaN where no mesh says. [-]."""
        if self.stick is None:
            return float("nan")
        worst = self.stick.weakest
        found = [r for r in self.rows if r.station == worst.station and r.case == worst.case]
        return found[0].uncertainty if found else float("nan")

    @property
    def largest_change(self) -> float:
        """Largest difference of a fast margin from the detailed one, relative. [-]."""
        return max((abs(r.fast / r.detailed - 1.0) for r in self.rows), default=float("nan"))


@dataclass(frozen=True)
class Plan:
    """A way to make the stick, judged as a whole.

    Parameters
    ----------
    layout : Layout
    stick : StickResult
        The whole stick with fast models at its joints.
    parts : tuple of PlanPart
        Pieces from tip to handle, then the studs.
    remedies : tuple of Remedy
        Cheapest first.
    bench : tuple of str
        What to test before trusting it.
    confirmed : Confirmation or None
    """

    layout: Layout
    stick: StickResult
    parts: tuple[PlanPart, ...]
    remedies: tuple[Remedy, ...] = ()
    bench: tuple[str, ...] = ()
    confirmed: Confirmation | None = None

    @property
    def known(self) -> StickResult:
        """The whole stick from the detailed models where there are any, else the fast ones."""
        if self.confirmed is not None and self.confirmed.stick is not None:
            return self.confirmed.stick
        return self.stick

    @property
    def weakest(self) -> StationRow:
        """The row that holds the plan back."""
        return self.known.weakest

    @property
    def margin(self) -> float:
        """Least reserve over the wanted one. [-]."""
        return self.weakest.margin

    @property
    def fast_margin(self) -> float:
        """The same from the fast models. [-]."""
        return self.stick.weakest.margin

    @property
    def cost(self) -> Cost:
        """Estimated cost of printing everything."""
        return total(tuple(part.cost for part in self.parts))

    @property
    def mass(self) -> float:
        """Of all printed parts, NaN where a density is not known. [g]."""
        return float(sum(part.cost.count * part.cost.mass for part in self.parts))

    @property
    def spare(self) -> PlanPart:
        """The printed part most likely to go first: the one with the least margin."""
        return min(self.parts, key=lambda part: part.margin)


@dataclass(frozen=True)
class PlanResult:
    """The undominated plans of a wish.

    Parameters
    ----------
    wish : Wish
    plans : tuple of Plan
        Undominated in margin, print time and support, the strongest first.
    looked_at : tuple of Candidate
        All combinations that the search weighed, by the fast models.
    others : tuple of Plan
        Judged as whole sticks too, but beaten by one of the plans, or too like them.
    dropped : dict of str to str
        Layouts that turned out not to work, with the reason.
    seconds, cpu_seconds : float
        What it took. [s]
    models : int
        Coarse window models solved.
    """

    wish: Wish
    plans: tuple[Plan, ...]
    looked_at: tuple[Candidate, ...]
    others: tuple[Plan, ...] = ()
    dropped: dict[str, str] = field(default_factory=dict)
    seconds: float = 0.0
    cpu_seconds: float = 0.0
    models: int = 0

    @property
    def top(self) -> Plan:
        """The strongest plan."""
        return self.plans[0]

    @property
    def spare(self) -> PlanPart:
        """The spare to print with the strongest plan."""
        return self.top.spare
