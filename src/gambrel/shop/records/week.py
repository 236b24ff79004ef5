"""The records as the values that the journey starts from: the week, its animals, demands and orders."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from types import MappingProxyType
from typing import Any

from gambrel.catalog.animal import Animal as Carcass
from gambrel.catalog.bill import Bill as Paid
from gambrel.catalog.kinds import Kind, read_kinds, shipped_kinds
from gambrel.catalog.tree_totals import GRINDING_MINUTES_PER_100KG
from gambrel.measures import Findings
from gambrel.plan.read_week import SHELF_DAYS
from gambrel.plan.week import Demand, Grinding, Group, Hanging, Margin, Order, Pin, Shop, Step, Week
from gambrel.shop.records import models
from gambrel.shop.records.hung import Losses, cooler_of, losses_here
from gambrel.shop.records.loss import weighings_of, with_weighings
from gambrel.shop.records.models import (
    FaceAccepted,
    FaceReading,
    OrderState,
    OwnKind,
    Rail,
    ShopProfile,
    Side,
)
from gambrel.shop.records.shop_limits import (
    closed_on_of,
    freezer_of,
    minutes_on_of,
    overtime_of,
    room_of,
)
from gambrel.shop.records.sold_pieces import off_the_side
from gambrel.shop.records.week_extras import dealt, frozen_on_hand, shares_of, stock_on_hand


def kinds_of_shop() -> Mapping[str, Kind]:
    """The four kinds and the shop's own."""
    own = {row.slug: row.fields for row in OwnKind.objects.all()}
    if not own:
        return shipped_kinds()
    findings = Findings()
    kinds = read_kinds(own, shipped_kinds(), findings)
    findings.stop_if_any()
    return kinds


def kinds_offered(profile: ShopProfile) -> dict[str, Kind]:
    """The kinds to choose from when an animal comes: those that the owner named, or all."""
    kinds = kinds_of_shop()
    return {
        slug: kind for slug, kind in kinds.items() if not profile.kinds_used or slug in profile.kinds_used
    }


def shop_of(profile: ShopProfile, *, start: date, days: int) -> Shop:
    """The shop and what it can do, over these days."""
    rail_mm = sum(Rail.objects.filter(closed_on=None).values_list("length_mm", flat=True))
    return Shop(
        name=profile.name,
        start=start,
        days=days,
        cutting_days=tuple(profile.cutting_days),
        rail_mm=float(rail_mm) or None,
        rail_per_side_mm=float(profile.rail_per_side_mm),
        srm_policy_bison=profile.srm_policy_bison,
        minutes_a_day={skill: float(minutes) for skill, minutes in profile.minutes_a_day.items()},
        wage_cents_per_hour=float(profile.wage_cents_per_hour),
        margin=Margin(
            target_pct=profile.target_margin_pct,
            packing_cents_per_kg=profile.packing_cents_per_kg,
            overhead_cents_per_head=profile.overhead_cents_per_head,
            ending_cents=profile.price_ending_cents,
            may_lose_pct=profile.may_lose_pct,
        ),
        grinding=Grinding(dict(GRINDING_MINUTES_PER_100KG)),
        trim=profile.trim,
        waste_cents_per_kg=profile.waste_cents_per_kg,
        hanging_on_cents_per_kg=profile.hanging_on_cents_per_kg,
        minutes_on=minutes_on_of(profile),
        closed_on=closed_on_of(profile),
        overtime=overtime_of(profile),
        room=room_of(profile),
        freezer=freezer_of(profile),
    )


def faces_of(sides: Iterable[Side]) -> dict[int, FaceReading]:
    """Side to the reading that counts for it: the newest accepted. One query; outlines are left for who asks."""
    lines = FaceAccepted.objects.filter(side__in=[side.pk for side in sides]).select_related("reading")
    lines = lines.defer("reading__outline_px", "reading__answer")
    return {line.side_id: line.reading for line in lines.order_by("at", "pk")}


def carcass_of(
    animal: models.Animal, kind: Kind, *, hot_kg: float, faces: Iterable[FaceReading], on: date
) -> Carcass:
    """The carcass as the steps see it; figures of the rib face are the mean of the sides that were read."""
    read = list(faces)
    return Carcass(
        kind=kind,
        sex=animal.sex,
        hot_kg=hot_kg,
        age_months=_age_months(animal, on),
        fat_mm=mean_of(face.fat_mm for face in read),
        ribeye_cm2=mean_of(face.ribeye_cm2 for face in read),
        kph_pct=animal.kph_pct,
        marbling_score=mean_of(face.marbling_score for face in read),
        maturity=animal.maturity or None,
    )


def hanging_of(
    sides: Iterable[Side], kinds: Mapping[str, Kind], faces: Mapping[int, FaceReading],
    weighings: Mapping[int, Sequence[models.Weighing]] = MappingProxyType({}), losses: Losses | None = None,
) -> list[Hanging]:  # fmt: skip
    """One `Hanging` an animal out of sides loaded with animal, bill and pin; an unknown kind is left out.

    It loses what the shop's coolers take of its kind; `weighings` are those of the sides that stand, and with them it
    loses what it was seen to lose. `losses` are those of the coolers where they have been asked for already.
    """
    taken = losses_here(kinds) if losses is None else losses
    by_animal: dict[int, list[Side]] = {}
    for side in sides:
        by_animal.setdefault(side.animal_id, []).append(side)
    return [
        with_weighings(_hanging(together, kinds[together[0].animal.kind], faces, taken), together, weighings)
        for together in by_animal.values()
        if together[0].animal.kind in kinds
    ]


def _hanging(sides: list[Side], kind: Kind, faces: Mapping[int, FaceReading], losses: Losses) -> Hanging:
    animal = sides[0].animal
    hot_kg = {side.half: float(side.hot_kg) for side in sides}
    # Where one side is gone its fellow stands for it: the two differ by a few kilograms at most.
    whole_kg = sum(hot_kg.values()) * (2 / len(hot_kg))
    read = [faces[side.pk] for side in sides if side.pk in faces]
    bill = getattr(animal, "bill", None)
    pins = list(map(pin_of, sides))
    carcass = carcass_of(animal, kind, hot_kg=whole_kg, faces=read, on=animal.killed_on)
    learned = None
    if kind.slug in losses.by_kind:
        learned = losses.of(kind, cooler_of(sides[0]), hot_kg=whole_kg / 2, fat_mm=carcass.fat_mm)
    return Hanging(
        id=animal.tag,
        animal=carcass,
        killed=animal.killed_on,
        side_hot_kg=hot_kg,
        inspected=animal.inspected,
        owner=animal.owner_name or None,
        bill=_paid(bill) if bill else None,
        pin=pins[0] if all(pin == pins[0] for pin in pins) else Pin(),
        style_name=next((side.style for side in sides if side.style), None),
        learned=learned,
    )


def pin_of(side: Side) -> Pin:
    """What is settled of one side: its day, and its ways; what was settled for the plan goes before what was chosen."""
    pin = getattr(side, "pin", None)
    return Pin(pin.day, {**side.ways, **pin.ways}) if pin else Pin(None, dict(side.ways))


def settled_apart() -> dict[str, Pin]:
    """Sides on the rail, by id, of animals whose two halves are settled differently."""
    by_animal: dict[int, dict[str, Pin]] = {}
    for side in sides_on_rail():
        by_animal.setdefault(side.animal_id, {})[str(side)] = pin_of(side)
    return {
        name: pin
        for pins in by_animal.values()
        if any(pin != next(iter(pins.values())) for pin in pins.values())
        for name, pin in pins.items()
    }


def week_of(profile: ShopProfile, *, start: date, days: int) -> Week:
    """Everything that hangs, sells, is promised and lies in the case, from `start` on, as the plan takes it."""
    kinds = kinds_of_shop()
    shop = shop_of(profile, start=start, days=days)
    sides = list(sides_on_rail())
    rows = list(models.Demand.objects.all())
    demands = tuple(map(demand_of, rows))
    frozen = tuple(frozen_demand_of(row) for row in rows if row.frozen_upto_kg is not None)
    orders = models.Order.objects.filter(state=OrderState.OPEN, by_day__range=(start, shop.end)).order_by(
        "pk"
    )
    # A liver or an oxtail is promised by hand: it hangs on no rail, so that no plan can give it.
    planned = off_the_side() | {demand.slug for demand in demands if demand.is_ground}
    promised = tuple(order_of(order) for order in orders if order.slug in planned)
    animals = tuple(hanging_of(sides, kinds, faces_of(sides), weighings_of(sides)))
    shares = shares_of(animals)
    wanted = ({one.slug for one in demands} | {one.slug for one in promised}) & planned
    wanted_frozen = {one.slug for one in frozen} & planned
    return Week(
        shop=shop,
        animals=dealt(animals, shares),
        demands=(*demands, *frozen),
        orders=promised,
        kinds=kinds,
        stock=(*stock_on_hand(kinds, wanted, start=start), *frozen_on_hand(kinds, wanted_frozen)),
        shares=shares,
    )


def sides_on_rail() -> Any:
    """Sides that hang, with what every page about them needs, in one query."""
    rows = Side.objects.filter(state=models.SideState.HANGING)
    return rows.select_related("animal", "animal__bill", "animal__supplier", "pin", "rail", "rail__room")


def demand_of(row: models.Demand) -> Demand:
    steps = tuple(Step(float(step["upto_kg"]), float(step["price_cents_per_kg"])) for step in row.steps)
    return Demand(
        row.slug,
        Group(row.group, frozenset(row.kinds)),
        steps,
        row.shelf_days,
        row.salvage_cents_per_kg,
        row.lean_pct,
    )


def frozen_demand_of(row: models.Demand) -> Demand:
    """What is bought of the same product out of the freezer, at one price; it keeps there as long as the tables say."""
    fresh = demand_of(row)
    step = Step(float(row.frozen_upto_kg or 0.0), float(row.frozen_price_cents_per_kg or 0.0))
    return replace(fresh, steps=(step,), frozen=True, shelf_days=SHELF_DAYS[fresh.is_ground, True],
                   salvage_cents_per_kg=0.0, kept_cents_per_kg=row.frozen_kept_cents_per_kg)  # fmt: skip


def order_of(row: models.Order) -> Order:
    return Order(row.code, row.slug, Group(row.group, frozenset(row.kinds)), float(row.weight_kg), row.by_day,
                 row.price_cents_per_kg, row.must, row.shelf_days, row.out_of_state)  # fmt: skip


def _paid(bill: models.Bill) -> Paid:
    live_kg = None if bill.live_kg is None else float(bill.live_kg)
    return Paid(bill.basis, bill.paid_cents, live_kg, bill.kill_fee_cents)


def _age_months(animal: models.Animal, on: date) -> int | None:
    if animal.born_on is None:
        return animal.age_months
    return (
        (on.year - animal.born_on.year) * 12 + on.month - animal.born_on.month - (on.day < animal.born_on.day)
    )


def mean_of(figures: Iterable[float | None]) -> float | None:
    """The mean of the figures that are known; None where none is."""
    known = [figure for figure in figures if figure is not None]
    return sum(known) / len(known) if known else None
