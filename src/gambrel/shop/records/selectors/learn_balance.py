"""Where every side's weight went, from the hot scale to the last piece, and what is behind one that does not close."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import lru_cache

import numpy as np
from django.utils import timezone

from gambrel.breakdown.balance import GROUPS, Balance, group_of, tolerance_kg
from gambrel.catalog.cuts import shipped_cuts
from gambrel.learn.chain import Chain, balance_chain, day_chain
from gambrel.learn.expected import Expected as Judged
from gambrel.learn.expected import expected_side
from gambrel.learn.mistakes import Explanation, Line, explain
from gambrel.measures import Estimate
from gambrel.measures.scale import digit_of
from gambrel.plan.week import Hanging
from gambrel.shop.records.hung import losses_here
from gambrel.shop.records.models import Cutting, ScaleWeight, ShopProfile, SideForecast, Weighing
from gambrel.shop.records.selectors.block_expected import by_the_book, drawn_of
from gambrel.shop.records.shop_yields import Taught, taught
from gambrel.shop.records.side_forecasts import TOGETHER, figure_of
from gambrel.shop.records.week import faces_of, hanging_of, kinds_of_shop

SHOWN_SIDES = 40
CHILLED_WITHIN = timedelta(hours=40)
"""A weighing of the first or second day tells the chill from the hanging."""
TARES_TRIED = 5
UNREAD_DIGIT_KG = 0.1
"""Digit of a line whose text cannot be read any more: a tenth of a kilogram."""


@dataclass(frozen=True, slots=True)
class SideChain:
    """One side that was cut, with its chain; None where it came off the rail heavier than it was hung."""

    cutting: Cutting
    kind: str
    chain: Chain | None

    @property
    def day(self) -> date:
        return timezone.localtime(self.cutting.begun_at).date()


@dataclass(frozen=True, slots=True)
class DayChain:
    """All sides of a day as one."""

    day: date
    chain: Chain


@dataclass(frozen=True, slots=True)
class LearnPage:
    """The newest sides that were cut, and their days, newest first."""

    sides: tuple[SideChain, ...]
    days: tuple[DayChain, ...]
    total: Chain | None

    @property
    def open(self) -> tuple[SideChain, ...]:
        """Sides that do not close."""
        return tuple(side for side in self.sides if side.chain is None or not side.chain.closes)


@dataclass(frozen=True, slots=True)
class SideBalancePage:
    """One side with what could be behind its balance, the likeliest first."""

    side: SideChain
    explanation: Explanation | None
    weights: tuple[ScaleWeight, ...]
    cuttings: Mapping[str, int]
    """Half to the cutting of it, of the sides of the animal that were cut."""


def learn_page(shop: ShopProfile) -> LearnPage:
    """The balance of the newest sides, in a handful of queries."""
    ended = Cutting.objects.filter(ended_at__isnull=False).select_related("side__animal__bill", "side__pin")
    newest = list(ended.order_by("-begun_at")[:SHOWN_SIDES])
    sides = tuple(_chains(newest, _standing(newest), _hangings(newest), shop))
    by_day: dict[date, list[Chain]] = {}
    for side in sides:
        if side.chain is not None:
            by_day.setdefault(side.day, []).append(side.chain)
    every = [chain for chains in by_day.values() for chain in chains]
    days = tuple(DayChain(day, day_chain(chains)) for day, chains in by_day.items())
    return LearnPage(sides, days, day_chain(every) if every else None)


def side_balance_page(cutting: Cutting, shop: ShopProfile) -> SideBalancePage:
    """The side, and its fellow where that was cut too: a weight may have been written down on the wrong one."""
    fellows = Cutting.objects.filter(side__animal_id=cutting.side.animal_id, ended_at__isnull=False)
    rows = fellows.select_related("side__animal__bill", "side__animal__supplier", "side__pin", "begun_by")
    together = list(rows.prefetch_related("lots"))
    weights, hangings, known = _standing(together), _hangings(together), taught(shop)
    side = next(one for one in _chains(together, weights, hangings, shop) if one.cutting.pk == cutting.pk)
    judged = {one.side.half: _judged(one, weights[one.pk], hanging, known)
              for one, hanging in zip(together, hangings, strict=True)}  # fmt: skip
    lines = [_line(weight, one.side.half) for one in together for weight in weights[one.pk]]
    explanation = explain(lines, judged, tares_kg=_tares()) if len(weights[cutting.pk]) > 1 else None
    return SideBalancePage(side, explanation, tuple(weights[cutting.pk]),
                           {one.side.half: one.pk for one in together})  # fmt: skip


def _chains(
    cuttings: Sequence[Cutting], weights: Mapping[int, Sequence[ScaleWeight]], hangings: Sequence[Hanging],
    shop: ShopProfile,
) -> Iterable[SideChain]:  # fmt: skip
    weighings, told = _weighings(cuttings), _loss_told(cuttings)
    for cutting, hanging in zip(cuttings, hangings, strict=True):
        yield SideChain(
            cutting, hanging.kind.name,
            _chain(cutting, hanging, weights[cutting.pk], weighings.get(cutting.side_id, []),
                   told.get(cutting.side_id) or by_the_book(cutting, hanging, trim=shop.trim).loss_kg),
        )  # fmt: skip


def _chain(
    cutting: Cutting, hanging: Hanging, weights: Sequence[ScaleWeight], weighings: Sequence[Weighing],
    loss_kg: Estimate,
) -> Chain | None:  # fmt: skip
    cuts, side = shipped_cuts(), cutting.side
    group_kg = dict.fromkeys(GROUPS, 0.0)
    for line in weights:
        group_kg[group_of(cuts[line.slug])] += float(line.weight_kg)
    begun = next((one.typed for one in reversed(weighings) if one.weight_kg == cutting.begun_kg), "")
    digits = [_digit_kg(text) for text in (*(line.typed for line in weights), begun) if text]
    balance = Balance(float(cutting.begun_kg), group_kg, loss_kg, tolerance_kg(digits))
    chilled = [
        one for one in weighings if one.at <= side.hung_at + CHILLED_WITHIN and one.at < cutting.begun_at
    ]
    hot_kg = float(side.hot_kg)
    usual = 1.0 - hanging.loss(hot_kg).remaining_mean(1.0)
    chilled_kg = float(chilled[-1].weight_kg) if chilled else None
    if float(cutting.begun_kg) > (hot_kg if chilled_kg is None else min(hot_kg, chilled_kg)):
        return None
    return balance_chain(hot_kg=hot_kg, balance=balance, chilled_kg=chilled_kg, usual_chill_share=usual)


def _loss_told(cuttings: Sequence[Cutting]) -> dict[int, Estimate]:
    """Side to what saw, drip and air were to take, as it was told when it came to the block."""
    lines = SideForecast.objects.filter(side__in=[cutting.side_id for cutting in cuttings]).order_by("pk")
    return {side_id: figure_of(loss).estimate for side_id, loss in lines.values_list("side_id", "told__loss")}


def _hangings(cuttings: Sequence[Cutting]) -> list[Hanging]:
    """The animal of each side, as the steps see it."""
    sides = [cutting.side for cutting in cuttings]
    faces, kinds = faces_of(sides), kinds_of_shop()
    losses = losses_here(kinds)
    return [hanging_of([side], kinds, faces, losses=losses)[0] for side in sides]


def _standing(cuttings: Sequence[Cutting]) -> dict[int, list[ScaleWeight]]:
    rows = ScaleWeight.objects.standing().filter(cutting__in=cuttings)
    found: dict[int, list[ScaleWeight]] = {cutting.pk: [] for cutting in cuttings}
    for line in rows.order_by("at", "pk"):
        found[line.cutting_id].append(line)
    return found


def _weighings(cuttings: Sequence[Cutting]) -> dict[int, list[Weighing]]:
    sides = [cutting.side_id for cutting in cuttings]
    rows = Weighing.objects.standing().filter(side__in=sides)
    found: dict[int, list[Weighing]] = {}
    for line in rows.order_by("at", "pk"):
        found.setdefault(line.side_id, []).append(line)
    return found


def _judged(cutting: Cutting, weights: Sequence[ScaleWeight], hanging: Hanging, known: Taught) -> Judged:
    """What the side should give; where a whole group was weighed in its tub, the tub stands for all of it."""
    drawn = drawn_of(cutting, hanging, known)
    kg = dict(drawn.kg)
    cuts, weighed = shipped_cuts(), {line.slug for line in weights}
    for group, tub in TOGETHER.items():
        members = [slug for slug in kg if group_of(cuts[slug]) == group]
        if tub in weighed and members and not weighed & (set(members) - {tub}):
            kg[tub] = np.sum([kg.pop(slug) for slug in members], axis=0)
    digits = [_digit_kg(line.typed) for line in weights]
    return expected_side(_without_empty(kg), drawn.loss_kg, begun_kg=float(cutting.begun_kg),
                         tolerance_kg=tolerance_kg(digits))  # fmt: skip


def _without_empty(kg: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Pieces of which nothing is expected cannot be missing."""
    return {slug: draws for slug, draws in kg.items() if float(np.mean(draws)) > 0.005}


def _line(weight: ScaleWeight, half: str) -> Line:
    return Line(half, weight.slug, float(weight.weight_kg), _digit_kg(weight.typed), float(weight.tare_kg),
                str(weight.pk))  # fmt: skip


@lru_cache(maxsize=16_384)
def _digit_kg(typed: str) -> float:
    digit = digit_of(typed, bare_unit="kg")
    return UNREAD_DIGIT_KG if digit is None else float(digit)


def _tares() -> list[float]:
    """The tubs that this shop takes off."""
    used = ScaleWeight.objects.filter(tare_kg__gt=Decimal(0)).order_by("tare_kg")
    return [float(tare) for tare in used.values_list("tare_kg", flat=True).distinct()[:TARES_TRIED]]
