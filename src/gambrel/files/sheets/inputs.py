"""What the sheets are made from: a head, the pictures' values, and lines of work and of prices."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from gambrel.files.drawing.inputs import KindFace, PieceInterval, RailCurve, SideCutout, WeekPlan
from gambrel.measures.estimate import Estimate


@dataclass(frozen=True, slots=True)
class Head:
    """Whose sheet it is, what it is called, and the day it was made (given, never read from a clock).

    `edition` says at the foot of every page by which yields a forecast on it was made, or which list its prices are;
    "" where there is none.
    """

    shop: str
    title: str
    made_on: date
    edition: str = ""


@dataclass(frozen=True, slots=True)
class CutPiece:
    """What one side gives of one piece."""

    name: str
    use: str
    kg: Estimate


@dataclass(frozen=True, slots=True)
class CutJob:
    """One side on its cutting day: the way each piece is broken, what comes out, minutes by sort of work."""

    day: date
    side: str
    kind: str
    hung_kg: Estimate
    ways: tuple[tuple[str, str], ...]
    pieces: tuple[CutPiece, ...]
    work_min: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class PlanSheet:
    """The calendar and the cut list of each day. `facts` are pairs such as ("profit", "$4,812.00")."""

    head: Head
    week: WeekPlan
    jobs: tuple[CutJob, ...]
    facts: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ForecastSheet:
    """One side: its drawing, pieces with intervals, totals, what is known of it, its weight on the rail."""

    head: Head
    cutout: SideCutout
    pieces: tuple[PieceInterval, ...]
    totals: tuple[tuple[str, Estimate], ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    curve: RailCurve | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ListedPrice:
    """One product: its price, and for the owner its cost and the weight there will be."""

    group: str
    name: str
    cents_per_kg: float
    cost_cents_per_kg: float | None = None
    expected_kg: float | None = None
    note: str = ""

    @property
    def margin_share(self) -> float | None:
        """Share of the price that is left after the cost; None without a cost or a price."""
        if self.cost_cents_per_kg is None or self.cents_per_kg <= 0:
            return None
        return 1.0 - self.cost_cents_per_kg / self.cents_per_kg


@dataclass(frozen=True, slots=True)
class PriceListSheet:
    """The price list; the board shows names, notes and prices only."""

    head: Head
    lines: tuple[ListedPrice, ...]
    facts: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KindsSheet:
    """The kinds beside each other."""

    head: Head
    kinds: tuple[KindFace, ...]
    notes: tuple[str, ...] = ()
