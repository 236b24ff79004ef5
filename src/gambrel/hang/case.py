"""The case of `gambrel hang` as values: the side, its weighings, the rail and where the cooler log is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from gambrel.catalog.animal import FAT_MM_LIMITS, HOT_KG_LIMITS
from gambrel.catalog.kinds import Kind, read_kinds
from gambrel.hang.cooler import LONGEST_GAP_MIN
from gambrel.hang.loss import LossModel
from gambrel.hang.rail import LONGEST_STAY_DAYS, METRES_PER_SIDE, OnRail
from gambrel.hang.readings import Reading, read_moment, read_reading
from gambrel.hang.weighings import Weighing
from gambrel.measures import Entry
from gambrel.measures.entry import read_each
from gambrel.measures.units import DURATION, LENGTH, MASS


@dataclass(frozen=True, slots=True)
class Rail:
    """Rail there is, room a side takes, and the sides that hang."""

    length_m: float
    metres_per_side: float
    sides: tuple[OnRail, ...]


@dataclass(frozen=True, slots=True)
class CoolerCase:
    """Log file to be read (None when the readings are in the case itself) and when the chill began."""

    log: str | None
    killed_at: datetime | None
    longest_gap_min: float
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class HangCase:
    """One side on the rail; `killed` and `on` are days, None when not given; `model` is the prior belief."""

    kind: Kind
    side_hot_kg: float
    fat_mm: float | None
    killed: date | None
    on: date | None
    hang_days: tuple[int, int, int]
    weighings: tuple[Weighing, ...]
    rail: Rail | None
    cooler: CoolerCase | None
    model: LossModel


def read_hang_case(entry: Entry, kinds: Mapping[str, Kind]) -> HangCase | None:
    """The case from its fields (docs/hang.md lists them); None when there was any finding."""
    before = len(entry.findings)
    known = read_kinds(entry.table("kinds").fields, kinds, entry.findings)
    kind = known.get(entry.word("kind", known, required=True) or "")
    side_hot_kg = _side_hot_kg(entry)
    fat_mm = entry.quantity("fat", LENGTH, low=FAT_MM_LIMITS[0], high=FAT_MM_LIMITS[1])
    scale_kg = entry.quantity("scale", MASS, low=0.001, high=5.0)
    killed, on = entry.day("killed"), entry.day("on")
    hang_days = _hang_days(entry, kind)
    weighings = read_each(entry.tables("weighing"), lambda one: _read_weighing(one, killed))
    rail = _read_rail(entry, hang_days)
    cooler = _read_cooler(entry)
    if on and not killed:
        entry.wrong("on", on, "the day it was killed as well", 'Give killed = "2026-03-01".')
    if on and killed and on < killed:
        entry.wrong(
            "on", on, f"a day from {killed} on", "Check both dates: a side cannot hang before the kill."
        )
    entry.no_more()
    if kind is None or side_hot_kg is None or hang_days is None or len(entry.findings) > before:
        return None
    model = LossModel.prior(kind, fat_mm=fat_mm, side_hot_kg=side_hot_kg)
    if scale_kg is not None:
        # A scale that shows whole pounds cannot be better than they are.
        model = model.with_noise(max(model.noise_share, scale_kg / side_hot_kg))
    return HangCase(kind, side_hot_kg, fat_mm, killed, on, hang_days, tuple(weighings), rail, cooler, model)


def _side_hot_kg(entry: Entry) -> float | None:
    """`side_hot`, or half of `hot` (the carcass)."""
    low, high = HOT_KG_LIMITS
    side = entry.quantity("side_hot", MASS, low=low / 2, high=high / 2)
    both = entry.quantity("hot", MASS, low=low, high=high)
    if entry.has("side_hot") == entry.has("hot"):
        given = "both side_hot and hot" if entry.has("hot") else "nothing"
        wanted = 'side_hot = "375lb" (one side) or hot = "750lb" (the carcass)'
        entry.wrong("side_hot", given, wanted, "Give one of the two.")
    return both / 2 if both is not None else side


def _hang_days(entry: Entry, kind: Kind | None) -> tuple[int, int, int] | None:
    raw = entry.raw("hang_days")
    if raw is None:
        return kind.hang_days if kind else None
    good = isinstance(raw, list) and len(raw) == 3 and all(type(item) is int for item in raw)
    if not good or sorted(raw) != raw or not 0 <= raw[0] <= raw[2] <= LONGEST_STAY_DAYS:
        wanted = f"earliest, target and latest day, rising, from 0 to {LONGEST_STAY_DAYS}"
        entry.wrong("hang_days", raw, wanted, "Write them like hang_days = [10, 14, 21].")
        return None
    return raw[0], raw[1], raw[2]


def _read_weighing(entry: Entry, killed: date | None) -> Weighing | None:
    before = len(entry.findings)
    day = entry.number("day", low=0.0, high=float(LONGEST_STAY_DAYS), what="days since the kill")
    on = entry.day("on")
    weight = entry.quantity("weight", MASS, low=1.0, high=1000.0, required=True)
    if entry.has("day") == entry.has("on"):
        entry.wrong("day", "both day and on" if entry.has("on") else "nothing",
                    "day = 9 (since the kill) or on = 2026-03-10", "Give one of the two.")  # fmt: skip
    if on is not None and killed is None:
        entry.wrong("on", on, "the day it was killed, to count from", "Give killed, or day in place of on.")
    entry.no_more()
    if on is not None and killed is not None:
        day = float((on - killed).days)
    if day is None or weight is None or len(entry.findings) > before:
        return None
    return Weighing(day, weight, entry.where)


def _read_rail(entry: Entry, hang_days: tuple[int, int, int] | None) -> Rail | None:
    sides = entry.tables("side")
    rail = entry.table("rail")
    length_mm = rail.quantity(
        "length", LENGTH, low=300.0, high=1e6, required=entry.has("rail") or bool(sides)
    )
    per_side_mm = rail.quantity("per_side", LENGTH, low=200.0, high=3000.0)
    rail.no_more()
    hanging = read_each(sides, lambda one: _read_side(one, hang_days))
    _ids_once(sides, hanging)
    if length_mm is None:
        return None
    metres = METRES_PER_SIDE if per_side_mm is None else per_side_mm / 1000
    return Rail(length_mm / 1000, metres, tuple(hanging))


def _read_side(entry: Entry, hang_days: tuple[int, int, int] | None) -> OnRail | None:
    before = len(entry.findings)
    name = entry.text("id", required=True, longest=40)
    hung, until = entry.day("hung", required=True), entry.day("until")
    entry.no_more()
    if hung and until is None and hang_days and not entry.has("until"):
        until = hung + timedelta(days=hang_days[2])
    if hung and until and not 0 <= (until - hung).days <= LONGEST_STAY_DAYS:
        entry.wrong("until", until, f"from {hung} to {LONGEST_STAY_DAYS} days after", "Check both dates.")
    if name is None or hung is None or until is None or len(entry.findings) > before:
        return None
    return OnRail(name, hung, until)


def _ids_once(entries: Sequence[Entry], sides: Sequence[OnRail]) -> None:
    seen: set[str] = set()
    for side in sides:
        if side.id in seen:
            entries[0].findings.add(
                f"side {side.id}", "given twice", "each side once", "Rename or take out one."
            )
        seen.add(side.id)


def _read_cooler(entry: Entry) -> CoolerCase | None:
    rows = entry.tables("reading")
    cooler = entry.table("cooler")
    log = cooler.text("log", longest=400)
    killed_at = read_moment(cooler, "killed_at")
    killed = entry.raw("killed")
    if killed_at is None and isinstance(killed, datetime) and killed.tzinfo is None:
        killed_at = killed
    gap_min = cooler.quantity("longest_gap", DURATION, low=1.0, high=7 * 24 * 60.0)
    cooler.no_more()
    readings = read_each(rows, _read_row)
    if log is not None and rows:
        cooler.wrong("log", log, "a log file or [[reading]] tables", "Give one of the two.")
    if log is None and not rows:
        if entry.has("cooler"):
            cooler.wrong(
                "log", "nothing", 'log = "cooler.csv" or [[reading]] tables', "Say where the readings are."
            )
        return None
    return CoolerCase(log, killed_at, LONGEST_GAP_MIN if gap_min is None else gap_min, tuple(readings))


def _read_row(entry: Entry) -> Reading | None:
    reading = read_reading(entry)
    entry.no_more()
    return reading
