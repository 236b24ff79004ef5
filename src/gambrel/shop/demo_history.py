"""What has happened at the invented shop: rib faces read, two animals cut, packed and sold, a plan accepted."""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal

from gambrel.files.demo_photographs import demo_photographs
from gambrel.shop.clock import standing_at
from gambrel.shop.demo import PLANT, kept_kg
from gambrel.shop.records.list_prices import list_prices
from gambrel.shop.records.models import (
    Animal,
    Bill,
    Cutting,
    Demand,
    FaceReading,
    Lot,
    PackEnd,
    Person,
    Plan,
    PlanState,
    PriceList,
    Rail,
    ShopProfile,
    Side,
    Supplier,
)  # fmt: skip
from gambrel.shop.records.selectors.block_expected import expected_of, hanging_animal, ways_for
from gambrel.shop.records.selectors.plan import prices_of
from gambrel.shop.records.services import block, packs, plan, prices, rail, ribface
from gambrel.shop.records.services.prices import NewPrice

SEED = 11
MISSING_SHARE = 0.003
"""What the block's scale does not find again: drip and sawdust (made up)."""


@dataclass(frozen=True, slots=True)
class Gone:
    """An animal that was cut: how long before today it was killed and cut, and what it cost."""

    tag: str
    kind: str
    sex: str
    supplier: str
    sides_kg: tuple[float, float]
    killed_days_ago: int
    cut_days_ago: int
    paid_cents: int


CUT_BEFORE = (
    Gone("C0", "grain-finished", "steer", "Two Mile Feeding", (178.6, 177.9), 21, 6, 2_310_00),
    Gone("B0", "bison", "bull", "Our own herd", (151.2, 152.4), 12, 4, 2_640_00),
)


def read_faces(most: int | None = None) -> list[FaceReading]:
    """The shipped photographs of the sides that hang, read and accepted by the cutter; `most` of them."""
    cutter = Person.objects.get(role="cutter")
    readings = []
    for name, data in list(demo_photographs())[:most]:
        tag, half = name.removesuffix(".jpg").rsplit("-", 1)
        side = Side.objects.select_related("animal").filter(animal__tag=tag, half=half).first()
        if side is None:
            continue
        at = side.hung_at + timedelta(days=1, hours=1)
        reading = ribface.read_and_keep(side, data, by=cutter, at=at)
        if not reading.refused:
            ribface.accept(reading, by=cutter, at=at)
        readings.append(reading)
    return readings


def cut_and_sell(today: date) -> list[Cutting]:
    """Two animals from the kill to the counter; some packs are on hand still."""
    people = {person.role: person for person in Person.objects.all()}
    draw = random.Random(SEED)
    return [cutting for gone in CUT_BEFORE for cutting in _through_the_shop(gone, today, people, draw)]


def plan_ahead(start: date, *, seconds: float, days: int) -> Plan:
    """The days from `start` on planned, and the plan accepted by the owner."""
    owner, shop = Person.objects.get(role="owner"), ShopProfile.objects.get()
    asked = plan.ask(shop, start=start, days=days, seconds=seconds, by=owner)
    made = plan.solve(asked.pk)
    return plan.accept(made, by=owner) if made.state == PlanState.DONE else made


def set_prices(made: Plan) -> PriceList | None:
    """The list that earns the margin on an accepted plan, set by the owner; None where no plan was accepted."""
    if made.accepted_at is None:
        return None
    lines = [NewPrice(one.slug, one.group, one.new_cents_per_kg, one.cost_cents_per_kg, by_hand=False)
             for one in prices_of(made.key).products]  # fmt: skip
    return prices.set_list(lines, by=Person.objects.get(role="owner"), note="the first list")


def _through_the_shop(
    gone: Gone, today: date, people: dict[str, Person], draw: random.Random
) -> Iterator[Cutting]:
    killed, cut = today - timedelta(days=gone.killed_days_ago), today - timedelta(days=gone.cut_days_ago)
    animal = Animal.objects.create(
        tag=gone.tag, kind=gone.kind, sex=gone.sex, age_months=26, killed_on=killed, killed_at_plant=PLANT,
        inspected="federal",
        supplier=Supplier.objects.get(name=gone.supplier), kph_pct=2.5,
    )  # fmt: skip
    Bill.objects.create(animal=animal, basis="head", paid_cents=gone.paid_cents, kill_fee_cents=95_00)
    sides: list[Side] = []
    with standing_at(_at(killed, 18)):
        for half, hot_kg in zip(("left", "right"), gone.sides_kg, strict=True):
            sides.append(rail.hang(animal, half, hot_kg=kept_kg(hot_kg), at=_at(killed, 18), by=people["cutter"],
                                   rail=Rail.objects.order_by("pk")[0], position_mm=600 * len(sides)))  # fmt: skip
    for number, side in enumerate(sides):
        cutting = _cut(side, _at(cut, 15) + timedelta(hours=2 * number), people["cutter"], draw)
        _pack_and_sell(cutting, cut, today, people["counter"], draw)
        yield cutting


def _cut(side: Side, at: datetime, cutter: Person, draw: random.Random) -> Cutting:
    """Every piece that the usual ways give, weighed near what is expected of it."""
    shop, hanging = ShopProfile.objects.get(), hanging_animal(side)
    loss = hanging.loss(float(side.hot_kg))
    days = (at - side.hung_at).days
    off_rail_kg = kept_kg(
        float(side.hot_kg) * (loss.remaining_mean(days) + draw.gauss(0.0, loss.noise_share))
    )
    ways, _, _ = ways_for(side, hanging, shop)
    with standing_at(at):
        cutting = block.begin(side, weight_kg=off_rail_kg, typed=f"{off_rail_kg:.1f} kg", ways=ways, by=cutter,
                              key=_key(draw))  # fmt: skip
    expected = expected_of(cutting, hanging, trim=shop.trim)
    pieces_kg = {slug: max(0.02, kg.mean * draw.gauss(1.0, 0.03)) for slug, kg in expected.pieces.items()}
    scale = (1 - MISSING_SHARE) * float(off_rail_kg) / sum(pieces_kg.values())
    for number, (slug, piece_kg) in enumerate(pieces_kg.items()):
        weight_kg = Decimal(f"{max(0.01, scale * piece_kg):.2f}")
        with standing_at(at + timedelta(minutes=3 * number)):
            block.weigh_piece(
                cutting, slug, weight_kg=weight_kg, typed=f"{weight_kg} kg", key=_key(draw), by=cutter
            )
    with standing_at(at + timedelta(minutes=3 * len(pieces_kg))):
        return block.finish(cutting, by=cutter)


def _pack_and_sell(cutting: Cutting, cut: date, today: date, counter: Person, draw: random.Random) -> None:
    """What has a price, in packs of half a kilogram to two; most of them sold since, at that price."""
    lot = Lot.objects.get(cutting=cutting)
    prices = list_prices(lot.kind).cuts
    shelf_days = dict(Demand.objects.values_list("slug", "shelf_days"))
    for line in cutting.weights.order_by("pk"):
        price = prices.get(line.slug)
        if price is None:
            continue
        left_kg, count = float(line.weight_kg), max(1, round(float(line.weight_kg) / draw.uniform(0.5, 2.0)))
        for _ in range(count):
            made = packs.pack(lot, line.slug, net_kg=kept_kg(left_kg / count), key=_key(draw), by=counter,
                              at=_at(cut, 21), price_cents_per_kg=price,
                              use_by=cut + timedelta(days=shelf_days.get(line.slug, 5)))  # fmt: skip
            sold_on = cut + timedelta(days=draw.randint(1, 7))
            if sold_on >= today:
                continue
            what = draw.choices((PackEnd.SOLD, PackEnd.EATEN, PackEnd.SPOILED), (97, 1, 2))[0]
            cents = round(float(made.net_kg) * price) if what == PackEnd.SOLD else 0
            packs.happened(made, what, key=_key(draw), at=_at(sold_on, 17), by=counter, cents=cents)


def _key(draw: random.Random) -> uuid.UUID:
    return uuid.UUID(int=draw.getrandbits(128))


def _at(day: date, hour_utc: int) -> datetime:
    return datetime.combine(day, time(hour_utc), UTC)
