"""A season at the invented shop's block: sides cut over the last four months, with what a real season has in it.

Two suppliers whose animals cut out unlike the book, one side with a line stored twice, one with a piece never weighed.
The lines are laid down together, not one by one through the services, so that the demo stays quick.
"""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import ROUND_DOWN, Decimal

from gambrel.breakdown.balance import group_of
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import Spread
from gambrel.hang.loss import LossModel
from gambrel.sell.share_bill import Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.clock import standing_at
from gambrel.shop.demo import PLANT
from gambrel.shop.records.grinding import record_of
from gambrel.shop.records.list_prices import list_prices
from gambrel.shop.records.models import (
    Animal,
    Batch,
    Bill,
    Cutting,
    FaceAccepted,
    FaceReading,
    HowRead,
    Lot,
    Pack,
    PackEnd,
    PackEvent,
    Person,
    Rail,
    ScaleWeight,
    Share,
    ShopProfile,
    Side,
    SideMove,
    SideState,
    Supplier,
    TubEnd,
    TubEvent,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.selectors.block_expected import expected_of, hanging_animal, ways_for
from gambrel.shop.records.services import grind, shares
from gambrel.shop.records.services.lessons import learn_from
from gambrel.shop.records.services.told import tell
from gambrel.shop.records.tubs import NAMED_LEAN_PCT, tubs_on_hand
from gambrel.shop.records.week import kinds_of_shop

SEED, WEEKS = 23, 14
SPREAD = 0.06
"""How far a piece of one side lies from the mean, as a share; made up."""
MISSING_SHARE = 0.003
DRY_SHARE_A_DAY = 0.0006
"""The invented coolers take so much more of a side a day than the book says; made up."""
UNLISTED_CENTS_PER_KG = 1650.0
"""What a cut that is on no price list went for; made up. Bones and fat were given away."""


@dataclass(frozen=True, slots=True)
class Sort:
    """Animals of one kind and supplier: usual hot weight of a side, days hung, price, and what they cut out apart."""

    kind: str
    sex: str
    supplier: str
    side_kg: float
    days_hung: int
    paid_cents: int
    apart: dict[str, float]


SORTS = (
    Sort("grain-finished", "steer", "Two Mile Feeding", 178.0, 14, 231_000, {"trim-fat": 1.12}),
    Sort(
        "grain-finished", "steer", "Larkspur Draw", 171.0, 14, 219_000, {"trim-85": 0.9, "chuck-roll": 1.06}
    ),
    Sort("grass-finished", "steer", "Larkspur Draw", 142.0, 14, 198_000, {"trim-fat": 0.85}),
    Sort("bison", "bull", "Our own herd", 156.0, 7, 264_000, {"brisket-whole": 1.08}),
)


def cut_a_season(today: date) -> list[Cutting]:
    """One animal a week, each side on its own; seeded, so that the same season comes out again."""
    draw, cutter = random.Random(SEED), Person.objects.get(role="cutter")
    faces = random.Random(SEED + 2)
    made: list[Cutting] = []
    for week in range(WEEKS):
        sort = SORTS[week % len(SORTS)]
        cut = today - timedelta(days=7 * (WEEKS - week) + 8)
        made += _through(sort, f"S{week + 1}", cut, draw, faces, cutter)
    _slip_in(made)
    return made


def grind_and_share(today: date) -> tuple[Batch, Share]:
    """Trim of the newest animals ground yesterday, and a quarter sold of the first animal that hangs."""
    draw, cutter = random.Random(SEED + 1), Person.objects.get(role="cutter")
    counter, at = Person.objects.get(role="counter"), _at(today - timedelta(days=1), 16)
    tubs = [
        tub for tub in tubs_on_hand(today) if tub.species == "cattle" and not tub.owner and tub.left_kg > 1
    ]
    with standing_at(at):
        grind.clean_up(key=_key(draw), at=at - timedelta(hours=2), by=cutter, note="grinder, tables and tubs")
        batch = grind.begin("ground-beef", lean_pct=75.0, inspected="federal", owner_name="", asked=[],
                            key=_key(draw), by=cutter)  # fmt: skip
        for tub in sorted(tubs, key=lambda tub: -tub.lean_pct)[:3]:
            kg = Decimal(f"{0.5 * tub.left_kg:.2f}")
            grind.weigh_in(batch, tub.id, weight_kg=kg, typed=f"{kg} kg", key=_key(draw), by=cutter)
        in_kg = Decimal(f"{record_of(batch).in_kg:.2f}")
        batch = grind.close(batch, out_kg=in_kg - Decimal("0.15"), by=cutter, meat_c=2.5, plate_mm=4.5)
        fat_pct = round(100.0 - (record_of(batch).lean_pct or 75.0) + 1.5, 1)
        grind.lean_test(batch, fat_pct=fat_pct, how="fat meter", key=_key(draw), by=cutter)
    animal = Animal.objects.filter(sides__state=SideState.HANGING, inspected="federal").order_by("pk")[0]
    share = shares.agree(
        customer="The Juniper Table", contact="", animal=animal, portion="quarter", key=_key(draw), by=counter,
        bought_on=today - timedelta(days=1), wishes=OwnerWishes(takes_bones=True),
        terms=Terms(hanging_cents_per_kg=1100.0, cut_wrap_cents_per_kg=245.0, head_fee_cents=95_00,
                    deposit_cents=200_00),
    )  # fmt: skip
    return batch, share


def _through(
    sort: Sort, tag: str, cut: date, draw: random.Random, faces: random.Random, cutter: Person
) -> Iterator[Cutting]:
    killed = cut - timedelta(days=sort.days_hung)
    animal = Animal.objects.create(
        tag=tag, kind=sort.kind, sex=sort.sex, age_months=24, killed_on=killed, killed_at_plant=PLANT,
        inspected="federal", supplier=Supplier.objects.get(name=sort.supplier),
        kph_pct=round(draw.uniform(1.8, 3.0), 1),
    )  # fmt: skip
    Bill.objects.create(animal=animal, basis="head", paid_cents=sort.paid_cents, kill_fee_cents=95_00)
    for number, half in enumerate(("left", "right")):
        hot_kg = Decimal(f"{sort.side_kg * draw.gauss(1.0, 0.05):.1f}")
        side = Side.objects.create(
            animal=animal, half=half, hot_kg=hot_kg, hung_at=_at(killed, 18), state=SideState.CUT
        )
        hung = SideMove(side=side, at=side.hung_at, rail=_rail_of(sort), state=SideState.HANGING, by=cutter)
        hung.save()
        if number == 0:
            _face_read(side, faces, cutter)
        yield _cut(side, sort, _at(cut, 15) + timedelta(hours=2 * number), draw, cutter)


def _rail_of(sort: Sort) -> Rail:
    """Bison hang in the second room, cattle in the first."""
    rooms = list(Rail.objects.order_by("room_id", "order"))
    return rooms[-1] if sort.kind == "bison" else rooms[0]


def _face_read(side: Side, faces: random.Random, cutter: Person) -> None:
    """Ruler and dot grid, the day after the kill; the figures fall about the kind's usual ones."""
    kind, at = kinds_of_shop()[side.animal.kind], side.hung_at + timedelta(days=1)

    def near(usual: Spread, least: float) -> float:
        return round(max(least, faces.gauss(usual.mean, usual.sd)), 1)

    reading = FaceReading.objects.create(
        side=side, at=at, by=cutter, how=HowRead.BY_HAND, fat_mm=near(kind.fat_mm, 1.0),
        ribeye_cm2=near(kind.ribeye_cm2, 45.0), marbling_score=near(kind.marbling_score, 100.0),
    )  # fmt: skip
    FaceAccepted.objects.create(reading=reading, side=side, at=at, by=cutter)


def _cut(side: Side, sort: Sort, at: datetime, draw: random.Random, cutter: Person) -> Cutting:
    shop, hanging = ShopProfile.objects.get(), hanging_animal(side)
    hot_kg, kind = float(side.hot_kg), hanging.kind
    loss = LossModel.prior(kind, fat_mm=hanging.animal.fat_mm, side_hot_kg=hot_kg)
    chilled_kg, begun_kg = (
        Decimal(f"{hot_kg * (loss.remaining_mean(days) - dry + draw.gauss(0.0, loss.noise_share)):.1f}")
        for days, dry in ((1.0, 0.0), (sort.days_hung, DRY_SHARE_A_DAY * sort.days_hung))
    )
    _weighed(side, chilled_kg, side.hung_at + timedelta(days=1), cutter, why="after the chill")
    _weighed(side, begun_kg, at, cutter, why="off the rail")
    cutting = Cutting.objects.create(side=side, begun_at=at, begun_by=cutter, begun_kg=begun_kg,
                                     ways=ways_for(side, hanging, shop)[0])  # fmt: skip
    Lot.objects.create(
        code=f"{at:%y%j}-{cutting.pk}", cutting=cutting, made_on=at.date(), kind=sort.kind, inspected="federal",
        species=hanging.animal.species,
    )  # fmt: skip
    pieces = expected_of(
        cutting, hanging, trim=shop.trim
    ).pieces  # by the book: what is learned is not the truth
    with standing_at(at):
        tell(cutting)
    kg = {slug: max(0.02, one.mean * sort.apart.get(slug, 1.0) * draw.gauss(1.0, SPREAD))
          for slug, one in pieces.items()}  # fmt: skip
    scale = (1 - MISSING_SHARE) * float(begun_kg) / sum(kg.values())
    lines = []
    for number, (slug, piece_kg) in enumerate(kg.items()):
        weight_kg = Decimal(f"{max(0.02, scale * piece_kg):.2f}")
        lines.append(ScaleWeight(key=_key(draw), cutting=cutting, slug=slug, weight_kg=weight_kg, by=cutter,
                                 typed=f"{weight_kg} kg", at=at + timedelta(minutes=3 * number)))  # fmt: skip
    ScaleWeight.objects.bulk_create(lines)
    cutting.ended_at, cutting.ended_by = at + timedelta(minutes=3 * len(lines)), cutter
    cutting.save(update_fields=("ended_at", "ended_by"))
    with standing_at(cutting.ended_at):
        learn_from(cutting)
    _sold(cutting, lines, at, draw)
    return cutting


def _sold(cutting: Cutting, lines: list[ScaleWeight], at: datetime, draw: random.Random) -> None:
    """All meat was packed and sold within the week; trim went as ground meat of its lean point."""
    lot, counter = cutting.lots.get(), Person.objects.get(role="counter")
    cuts, prices = shipped_cuts(), list_prices(lot.kind)
    packs: list[Pack] = []
    stays_kg: dict[str, Decimal] = {}
    for line in lines:
        lean_pct = NAMED_LEAN_PCT.get(line.slug)
        price = prices.cuts.get(line.slug) if lean_pct is None else prices.of_trims(lean_pct)
        if price is None and group_of(cuts[line.slug]) not in ("cuts", "trim"):
            continue
        price = UNLISTED_CENTS_PER_KG if price is None else price
        count = max(1, round(float(line.weight_kg) / draw.uniform(1.0, 3.0)))
        net_kg = (line.weight_kg / count).quantize(Decimal("0.001"), ROUND_DOWN)
        packs += [Pack(key=_key(draw), lot=lot, slug=line.slug, net_kg=net_kg, at=at + timedelta(hours=6), by=counter,
                       price_cents_per_kg=price) for _ in range(count) if net_kg > 0]  # fmt: skip
        stays_kg[line.slug] = line.weight_kg - count * net_kg
    made = Pack.objects.bulk_create(packs)
    PackEvent.objects.bulk_create(
        PackEvent(key=_key(draw), pack=one, what=PackEnd.SOLD, by=counter,
                  at=at + timedelta(days=draw.randint(1, 7), hours=2),
                  cents=round(float(one.net_kg) * (one.price_cents_per_kg or 0.0)))
        for one in made
    )  # fmt: skip
    TubEvent.objects.bulk_create(
        TubEvent(key=_key(draw), weight=line, what=TubEnd.THROWN, by=counter, at=at + timedelta(hours=6),
                 weight_kg=stays_kg[line.slug], why="stuck to the tub when the trim was packed")
        for line in lines if line.slug in NAMED_LEAN_PCT
    )  # fmt: skip


def _weighed(side: Side, weight_kg: Decimal, at: datetime, cutter: Person, *, why: str) -> None:
    Weighing.objects.create(
        side=side, at=at, weight_kg=weight_kg, typed=f"{weight_kg} kg", by=cutter, why=why
    )


def _slip_in(made: list[Cutting]) -> None:
    """Two of the newest sides have a slip for the learn pages to find: a heavy piece stored twice, one left out."""
    twice, short = made[-1], made[-3]
    heavy = twice.weights.exclude(slug__startswith="trim").order_by("-weight_kg")[1]
    ScaleWeight.objects.create(
        key=uuid.uuid5(heavy.key, "again"), cutting=twice, slug=heavy.slug, weight_kg=heavy.weight_kg,
        typed=heavy.typed, at=heavy.at + timedelta(minutes=1), by=heavy.by,
    )  # fmt: skip
    gone = short.weights.exclude(slug__startswith="trim").order_by("-weight_kg")[2]
    ScaleWeight.objects.create(
        key=uuid.uuid5(gone.key, "out"), cutting=short, slug=gone.slug, weight_kg=gone.weight_kg, typed=gone.typed,
        by=gone.by, at=gone.at, corrects=gone, taken_out=True, why="weighed on another side",
    )  # fmt: skip
    for cutting in (twice, short):
        learn_from(cutting)


def _key(draw: random.Random) -> uuid.UUID:
    return uuid.UUID(int=draw.getrandbits(128))


def _at(day: date, hour_utc: int) -> datetime:
    return datetime.combine(day, time(hour_utc), UTC)
