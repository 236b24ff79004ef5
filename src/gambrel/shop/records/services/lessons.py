"""Lessons: what a finished side teaches of the yields, written down when it is finished and when it is put right."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from django.db import transaction

from gambrel.learn.block import BlockTest
from gambrel.shop.clock import now
from gambrel.shop.records.hung import Losses
from gambrel.shop.records.models import Cutting, Lesson, ScaleWeight, Side
from gambrel.shop.records.shop_yields import MOST_SIDES
from gambrel.shop.records.stored import plain
from gambrel.shop.records.week import faces_of, hanging_of, kinds_of_shop

LEAST_BALANCED_SHARE, MOST_BALANCED_SHARE = 0.975, 1.005
"""Of what came off the rail, so much must have been weighed for a side to teach anything. Common practice."""


@transaction.atomic
def learn_from(cutting: Cutting) -> Lesson | None:
    """The lesson of a finished side as its weights stand now; None where it says what the last one said."""
    return _learn([cutting])[0] if cutting.ended_at is not None else None


@transaction.atomic
def catch_up() -> int:
    """Lessons of the newest finished sides that have none yet, oldest first; gives how many were written."""
    ended = Cutting.objects.filter(ended_at__isnull=False, lessons__isnull=True).order_by("-begun_at", "-pk")
    return sum(line is not None for line in _learn(list(reversed(ended[:MOST_SIDES]))))


def _learn(cuttings: Sequence[Cutting]) -> list[Lesson | None]:
    if not cuttings:
        return []
    keys = [cutting.pk for cutting in cuttings]
    loaded = (
        Cutting.objects.filter(pk__in=keys).select_related("side__animal__supplier", "begun_by").in_bulk()
    )
    weighed, last = _weighed(keys), _last_tests(keys)
    sides = _sides(one.side.animal_id for one in loaded.values())
    faces, kinds = faces_of(side for both in sides.values() for side in both), kinds_of_shop()
    chain = Lesson.objects.order_by("-pk").values_list("chain", flat=True).first() or ""
    at = now()
    lines: list[Lesson | None] = []
    for key in keys:
        hanging = hanging_of(sides[loaded[key].side.animal_id], kinds, faces, losses=Losses({}))
        test = _test(loaded[key], hanging[0].animal, weighed.get(key, {})) if hanging else None
        told = None if test is None else plain(test)
        if key in last and last[key] == told:
            lines.append(None)
            continue
        chain = _next(chain, key, told)
        lines.append(Lesson.objects.create(cutting_id=key, at=at, test=told, chain=chain))
    return lines


def _sides(animals: Iterable[int]) -> Mapping[int, list[Side]]:
    """Both sides of each animal: what was read of one counts for the other."""
    found: dict[int, list[Side]] = {}
    for side in Side.objects.filter(animal__in=set(animals)).select_related("animal", "animal__bill", "pin"):
        found.setdefault(side.animal_id, []).append(side)
    return found


def _test(cutting: Cutting, animal: Any, kg: Mapping[str, float]) -> BlockTest | None:
    if not LEAST_BALANCED_SHARE <= sum(kg.values()) / float(cutting.begun_kg) <= MOST_BALANCED_SHARE:
        return None
    supplier = cutting.side.animal.supplier
    return BlockTest(animal, cutting.ways, kg, supplier.name if supplier else "",
                     cutting.begun_by.name if cutting.begun_by else "",
                     float(cutting.begun_at.date().toordinal()))  # fmt: skip


def _next(chain: str, cutting_id: int, told: Any) -> str:
    line = json.dumps([chain, cutting_id, told], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(line.encode()).hexdigest()


def _last_tests(keys: list[int]) -> dict[int, Any]:
    rows = Lesson.objects.filter(cutting__in=keys).order_by("pk")
    return dict(rows.values_list("cutting_id", "test"))


def _weighed(keys: list[int]) -> Mapping[int, dict[str, float]]:
    """Net weight by slug [kg] of every cutting, out of the lines that stand."""
    rows = ScaleWeight.objects.standing().filter(cutting__in=keys)
    found: dict[int, dict[str, float]] = {}
    for cutting_id, slug, weight_kg in rows.order_by("pk").values_list("cutting_id", "slug", "weight_kg"):
        kg = found.setdefault(cutting_id, {})
        kg[slug] = kg.get(slug, 0.0) + float(weight_kg)
    return found
