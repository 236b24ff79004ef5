"""What the shop's own block taught of its yields: the lessons of finished sides, and the models learned from them.

An edition is named by the lessons it was learned from and the shop's trim: the same lessons in the same order give the
same edition and the same models to the last digit, on whichever day they are learned.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from threading import Lock
from types import MappingProxyType

from gambrel.breakdown import ShareModel
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import Kind
from gambrel.catalog.ways import shipped_tree
from gambrel.learn.block import BlockTest, Book, WayKey
from gambrel.learn.shop_yields import ShopYields
from gambrel.plan.pinned import APART
from gambrel.plan.shares import Models, ModelSource
from gambrel.shop.records.models import Lesson, ShopProfile
from gambrel.shop.records.stored import restored

EDITION_LETTERS = 12
BOOK = "book"
"""Edition of a shop that has learned nothing yet."""

MOST_SIDES = 600
"""So many of the newest sides teach: older ones would change next to nothing, and cost time at every edition."""

STEP_SIDES, SMALL_STEP_SIDES = 20, 4
"""Everything is learned anew once in so many sides, in a shop of few sides in fewer; those between are added singly."""


@dataclass(frozen=True)
class Taught:
    """The sides that teach, in the order they were learned, and the edition of yields that they make.

    `lesson_id` is the newest lesson it counts; the first `anew_count` sides are learned together (None: all).
    """

    tests: tuple[BlockTest, ...]
    trim: str
    edition: str
    left_out_count: int
    lesson_id: int | None = None
    anew_count: int | None = None

    @property
    def anew(self) -> tuple[BlockTest, ...]:
        return self.tests[: self.anew_count]


def taught(shop: ShopProfile) -> Taught:
    """What the shop knows now. One query while nothing new was learned."""
    newest = Lesson.objects.order_by("-pk").values_list("pk", "chain").first()
    return _taught(*newest, shop.trim) if newest else taught_by(None, shop.trim)


def taught_by(lesson_id: int | None, trim: str) -> Taught:
    """What the shop knew when `lesson_id` was its newest lesson; None: nothing but the book."""
    if lesson_id is None:
        return Taught((), trim, BOOK, 0)
    return _taught(lesson_id, Lesson.objects.values_list("chain", flat=True).get(pk=lesson_id), trim)


@lru_cache(maxsize=8)
def _taught(lesson_id: int, chain: str, trim: str) -> Taught:
    """`chain` stands for everything that is read here."""
    newest = {
        cutting_id: pk
        for pk, cutting_id in Lesson.objects.filter(pk__lte=lesson_id)
        .order_by("pk")
        .values_list("pk", "cutting_id")
    }
    rows = Lesson.objects.filter(pk__in=_windowed(sorted(newest.values()))).order_by("pk")
    kinds: dict[str, Kind] = {}
    read = [(_test(told, kinds) if told else None) for told in rows.values_list("test", flat=True)]
    tests = tuple(one for one in read if one is not None)
    step = STEP_SIDES if len(tests) > 2 * STEP_SIDES else SMALL_STEP_SIDES
    edition = hashlib.sha256(f"{chain} {trim}".encode()).hexdigest()[:EDITION_LETTERS] if tests else BOOK
    return Taught(tests, trim, edition, len(read) - len(tests), lesson_id,
                  len(tests) - len(tests) % step)  # fmt: skip


def _windowed(pks: list[int]) -> list[int]:
    """The newest of them, moved on by whole steps, so that what is learned together stays the same for a while."""
    over = max(0, len(pks) - MOST_SIDES)
    return pks[-(-over // STEP_SIDES) * STEP_SIDES :]


def _test(told: dict[str, object], kinds: dict[str, Kind]) -> BlockTest:
    """A test as it was stored; kinds that are alike are read once."""
    animal = dict(told["animal"])  # type: ignore[call-overload]
    of_kind = animal.pop("kind")
    named = json.dumps(of_kind, sort_keys=True)
    if named not in kinds:
        kinds[named] = restored(Kind, of_kind)
    rest = {name: item for name, item in told.items() if name != "animal"}
    return BlockTest(animal=Animal(kind=kinds[named], **animal), **rest)  # type: ignore[arg-type]


def models_of(
    known: Taught, animal: Animal, *, supplier: str = "", cutter: str = ""
) -> Mapping[WayKey, ShareModel] | None:
    """Share models of one carcass as `forecast_side` takes them; None where there is only the book."""
    return yields_of(known).models(animal, supplier=supplier, cutter=cutter) if known.tests else None


def model_source(known: Taught, suppliers: Mapping[str, str] = MappingProxyType({})) -> ModelSource | None:
    """The models for the animals of a week by kind and, of those in `suppliers` (animal's name to supplier's), by
    supplier; None: only the book."""

    def models(animal: Animal, name: str = "", /) -> Models | None:
        # While one side of an animal is planned by itself its half is joined to the animal's name.
        return models_of(
            known, animal, supplier=suppliers.get(name) or suppliers.get(name.rpartition(APART)[0], "")
        )

    return models if known.tests else None


def yields_of(known: Taught) -> ShopYields:
    """The models of this edition; kept in memory. Who asks while they are learned waits for them."""
    with _learning:
        _now[known.edition] = known
        try:
            return _learned(known.edition)
        finally:
            del _now[known.edition]


_learning = Lock()
_now: dict[str, Taught] = {}
"""What is being learned: an edition is its tests, and only its name is remembered."""

_together: dict[str, tuple[tuple[BlockTest, ...], ShopYields]] = {}
"""By trim the sides that were learned together last, and what they made."""


@lru_cache(maxsize=4)
def _learned(edition: str) -> ShopYields:
    known = _now[edition]
    found = _together.get(known.trim)
    if found is None or found[0] != known.anew:
        none = ShopYields.none(Book(shipped_tree().trimmed(known.trim), shipped_cuts()))
        found = _together[known.trim] = known.anew, none.learned(known.anew)
    yields = found[1]
    for test in known.tests[len(known.anew) :]:
        yields = yields.updated(test)
    return yields
