"""What the rail pages show: every side where it hangs, its window, and its weight today by its own weighings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.utils import timezone

from gambrel.catalog.kinds import Kind
from gambrel.files.drawing.inputs import RailCurve, RailPoint
from gambrel.files.drawing.inputs import Weighing as Dot
from gambrel.files.drawing.lines import curve_svg
from gambrel.files.drawing.rails import ENGLISH, RailRow, RailWords, SideOnPlace, rails_svg
from gambrel.hang.loss import LossModel
from gambrel.hang.weighings import Weighing as CoreWeighing
from gambrel.hang.weighings import learn, weighing_oddities, weighing_slips
from gambrel.hang.window import Window, ready_window
from gambrel.measures import CannotDo, Estimate, Finding
from gambrel.shop.records.hung import Losses, cooler_of, losses_here
from gambrel.shop.records.loss import days_hung, weighings_of
from gambrel.shop.records.models import (
    AuditLine,
    CoolerRoom,
    FaceReading,
    Rail,
    ShopProfile,
    Side,
    SideMove,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.selectors.rooms import rooms_in_use
from gambrel.shop.records.week import faces_of, kinds_of_shop, sides_on_rail


@dataclass(frozen=True, slots=True)
class SideLine:
    """A hanging side today. `window` and `today_kg` are None where its kind is not known any more."""

    side: Side
    kind_name: str
    days: int
    window: Window | None
    state: str
    today_kg: Estimate | None
    weighings: int
    weighed_on: date | None
    has_face: bool

    @property
    def name(self) -> str:
        return f"{self.side.animal.tag}-{self.side.half}"

    @property
    def window_days(self) -> tuple[int, int, int] | None:
        """Earliest, best and latest day for cutting, counted from the kill."""
        if self.window is None:
            return None
        killed = self.side.animal.killed_on
        return (
            (self.window.earliest - killed).days,
            (self.window.target - killed).days,
            (self.window.latest - killed).days,
        )

    @property
    def lost_share(self) -> float | None:
        """Lost on the rail so far, of the hot weight."""
        return None if self.today_kg is None else 1 - self.today_kg.mean / float(self.side.hot_kg)


@dataclass(frozen=True, slots=True)
class RailLine:
    rail: Rail
    sides: tuple[SideLine, ...]
    free_mm: int


@dataclass(frozen=True, slots=True)
class RoomView:
    room: CoolerRoom
    rails: tuple[RailLine, ...]
    picture: str


@dataclass(frozen=True, slots=True)
class RailPage:
    rooms: tuple[RoomView, ...]
    nowhere: tuple[SideLine, ...]
    """Sides that hang, but on no rail that the records know."""
    sides: tuple[SideLine, ...]


def rail_page(shop: ShopProfile, *, on: date, words: RailWords = ENGLISH) -> RailPage:
    """Every hanging side on `on`; `words` are those of the picture, in the language of the page."""
    lines = side_lines(sides_on_rail(), on=on)
    rooms = [_room(room, lines, shop, words) for room in rooms_in_use() if room.rails.all()]
    nowhere = tuple(line for line in lines if line.side.rail_id is None)
    return RailPage(tuple(rooms), nowhere, lines)


def side_lines(sides: Iterable[Side], *, on: date) -> tuple[SideLine, ...]:
    """The sides with window and weight on `on`, the soonest ready first. Sides come with animal and rail loaded."""
    rows = list(sides)
    kinds, faces = kinds_of_shop(), faces_of(rows)
    weighed, losses = weighings_of(rows), losses_here(kinds)
    lines = [
        _line(side, kinds.get(side.animal.kind), faces.get(side.pk), weighed.get(side.pk, []), on, losses)
        for side in rows
    ]
    return tuple(sorted(lines, key=lambda line: (line.window.target if line.window else on, line.name)))


def loss_of(side: Side, kind: Kind, face: FaceReading | None, losses: Losses) -> LossModel:
    """What a side of this make is expected to lose where it hangs, before its own weighings."""
    fat_mm = face.fat_mm if face else None
    return losses.of(kind, cooler_of(side), hot_kg=float(side.hot_kg), fat_mm=fat_mm)


def as_core(side: Side, rows: Iterable[Weighing]) -> list[CoreWeighing]:
    """Weighings as the loss model takes them: days from the hot scale."""
    return [CoreWeighing(days_hung(side, row.at), float(row.weight_kg), _said(row.at)) for row in rows]


def _said(at: datetime) -> str:
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"


def _line(
    side: Side, kind: Kind | None, face: FaceReading | None, weighed: list[Weighing], on: date, losses: Losses
) -> SideLine:
    days = max(0, (on - side.animal.killed_on).days)
    last = timezone.localtime(weighed[-1].at).date() if weighed else None
    if kind is None:
        return SideLine(
            side, side.animal.kind, days, None, "early", None, len(weighed), last, face is not None
        )
    window = ready_window(kind, side.animal.killed_on)
    today_kg = _today_kg(side, loss_of(side, kind, face, losses), weighed, days)
    return SideLine(side, kind.name, days, window, window.says(on), today_kg, len(weighed), last,
                    face is not None)  # fmt: skip


def _today_kg(side: Side, model: LossModel, weighed: list[Weighing], days: int) -> Estimate | None:
    """Weight today with its interval; None beyond the days that the loss figures cover."""
    hot_kg = float(side.hot_kg)
    try:
        known = learn(model, as_core(side, weighed), side_hot_kg=hot_kg)
        return known.remaining_share(days).times(hot_kg)
    except CannotDo:
        return None


def _room(room: CoolerRoom, lines: Sequence[SideLine], shop: ShopProfile, words: RailWords) -> RoomView:
    rails = tuple(_rail(rail, lines, shop) for rail in room.rails.all())
    rows = [_drawn(one, shop) for one in rails]
    return RoomView(
        room, rails, rails_svg(rows, title=room.name, side_mm=float(shop.rail_per_side_mm), words=words)
    )


def _rail(rail: Rail, lines: Sequence[SideLine], shop: ShopProfile) -> RailLine:
    here = sorted(
        (one for one in lines if one.side.rail_id == rail.pk), key=lambda one: one.side.position_mm or 0
    )
    return RailLine(rail, tuple(here), rail.length_mm - shop.rail_per_side_mm * len(here))


def _drawn(one: RailLine, shop: ShopProfile) -> RailRow:
    note = f"{one.rail.warmer_c:+.1f} °C" if one.rail.warmer_c else ""
    sides = tuple(
        SideOnPlace(
            line.name,
            float(shop.rail_per_side_mm * number if line.side.position_mm is None else line.side.position_mm),
            line.days,
            line.state,
            line.today_kg or Estimate.exact(float(line.side.hot_kg)),
            line.window_days,
        )
        for number, line in enumerate(one.sides)
    )
    return RailRow(one.rail.name, float(one.rail.length_mm), sides, note)


@dataclass(frozen=True, slots=True)
class SidePage:
    """One side: its line, curve, every weighing (those that were put right too), moves and trail."""

    line: SideLine
    curve: str
    weighings: tuple[Weighing, ...]
    moves: tuple[SideMove, ...]
    trail: tuple[AuditLine, ...]
    oddities: tuple[Finding, ...]


def side_page(side: Side, *, on: date) -> SidePage:
    line = side_lines([side], on=on)[0]
    rows = tuple(
        Weighing.objects.filter(side=side)
        .select_related("by", "corrects", "corrected_by")
        .order_by("at", "pk")
    )
    standing = [row for row in rows if not hasattr(row, "corrected_by") and not row.taken_out]
    kinds = kinds_of_shop()
    kind = kinds.get(side.animal.kind)
    curve, oddities = "", tuple[Finding, ...]()
    if kind is not None:
        model = loss_of(side, kind, faces_of([side]).get(side.pk), losses_here(kinds))
        seen = as_core(side, standing)
        oddities = tuple(weighing_oddities(seen, side_hot_kg=float(side.hot_kg), model=model))
        curve = _curve(side, line, model, seen, on)
    moves = (
        SideMove.objects.filter(side=side).select_related("rail", "rail__room", "by").order_by("-at", "-pk")
    )
    trail = AuditLine.objects.filter(record="side", record_id=str(side.pk)).order_by("-pk")[:50]
    return SidePage(line, curve, rows, tuple(moves), tuple(trail), oddities)


def _curve(side: Side, line: SideLine, model: LossModel, seen: list[CoreWeighing], on: date) -> str:
    hot_kg, days = float(side.hot_kg), line.window_days
    if days is None:
        return ""
    try:
        known = learn(model, seen, side_hot_kg=hot_kg)
        last = min(int(known.last_day), max(days[2], (on - side.animal.killed_on).days, 1))
        points = tuple(RailPoint(day, known.remaining_share(day).times(hot_kg)) for day in range(last + 1))
    except CannotDo:
        return ""
    dots = tuple(Dot(one.day, one.weight_kg) for one in seen)
    return curve_svg(RailCurve(f"{line.name} on the rail", points, dots, days,
                               float((on - side.animal.killed_on).days)))  # fmt: skip


def slips(
    side: Side, *, weight_kg: Decimal, at: datetime, instead_of: Weighing | None = None
) -> tuple[Finding, ...]:
    """What cannot be true of a new weight of this side beside those that stand; `instead_of` is being put right."""
    kinds = kinds_of_shop()
    kind = kinds.get(side.animal.kind)
    if kind is None:
        return ()
    standing = [
        row for row in weighings_of([side]).get(side.pk, []) if instead_of is None or row.pk != instead_of.pk
    ]
    model = loss_of(side, kind, faces_of([side]).get(side.pk), losses_here(kinds))
    new = CoreWeighing(days_hung(side, at), float(weight_kg), _said(at))
    found = weighing_slips([*as_core(side, standing), new], side_hot_kg=float(side.hot_kg), model=model)
    return tuple(one for one in found if one.where.startswith(new.where))
