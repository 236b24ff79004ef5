"""What the grinder's pages show: trim on hand, the blend of it, a batch with its lines, and its record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import F
from django.utils import timezone

from gambrel.files.sheets.grinding_record import grinding_record_pdf
from gambrel.files.sheets.inputs import Head
from gambrel.grind import GrindCase, GrindPlan, GroundProduct, blend
from gambrel.grind.lean_points import LeanPoint
from gambrel.grind.names import FAT_TEST_PCT, GROUND_NAMES, GroundName
from gambrel.grind.record import GrindingRecord
from gambrel.grind.rules import why_not
from gambrel.shop.records.batch_species import standing_inputs
from gambrel.shop.records.grinding import product_of, record_of
from gambrel.shop.records.models import Batch, BatchInput, CleanUp, LeanTest, ShopProfile
from gambrel.shop.records.tubs import (
    Tub,
    lean_points,
    left_in_grinder,
    named_lean_pct,
    tubs_on_hand,
)

DONE_SHOWN, MOST_OPEN = 20, 20


@dataclass(frozen=True, slots=True)
class GrindPage:
    """Trim on hand, fresh and frozen; batches open and closed; the last clean-up; what tests say of the trim."""

    fresh: tuple[Tub, ...]
    frozen: tuple[Tub, ...]
    open: tuple[Batch, ...]
    done: tuple[Batch, ...]
    clean_up: CleanUp | None
    learned: tuple[tuple[str, LeanPoint], ...]

    @property
    def fresh_kg(self) -> float:
        return sum(tub.left_kg for tub in self.fresh)

    @property
    def frozen_kg(self) -> float:
        return sum(tub.left_kg for tub in self.frozen)


def grind_page(today: date, shop: ShopProfile | None = None) -> GrindPage:
    lean = lean_points(named_lean_pct(shop))
    tubs = tubs_on_hand(today, lean)
    newest = F("ended_at").desc(nulls_first=True)
    batches = Batch.objects.select_related("begun_by", "clean_up").order_by(newest, "-pk")
    shown = list(batches[: MOST_OPEN + DONE_SHOWN])
    opened = sorted((one for one in shown if one.ended_at is None), key=lambda one: one.begun_at)
    return GrindPage(
        fresh=tuple(tub for tub in tubs if not tub.is_frozen),
        frozen=tuple(tub for tub in tubs if tub.is_frozen),
        open=tuple(opened),
        done=tuple(one for one in shown if one.ended_at is not None)[:DONE_SHOWN],
        clean_up=CleanUp.objects.select_related("by").order_by("-at", "-pk").first(),
        learned=tuple((slug, point) for slug, point in lean.items() if point.tests_count and "-" in slug),
    )


def blend_of_tubs(
    tubs: Iterable[Tub],
    products: Iterable[GroundProduct],
    *,
    today: date,
    objective: str,
    age_limit_days: int | None,
) -> GrindPlan:
    """The batches that these tubs make. `CannotDo` names the orders that cannot be met, and what lacks."""
    trims = tuple(tub.as_trim(today) for tub in tubs)
    return blend(GrindCase(trims, tuple(products), objective, age_limit_days))


@dataclass(frozen=True, slots=True)
class BatchLine:
    """One line as it was written; `replaced` by a later one, or `taken_out` itself."""

    line: BatchInput
    name: str
    replaced: bool

    @property
    def counts(self) -> bool:
        return not self.replaced and not self.line.taken_out


@dataclass(frozen=True, slots=True)
class Asked:
    """What the blend wanted of a tub, and how much of it is in."""

    tub: Tub
    asked_kg: float
    in_kg: float

    @property
    def is_in(self) -> bool:
        return self.in_kg >= 0.98 * self.asked_kg


@dataclass(frozen=True, slots=True)
class BatchPage:
    """A batch: what it is to be, what is in it, which tubs may go in (with what lies in the grinder), its tests.

    `kept_apart` lies in the grinder and may not go in, with the reason: it has to be cleaned out first.
    """

    batch: Batch
    name: GroundName
    record: GrindingRecord
    asked: tuple[Asked, ...]
    tubs: tuple[Tub, ...]
    lines: tuple[BatchLine, ...]
    tests: tuple[LeanTest, ...]
    kept_apart: tuple[tuple[Tub, str], ...] = ()

    @property
    def lean_pct(self) -> float | None:
        return self.record.lean_pct

    @property
    def fat_pct(self) -> float | None:
        return None if self.lean_pct is None else 100.0 - self.lean_pct

    @property
    def stated_fat_pct(self) -> float:
        return 100.0 - self.batch.lean_pct

    @property
    def is_too_fat(self) -> bool:
        """Fatter than is stated; a hundredth of a point is the rounding of the weights."""
        return self.fat_pct is not None and self.fat_pct > self.stated_fat_pct + 0.01

    @property
    def is_unlawful(self) -> bool:
        return self.fat_pct is not None and self.fat_pct > self.name.fat_ceiling_pct + 0.01

    @property
    def wants_test(self) -> bool:
        return self.fat_pct is not None and self.fat_pct > FAT_TEST_PCT and not self.tests

    @property
    def has_new_source(self) -> bool:
        """More than one source in it; each is named, and a recall would take in all of them."""
        return len(self.record.sources()) > 1


def batch_page(batch: Batch, today: date) -> BatchPage:
    """Everything about a batch; once it is closed no tub is offered any more."""
    standing = standing_inputs(batch)
    record, product = record_of(batch, standing), product_of(batch)
    on_hand = tubs_on_hand(today) if batch.ended_at is None else []
    by_id = {tub.id: tub for tub in on_hand}
    in_kg: dict[str, float] = {}
    for line in standing:
        in_kg[_tub_id(line)] = in_kg.get(_tub_id(line), 0.0) + float(line.weight_kg)
    asked = tuple(
        Asked(by_id[one["tub"]], float(one["kg"]), in_kg.get(one["tub"], 0.0))
        for one in batch.asked
        if one["tub"] in by_id
    )
    left = left_in_grinder(batch) if batch.ended_at is None else []
    allowed = [tub for tub in [*on_hand, *left] if not why_not(tub.as_trim(), product)]
    rows = BatchInput.objects.filter(batch=batch).select_related("weight", "bought", "carried", "by")
    every = list(rows.order_by("-at", "-pk"))
    replaced = {line.corrects_id for line in every}
    return BatchPage(
        batch=batch,
        name=GROUND_NAMES[batch.name],
        record=record,
        asked=asked,
        tubs=tuple(allowed),
        lines=tuple(BatchLine(line, _slug_of(line), line.pk in replaced) for line in every),
        tests=tuple(batch.lean_tests.select_related("by").order_by("-at", "-pk")),
        kept_apart=tuple((tub, why) for tub in left if (why := why_not(tub.as_trim(), product))),
    )


def _tub_id(line: BatchInput) -> str:
    if line.weight_id:
        return f"w{line.weight_id}"
    return f"b{line.bought_id}" if line.bought_id else f"c{line.carried_id}"


def _slug_of(line: BatchInput) -> str:
    if line.weight is not None:
        return line.weight.slug
    return line.bought.slug if line.bought is not None else str(line.carried)


def record_pdf(shop: ShopProfile, batch: Batch, *, at: datetime, paper: str) -> bytes:
    """The record of a batch to print and file."""
    head = Head(shop.name, f"Grinding record {batch.code}", timezone.localtime(at).date())
    tests = [
        (timezone.localtime(one.at).replace(tzinfo=None), one.fat_pct, one.how)
        for one in batch.lean_tests.order_by("at", "pk")
    ]
    return grinding_record_pdf(
        head,
        record_of(batch),
        out_kg=None if batch.out_kg is None else float(batch.out_kg),
        meat_c=batch.meat_c,
        plate_mm=batch.plate_mm,
        made_by=batch.begun_by.name if batch.begun_by else "",
        why=batch.why,
        tests=tests,
        paper=paper,
    )
