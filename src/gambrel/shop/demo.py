"""The invented shop Cottonwood Bend as records: its people, coolers, animals on the rail, counter and orders."""

from __future__ import annotations

import random
import secrets
import tomllib
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

from django.db import transaction

from gambrel.catalog.bill import Bill as Paid
from gambrel.measures import Entry, Findings
from gambrel.plan.example import START, example_week
from gambrel.plan.read_week import read_week
from gambrel.plan.week import Hanging, Week
from gambrel.shop.records.models import (
    Animal,
    Bill,
    CoolerReading,
    CoolerRoom,
    Customer,
    Demand,
    Order,
    Person,
    Rail,
    ShopProfile,
    Side,
    Supplier,
)  # fmt: skip
from gambrel.shop.records.services.rail import hang, weigh

SIDES, DAYS, SEED = 18, 14, 4
ZONE = "America/Denver"
ADDRESS = "Old Creamery Road, Cottonwood Bend"
PEOPLE = (("Marta", "owner", "en", "lb"), ("Teodoro", "cutter", "es", "lb"), ("Wren", "counter", "en", "lb"))
PLANT = "M-0000"
"""Number of the invented plant that kills for the shop; no plant has it."""
SUPPLIERS = {"bison": "Our own herd", "grass-finished": "Larkspur Draw", "grain-finished": "Two Mile Feeding",
             "wagyu": "Saddle Creek Stock"}  # fmt: skip
ROOMS = (("Hanging cooler", (("Front rail", 0.6), ("Middle rail", 0.0), ("Back rail", -0.4))),
         ("Dry-ageing room", (("Short rail", 0.2),)))  # fmt: skip


@dataclass(frozen=True, slots=True)
class SignIn:
    """A name and the password made for it; shown once and kept only as its hash."""

    name: str
    role: str
    password: str


@transaction.atomic
def fill_demo(today: date) -> list[SignIn]:
    """Fill empty records with the invented shop as it stands on `today`; gives the sign-ins that were made."""
    week = read_week(Entry(tomllib.loads(example_week(sides=SIDES, days=DAYS, seed=SEED)), "", Findings()))
    later = today - START
    _shop(week)
    sign_ins = [SignIn(name, role, secrets.token_urlsafe(9)) for name, role, _, _ in PEOPLE]
    people = [
        Person.objects.create_person(made.name, made.password, made.role, language=language, weight_unit=unit)
        for made, (_, _, language, unit) in zip(sign_ins, PEOPLE, strict=True)
    ]
    rails = _rooms(today, people[1])
    _animals(week, later, rails, people[1])
    _counter(week, later, people[2])
    return sign_ins


def _shop(week: Week) -> None:
    shop, margin = week.shop, week.shop.margin
    ShopProfile.objects.create(
        name=shop.name,
        zone=ZONE,
        address=ADDRESS,
        cutting_days=list(shop.cutting_days),
        minutes_a_day=dict(shop.minutes_a_day),
        wage_cents_per_hour=round(shop.wage_cents_per_hour),
        rail_per_side_mm=round(shop.rail_per_side_mm),
        srm_policy_bison=shop.srm_policy_bison,
        trim=shop.trim,
        waste_cents_per_kg=shop.waste_cents_per_kg,
        hanging_on_cents_per_kg=shop.hanging_on_cents_per_kg,
        target_margin_pct=margin.target_pct,
        packing_cents_per_kg=margin.packing_cents_per_kg,
        overhead_cents_per_head=margin.overhead_cents_per_head,
        price_ending_cents=margin.ending_cents,
        may_lose_pct=margin.may_lose_pct,
    )


def _rooms(today: date, cutter: Person) -> list[Rail]:
    """The rooms and their rails, and a log of three days that was read morning and evening."""
    draw = random.Random(SEED)
    rails = []
    for room_name, room_rails in ROOMS:
        room = CoolerRoom.objects.create(name=room_name)
        rails += [
            Rail.objects.create(room=room, name=name, length_mm=4200, order=order, warmer_c=warmer_c)
            for order, (name, warmer_c) in enumerate(room_rails)
        ]
        for half_days in range(6):
            CoolerReading.objects.create(
                room=room,
                at=_at(today - timedelta(days=3), 13) + timedelta(hours=12 * half_days),
                by=cutter,
                air_c=round(1.5 + draw.uniform(-0.6, 0.6), 1),
                humidity_pct=round(86 + draw.uniform(-3, 3)),
            )
    return rails


def _animals(week: Week, later: timedelta, rails: list[Rail], cutter: Person) -> None:
    suppliers = {kind: Supplier.objects.create(name=name) for kind, name in SUPPLIERS.items()}
    draw, number = random.Random(SEED), 0
    for hanging in week.animals:
        carcass, killed = hanging.animal, hanging.killed + later
        animal = Animal.objects.create(
            tag=hanging.id, kind=hanging.kind.slug, sex=carcass.sex, age_months=carcass.age_months,
            maturity=carcass.maturity or "", kph_pct=carcass.kph_pct, supplier=suppliers[hanging.kind.slug],
            killed_on=killed, killed_at_plant=PLANT, inspected=hanging.inspected, owner_name=hanging.owner or "",
        )  # fmt: skip
        if hanging.bill is not None:
            _bill(animal, hanging.bill)
        for half, hot_kg in hanging.side_hot_kg.items():
            rail, place = rails[number % len(rails)], number // len(rails)
            side = hang(animal, half, hot_kg=kept_kg(hot_kg), at=_at(killed, 18), by=cutter,
                        rail=rail, position_mm=600 * place)  # fmt: skip
            number += 1
            _weigh(hanging, side, hot_kg, killed, week.shop.start + later, draw, cutter)


def _weigh(hanging: Hanging, side: Side, hot_kg: float, killed: date, today: date, draw: random.Random,
           cutter: Person) -> None:  # fmt: skip
    """Weighed the day after the kill, as a shop would; made up from the usual loss and the scale's spread."""
    if killed + timedelta(days=1) >= today:
        return
    loss = hanging.loss(hot_kg)
    weight_kg = hot_kg * (loss.remaining_mean(1.0) + draw.gauss(0.0, loss.noise_share))
    weigh(side, weight_kg=kept_kg(weight_kg), typed=f"{weight_kg:.1f} kg", at=_at(killed, 18) + timedelta(days=1),
          by=cutter)  # fmt: skip


def _bill(animal: Animal, paid: Paid) -> None:
    Bill.objects.create(
        animal=animal, basis=paid.basis, paid_cents=paid.paid_cents, kill_fee_cents=paid.kill_fee_cents,
        live_kg=None if paid.live_kg is None else kept_kg(paid.live_kg),
    )  # fmt: skip


def _counter(week: Week, later: timedelta, taken_by: Person) -> None:
    for demand in week.demands:
        Demand.objects.create(
            slug=demand.slug, group=demand.group.name, kinds=sorted(demand.group.kinds),
            steps=[{"upto_kg": step.upto_kg, "price_cents_per_kg": step.price_cents_per_kg}
                   for step in demand.steps],
            shelf_days=demand.shelf_days, salvage_cents_per_kg=demand.salvage_cents_per_kg,
            lean_pct=demand.lean_pct,
        )  # fmt: skip
    regular = Customer.objects.create(name="The Juniper Table")
    for order in week.orders:
        Order.objects.create(
            code=order.id, customer=regular, slug=order.slug, group=order.group.name,
            kinds=sorted(order.group.kinds), weight_kg=kept_kg(order.weight_kg), by_day=order.by + later,
            price_cents_per_kg=order.price_cents_per_kg, must=order.must, shelf_days=order.shelf_days,
            out_of_state=order.out_of_state, taken_by=taken_by,
        )  # fmt: skip


def kept_kg(weight_kg: float) -> Decimal:
    """To the gram, as the records keep it."""
    return Decimal(f"{weight_kg:.3f}")


def _at(day: date, hour_utc: int) -> datetime:
    return datetime.combine(day, time(hour_utc), UTC)
