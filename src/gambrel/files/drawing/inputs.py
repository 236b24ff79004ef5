"""What the pictures are drawn from: names, estimates and dates, whatever step they came from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from gambrel.measures.estimate import Estimate


@dataclass(frozen=True, slots=True)
class Region:
    """One region of a side: weight and, if known, what a kilogram of it brings."""

    slug: str
    name: str
    kg: Estimate
    cents_per_kg: float | None = None


@dataclass(frozen=True, slots=True)
class SideCutout:
    """A side on the rail with the weight of its regions. `hand` is left or right, as the animal stood.

    Region slugs that are drawn: hindshank, round, sirloin, short-loin (or loin for both), rib, hump, chuck,
    flank, kidney-fat, plate, brisket, foreshank (or shank for both). Others are listed below the drawing.
    """

    title: str
    species: str
    rib_pairs: int
    ribbed_between: tuple[int, int]
    hung_kg: Estimate
    regions: tuple[Region, ...]
    hand: str = "left"
    note: str = ""

    def share(self, region: Region) -> float:
        """Share of the hung side, mean over mean, 0 to 1."""
        return region.kg.mean / self.hung_kg.mean


@dataclass(frozen=True, slots=True)
class PieceInterval:
    """One piece of the forecast, in the group (primal) it is listed under."""

    group: str
    name: str
    kg: Estimate


@dataclass(frozen=True, slots=True)
class HangingSide:
    """A side on the rail: its ready window and, where the plan says one, its cutting day."""

    side: str
    kind: str
    hung_kg: Estimate
    earliest: date
    target: date
    latest: date
    cut_on: date | None = None


@dataclass(frozen=True, slots=True)
class RailDay:
    """Metres of rail in use and metres there are."""

    day: date
    used_m: float
    capacity_m: float


@dataclass(frozen=True, slots=True)
class WorkDay:
    """Minutes of one sort of work (knife, saw, packer) planned and available."""

    day: date
    work: str
    used_min: float
    available_min: float


@dataclass(frozen=True, slots=True)
class WeekPlan:
    """The calendar: `days` are the columns, in order; `today` is where the bars begin."""

    title: str
    today: date
    days: tuple[date, ...]
    sides: tuple[HangingSide, ...]
    rail: tuple[RailDay, ...] = ()
    work: tuple[WorkDay, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class YieldSplit:
    """What becomes of a hung side, as shares that add to 1."""

    cuts_share: float
    ground_share: float
    fat_share: float
    bone_share: float
    loss_share: float


@dataclass(frozen=True, slots=True)
class KindFace:
    """One kind beside the others: rib face, side weight, days on the rail, yield and price range."""

    name: str
    ribeye_cm2: Estimate
    fat_mm: Estimate
    side_kg: Estimate
    hang_days: tuple[int, int, int]
    split: YieldSplit
    marbling_pct: float | None = None
    low_cents_per_kg: float | None = None
    high_cents_per_kg: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class RailPoint:
    """Weight on one day after the kill."""

    days: float
    kg: Estimate


@dataclass(frozen=True, slots=True)
class Weighing:
    """What the scale said on one day after the kill."""

    days: float
    kg: float


@dataclass(frozen=True, slots=True)
class RailCurve:
    """Weight on the rail day by day, with the weighings so far and the ready window in days."""

    title: str
    points: tuple[RailPoint, ...]
    weighings: tuple[Weighing, ...] = ()
    window_days: tuple[int, int, int] | None = None
    today_days: float | None = None
    note: str = ""
