"""Tubs of trim on hand: off the block's scale, bought in boxes, or left in the grinder from the batch before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery, Sum
from django.utils import timezone

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import Kind
from gambrel.grind import Trim
from gambrel.grind.lean_points import LeanPoint, LeanTested, learned_lean_points
from gambrel.grind.names import PRIMALS
from gambrel.measures import CannotDo, Finding
from gambrel.shop.records.batch_species import contents_of, is_fat, standing_inputs
from gambrel.shop.records.models import (
    Batch,
    BatchInput,
    BoughtTrim,
    LeanTest,
    ScaleWeight,
    ShopProfile,
    TubEnd,
    TubEvent,
)
from gambrel.shop.records.tub_sums import grams, left_in_tubs
from gambrel.shop.records.week import kinds_of_shop

LONGEST_KEPT_DAYS = 400
"""Trim older than this is not looked for, even in the freezer."""
FRESH_KEPT_DAYS = 30
"""Fresh trim is ground, packed or frozen within days: what was forgotten for so long is no meat for the grinder any
more. Its lot's balance still says that it is missing."""
DUST_KG = 0.02
LEAST_CARRIED_KG = 0.02
TESTS_LEARNED_FROM = 300

NAMED_LEAN_PCT = {slug: cut.lean_pct for slug, cut in shipped_cuts().items() if cut.lean_pct is not None}
"""Trim of the catalogue by its lean point. Other pieces come to the grinder once the shop has said their lean."""

MAY_BE_GROUND = tuple(
    slug for slug, cut in shipped_cuts().items()
    if cut.lean_pct is None and cut.primal != "variety" and cut.use in ("grind", "stew", "fat")
    and not slug.startswith(("ground-", "hamburger", "beef-patty"))
)  # fmt: skip
"""Pieces whose name says no lean: shank meat, tails, fat. What is ground already is none of them."""


@dataclass(frozen=True, slots=True)
class Tub:
    """Trim as the grinder takes it. `id` is w, b or c (weighed, bought, carried over) and the number of its line.

    `lean_pct` is what it counts as: the shop's own figure where tests have told it, else that of its name. `mixed`
    is each species with its share, where it is of more than one, as what stays in the grinder may be.
    """

    id: str
    slug: str
    kind: str
    species: str
    inspected: str
    owner: str
    left_kg: float
    lean_pct: float
    made_on: date
    lot: str
    plant: str
    is_frozen: bool
    where: str
    cost_cents_per_kg: float = 0.0
    weight: ScaleWeight | None = None
    bought: BoughtTrim | None = None
    carried: Batch | None = None
    mixed: tuple[tuple[str, float], ...] = ()
    holds_added_fat: bool = False
    """What stays in the grinder of a batch into which fat went as such: it may not follow into ground beef."""

    def age_days(self, on: date) -> int:
        return (on - self.made_on).days

    def as_trim(self, on: date | None = None) -> Trim:
        """As the blend takes it; frozen trim does not age."""
        cut = shipped_cuts().get(self.slug)
        age = None if on is None else 0 if self.is_frozen else max(0, self.age_days(on))
        return Trim(
            id=self.id, weight_kg=self.left_kg, lean_pct=self.lean_pct, species=self.species,
            inspected=self.inspected, owner=self.owner, lot=self.lot, age_days=age,
            fat_class=self.holds_added_fat or is_fat(self.slug),
            primal=cut.primal if cut and cut.primal in PRIMALS else "",
            cost_cents_per_kg=0.0 if self.owner else self.cost_cents_per_kg, mixed=self.mixed,
        )  # fmt: skip


def named_lean_pct(shop: ShopProfile | None = None) -> dict[str, float]:
    """Every piece that the grinder is offered, with what its name or the shop says of its lean [%]."""
    said = shop.lean_said if shop else ShopProfile.objects.values_list("lean_said", flat=True).first() or {}
    return NAMED_LEAN_PCT | {slug: float(pct) for slug, pct in said.items() if slug in MAY_BE_GROUND}


def tubs_on_hand(today: date, lean: Mapping[str, LeanPoint] | None = None) -> list[Tub]:
    """Every tub with something left in it, oldest first; frozen ones with the rest. Some ten queries.

    `lean` are the lean points where they have been asked for already.
    """
    since = today - timedelta(days=LONGEST_KEPT_DAYS)
    lean = lean_points(named_lean_pct()) if lean is None else lean
    kinds = kinds_of_shop()
    weighed = list(
        _not_thrown("weight", _may_be_left(today).filter(slug__in=lean))
        .select_related("cutting__side__animal")
        .prefetch_related("cutting__lots")
    )
    left = left_in_tubs(weighed)
    tubs = [_weighed(line, lean, kinds, left[line.pk]) for line in weighed]
    tubs += [_bought(box, lean) for box in _boxes().filter(made_on__gte=since)]
    return sorted((tub for tub in tubs if tub.left_kg > DUST_KG), key=lambda tub: (tub.made_on, tub.id))


def tub_of(tub_id: str) -> Tub:
    """The tub of this name, even an empty one; `CannotDo` where there is none."""
    sort, number = tub_id[:1], tub_id[1:]
    named = named_lean_pct()
    lean = lean_points(named)
    if number.isdecimal() and len(number) < 18:
        if sort == "w":
            tubs = _not_thrown("weight", ScaleWeight.objects.standing().filter(slug__in=named))
            line = tubs.filter(pk=number).select_related("cutting__side__animal").first()
            if line is not None:
                left = left_in_tubs(tubs.filter(cutting=line.cutting_id, slug=line.slug))
                return _weighed(line, lean, kinds_of_shop(), left[line.pk])
        if sort == "b" and (box := _boxes().filter(pk=number).first()) is not None:
            return _bought(box, lean)
        if (
            sort == "c"
            and (batch := Batch.objects.filter(pk=number, ended_at__isnull=False).first()) is not None
        ):
            return carried_tub(batch)
    raise CannotDo([Finding("tub", tub_id[:20], "a tub that is on hand", "Choose it from the list.")])


def carried_tub(batch: Batch) -> Tub:
    """What stays in the grinder of a batch: what went in and has not come out."""
    lines = standing_inputs(batch)
    in_kg = sum(float(line.weight_kg) for line in lines)
    lean_pct = (
        sum(float(line.weight_kg) * line.lean_pct for line in lines) / in_kg if in_kg else batch.lean_pct
    )
    on = sum(float(line.weight_kg) for line in BatchInput.objects.standing().filter(carried=batch))
    kinds = {line.weight.cutting.side.animal.kind for line in lines if line.weight is not None}
    held = contents_of(batch, lines)
    species = held.shares[0][0]
    return Tub(
        id=f"c{batch.pk}", slug=batch.name, kind=kinds.pop() if len(kinds) == 1 else species, species=species,
        mixed=held.mixed,
        inspected=batch.inspected, owner=batch.owner_name, left_kg=max(0.0, in_kg - float(batch.out_kg or 0) - on),
        lean_pct=lean_pct, made_on=timezone.localtime(batch.begun_at).date(), lot=batch.code, plant="",
        is_frozen=False, where=batch.code, carried=batch, holds_added_fat=held.holds_added_fat,
    )  # fmt: skip


def left_in_grinder(batch: Batch) -> list[Tub]:
    """Carry-over: what the batch before this one left in the grinder, unless it was cleaned since. One, or none."""
    before = Batch.objects.filter(ended_at__isnull=False, begun_at__lte=batch.begun_at).exclude(pk=batch.pk)
    last = before.order_by("-begun_at", "-pk").first()
    if last is None or last.clean_up_id != batch.clean_up_id:
        return []
    tub = carried_tub(last)
    return [tub] if tub.left_kg >= LEAST_CARRIED_KG else []


def lean_points(offered: Mapping[str, float]) -> Mapping[str, LeanPoint]:
    """Every trim that is `offered` with what fat tests of batches say of it; boxes and carry-over by their own ids.

    Two queries, however many batches there are.
    """
    newest = list(LeanTest.objects.order_by("-at", "-pk")[:TESTS_LEARNED_FROM])
    kg: dict[int, dict[str, float]] = {test.batch_id: {} for test in newest}
    named = dict(offered)
    rows = BatchInput.objects.standing().filter(batch__in=kg)
    for line in rows.select_related("weight"):
        if line.weight is not None:
            sort = line.weight.slug
            named.setdefault(sort, line.lean_pct)  # offered then, and no more
        else:
            sort = f"b{line.bought_id}" if line.bought_id else f"c{line.carried_id}"
            named[sort] = line.lean_pct
        kg[line.batch_id][sort] = kg[line.batch_id].get(sort, 0.0) + float(line.weight_kg)
    tests = [
        LeanTested(kg[test.batch_id], 100.0 - test.fat_pct) for test in reversed(newest) if kg[test.batch_id]
    ]
    return learned_lean_points(named, tests)


def _may_be_left(today: date) -> QuerySet[ScaleWeight]:
    """Weights of cuttings of the last weeks, and of older ones of which anything was ever frozen."""
    fresh, kept = (
        timezone.make_aware(datetime.combine(today - timedelta(days=days), time.min))
        for days in (FRESH_KEPT_DAYS, LONGEST_KEPT_DAYS)
    )
    frozen = TubEvent.objects.filter(what=TubEnd.FROZEN, at__gte=kept).values("weight__cutting")
    return ScaleWeight.objects.standing().filter(Q(at__gte=fresh) | Q(cutting__in=frozen, at__gte=kept))


def _not_thrown(field: str, rows: QuerySet[Any]) -> QuerySet[Any]:
    """The rows with `last_event`; those that were thrown away are left out."""
    last = TubEvent.objects.filter(**{field: OuterRef("pk")}).order_by("-at", "-pk").values("what")[:1]
    rows = rows.annotate(last_event=Subquery(last))
    left: QuerySet[Any] = rows.filter(Q(last_event__isnull=True) | ~Q(last_event=TubEnd.THROWN))
    return left


def _boxes() -> QuerySet[Any]:
    """Boxes that were not thrown away, with `ground_kg` that batches took."""
    stands = Q(ground__taken_out=False, ground__corrected_by__isnull=True)
    boxes = BoughtTrim.objects.annotate(ground_kg=Sum("ground__weight_kg", filter=stands))
    return _not_thrown("bought", boxes)


def _weighed(
    line: ScaleWeight, lean: Mapping[str, LeanPoint], kinds: Mapping[str, Kind], left_kg: Decimal
) -> Tub:
    animal = line.cutting.side.animal
    lots = list(line.cutting.lots.all())
    kind = kinds.get(animal.kind)
    return Tub(
        id=f"w{line.pk}", slug=line.slug, kind=animal.kind, species=kind.species if kind else lots[0].species,
        inspected=animal.inspected, owner=animal.owner_name, left_kg=float(left_kg),
        lean_pct=round(lean[line.slug].own_pct, 1), made_on=timezone.localtime(line.at).date(),
        lot=lots[0].code if lots else "", plant=animal.killed_at_plant,
        is_frozen=_is_frozen(line), where=animal.tag, weight=line,
    )  # fmt: skip


def _bought(box: BoughtTrim, lean: Mapping[str, LeanPoint]) -> Tub:
    """A box counts as the lean that its papers state until a test tells otherwise."""
    told = lean.get(f"b{box.pk}")
    return Tub(
        id=f"b{box.pk}", slug=box.slug, kind=box.species, species=box.species, inspected=box.inspected, owner="",
        left_kg=float(box.weight_kg - grams(getattr(box, "ground_kg", None))),
        lean_pct=round(told.own_pct, 1) if told else box.lean_pct,
        made_on=box.made_on, lot=box.supplier_lot,
        plant=box.establishment, is_frozen=_is_frozen(box), where=box.establishment,
        cost_cents_per_kg=box.cost_cents_per_kg, bought=box,
    )  # fmt: skip


def _is_frozen(line: ScaleWeight | BoughtTrim) -> bool:
    """As `_not_thrown` put it beside the row."""
    return getattr(line, "last_event", None) == TubEnd.FROZEN
