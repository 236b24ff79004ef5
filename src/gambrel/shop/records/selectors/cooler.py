"""What the cooler pages show: the log of each room, its findings, and whether a reading is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from gambrel.files.drawing.cooler_log import cooler_svg
from gambrel.files.sheets.cooler_log import LogRow, cooler_log_pdf
from gambrel.files.sheets.inputs import Head
from gambrel.files.speech import finding_spoken
from gambrel.hang.cooler import HOLDING_C, check_holding, check_log
from gambrel.hang.readings import Reading
from gambrel.measures import Finding
from gambrel.shop.records.models import CoolerReading, CoolerRoom, ShopProfile, Side, SideState

USUAL_DAYS, LONGEST_DAYS = 7, 31
FLAWLESS_GAP_HOURS = 24.0


@dataclass(frozen=True, slots=True)
class RoomNow:
    """A room by its newest reading alone: what a day's work needs to know of it."""

    room: CoolerRoom
    air_c: float | None
    due_hours: float | None
    """Hours by which a reading is overdue; below 0: still to come. None where no log is kept."""

    @property
    def is_due(self) -> bool:
        return self.due_hours is not None and self.due_hours >= 0

    @property
    def out_of_line(self) -> bool:
        """The last air reading lies outside the holding range."""
        return self.air_c is not None and not HOLDING_C[0] <= self.air_c <= HOLDING_C[1]


@dataclass(frozen=True, slots=True)
class RoomLog(RoomNow):
    """A room, its readings of the last days (those that stand), what they say, and the last of them."""

    readings: tuple[CoolerReading, ...]
    findings: tuple[Finding, ...]
    picture: str
    last: CoolerReading | None


def rooms_now(*, at: datetime, days: int) -> tuple[RoomNow, ...]:
    """Every room by the newest reading of the last days that stands and says something. One query."""
    standing = CoolerReading.objects.filter(room=OuterRef("pk"), at__gt=at - timedelta(days=days), at__lte=at)
    said = standing.filter(corrected_by=None).exclude(
        air_c=None, carcass_c=None, deep_c=None, humidity_pct=None
    )
    newest = said.order_by("-at", "-pk")
    rooms = CoolerRoom.objects.filter(closed_on=None).order_by("pk").annotate(
        newest_at=Subquery(newest.values("at")[:1]), newest_air_c=Subquery(newest.values("air_c")[:1])
    )  # fmt: skip
    return tuple(RoomNow(room, room.newest_air_c, _due_hours(room, room.newest_at, at)) for room in rooms)


def _due_hours(room: CoolerRoom, last_at: datetime | None, at: datetime) -> float | None:
    """Hours by which a reading is overdue; None where no log is kept."""
    if not room.log_every_hours:
        return None
    if last_at is None:
        return LONGEST_DAYS * 24.0
    return (at - last_at) / timedelta(hours=1) - float(room.log_every_hours)


def cooler_page(*, at: datetime, days: int = USUAL_DAYS) -> tuple[RoomLog, ...]:
    """The log of every room over the last days."""
    rooms = list(CoolerRoom.objects.filter(closed_on=None).order_by("pk"))
    rows = CoolerReading.objects.filter(
        room__in=rooms, at__gt=at - timedelta(days=days), at__lte=at, corrected_by=None
    )
    by_room: dict[int, list[CoolerReading]] = {}
    for row in rows.select_related("by").order_by("at", "pk"):
        by_room.setdefault(row.room_id, []).append(row)
    killed = _last_hung()
    return tuple(
        room_log(room, by_room.get(room.pk, []), at=at, hung_at=killed.get(room.pk)) for room in rooms
    )


def room_log(
    room: CoolerRoom, rows: Sequence[CoolerReading], *, at: datetime, hung_at: datetime | None = None
) -> RoomLog:
    """One room; `hung_at` is when the newest side was hung in it, for the chill."""
    said = [row for row in rows if not _is_empty(row)]
    gap_hours = room.log_every_hours or FLAWLESS_GAP_HOURS
    findings = _findings(said, gap_hours, hung_at)
    last = said[-1] if said else None
    due = _due_hours(room, last.at if last else None, at)
    air = [(_local(at), air_c) for at, air_c in _air(said)]
    picture = cooler_svg(air, title=room.name, hold_c=HOLDING_C, gap_hours=gap_hours) if len(air) > 1 else ""
    return RoomLog(room, last.air_c if last else None, due, tuple(reversed(rows)), findings, picture, last)


def _is_empty(row: CoolerReading) -> bool:
    """A correction that says the other line should not be there."""
    return all(figure is None for figure in (row.air_c, row.carcass_c, row.deep_c, row.humidity_pct))


def _air(rows: Sequence[CoolerReading]) -> list[tuple[datetime, float]]:
    """Time and air of the readings that have it, one a moment: the first written stands."""
    kept: dict[datetime, float] = {}
    for row in rows:
        if row.air_c is not None:
            kept.setdefault(row.at, row.air_c)
    return list(kept.items())


def _findings(
    rows: Sequence[CoolerReading], gap_hours: float, hung_at: datetime | None
) -> tuple[Finding, ...]:
    if not rows:
        return ()
    readings = [
        Reading(
            _local(row.at),
            f"{_local(row.at):%Y-%m-%d %H:%M}",
            row.air_c,
            row.carcass_c,
            row.deep_c,
            row.humidity_pct,
        )
        for row in rows
    ]
    if hung_at is not None and rows[0].at <= hung_at:
        return tuple(check_log(readings, killed_at=_local(hung_at), longest_gap_min=60 * gap_hours).findings)
    return tuple(check_holding(readings, longest_gap_min=60 * gap_hours))


def _local(at: datetime) -> datetime:
    return timezone.localtime(at).replace(tzinfo=None)


def _last_hung() -> dict[int, datetime]:
    rows = Side.objects.filter(state=SideState.HANGING, rail__isnull=False).order_by("hung_at")
    return dict(rows.values_list("rail__room", "hung_at"))


def log_pdf(shop: ShopProfile, room: CoolerRoom, *, at: datetime, days: int, paper: str) -> bytes:
    """The log of one room to print and file."""
    rows = CoolerReading.objects.filter(
        room=room, at__gt=at - timedelta(days=days), at__lte=at, corrected_by=None
    )
    found = list(rows.select_related("by").order_by("at", "pk"))
    log = room_log(room, found, at=at)
    lines = [LogRow(_local(row.at), row.air_c, row.carcass_c, row.deep_c, row.humidity_pct,
                    row.by.name if row.by else "a program", row.note) for row in found]  # fmt: skip
    notes = [finding_spoken(finding) for finding in log.findings]
    head = Head(shop.name, f"Log of the {room.name}, {days} days", timezone.localtime(at).date())
    return cooler_log_pdf(head, lines, notes=notes, paper=paper)
