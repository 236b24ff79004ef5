"""Traces of random meat against a walk by hand over what was written down, link by link."""

from __future__ import annotations

import random
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from packing import a_pack, became

from gambrel.shop.clock import now, today
from gambrel.shop.records.models import Batch, BatchInput, CleanUp, Customer, Lot, Pack, ShopProfile, Side
from gambrel.shop.records.selectors.trace import recall_page
from gambrel.shop.records.services import block

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


class Made:
    """Lots by name with what went into each, as a person would draw it on paper."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)
        self.lots: dict[str, Lot] = {}
        self.animal: dict[str, str] = {}
        self.into: dict[str, set[str]] = {}
        self.clean_up: dict[str, int] = {}
        self.packs: dict[str, list[Pack]] = {}

    def cut_sides(self, count: int) -> list[Any]:
        tubs = []
        sides = list(
            Side.objects.filter(animal__kind="grain-finished", state="hanging").select_related("animal")
        )
        for side in self.draw.sample(sides, count):
            cutting = block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())
            tub = block.weigh_piece(
                cutting, "trim-80", weight_kg=Decimal(20), typed="20 kg", key=uuid4(), by=None
            )
            lot = Lot.objects.get(cutting=cutting)
            self.lots[lot.code], self.animal[lot.code], self.into[lot.code] = lot, side.animal.tag, set()
            tubs.append((lot.code, tub))
        return tubs

    def grind(self, tubs: list[Any], count: int) -> None:
        cleaned = [CleanUp.objects.create(at=now() - timedelta(hours=9 - n)) for n in range(3)]
        before: list[Batch] = []
        for number in range(count):
            place = self.draw.randrange(3)
            batch = Batch.objects.create(code=f"GR{number}", name="ground-beef", lean_pct=80.0, inspected="federal",
                                         clean_up=cleaned[place], begun_at=now())  # fmt: skip
            code = batch.code
            self.clean_up[code] = place
            self.lots[code] = Lot.objects.create(code=code, batch=batch, made_on=today(), kind="grain-finished",
                                                 species="cattle", inspected="federal")  # fmt: skip
            self.into[code] = set()
            for source, tub in self.draw.sample(tubs, self.draw.randint(0, 2)):
                self.line(batch, weight=tub)
                self.into[source].add(code)
            if before and self.draw.random() < 0.4:
                earlier = self.draw.choice(before)
                self.line(batch, carried=earlier)
                self.into[earlier.code].add(code)
            before.append(batch)

    def line(self, batch: Batch, **source: Any) -> None:
        BatchInput.objects.create(
            batch=batch, weight_kg=Decimal(1), typed="1 kg", lean_pct=80.0, at=now(), **source
        )

    def pack(self) -> None:
        for code, lot in self.lots.items():
            slug = "ground-beef-80" if lot.batch_id else "ribeye-steak"
            self.packs[code] = [a_pack("0.4", slug, lot=lot) for _ in range(self.draw.randint(0, 3))]

    def ahead(self, codes: set[str]) -> set[str]:
        """Lots that these went into, with batches of the same clean-up, until nothing is added."""
        found = set(codes)
        while True:
            more = {one for code in found for one in self.into[code]}
            more |= {one for code in found if code in self.clean_up for one, place in self.clean_up.items()
                     if place == self.clean_up[code]}  # fmt: skip
            if more <= found:
                return found
            found |= more

    def behind(self, codes: set[str]) -> set[str]:
        """Lots that are in these; the same clean-up says nothing of what is in a batch."""
        found = set(codes)
        while True:
            more = {code for code, into in self.into.items() if into & found}
            if more <= found:
                return found
            found |= more


def made(seed: int) -> Made:
    found = Made(seed)
    found.grind(found.cut_sides(4), 6)
    found.pack()
    return found


def numbers(codes: set[str], meat: Made) -> set[int]:
    return {pack.pk for code in codes for pack in meat.packs[code]}


def reached(asked: str, *, wide: bool) -> tuple[set[int], set[str]]:
    page = recall_page(asked, ShopProfile.objects.get(), wide=wide)
    packs = {one.pack.pk for one in (*page.here, *page.named_packs, *page.unnamed, *page.lost)}
    return packs, {side.animal.tag for side in page.sides}


@pytest.mark.parametrize("seed", range(4))
def test_from_every_lot_exactly_what_a_walk_by_hand_reaches(seed: int) -> None:
    meat = made(seed)
    for code in meat.lots:
        packs, animals = reached(code, wide=False)
        assert packs == numbers(meat.ahead({code}), meat), f"seed {seed}, from {code}"
        assert animals == {meat.animal[one] for one in meat.behind({code}) if one in meat.animal}


@pytest.mark.parametrize("seed", range(4, 7))
def test_wide_from_every_pack_is_from_all_of_its_animals(seed: int) -> None:
    meat = made(seed)
    for code, packs in meat.packs.items():
        if not packs:
            continue
        tags = {meat.animal[one] for one in meat.behind({code}) if one in meat.animal}
        sources = {one for one, tag in meat.animal.items() if tag in tags}
        if not sources:
            continue  # nothing but what the records do not know went into it
        found, _ = reached(f"P{packs[0].pk}", wide=True)
        assert found == numbers(meat.ahead(sources), meat), f"seed {seed}, from {code}"


@pytest.mark.parametrize("seed", range(7, 10))
def test_each_pack_is_told_once_whatever_became_of_it(seed: int) -> None:
    meat = made(seed)
    table = Customer.objects.get(name="The Juniper Table")
    wanted: dict[str, set[int]] = {"here": set(), "named": set(), "unnamed": set(), "lost": set()}
    for packs in meat.packs.values():
        for pack in packs:
            way = meat.draw.choice(sorted(wanted))
            wanted[way].add(pack.pk)
            if way == "lost":
                became(pack, meat.draw.choice(("spoiled", "eaten", "missing")), why="x")
            elif way != "here":
                became(pack, "sold", cents=100, customer=table if way == "named" else None)
    for code in meat.lots:
        page = recall_page(code, ShopProfile.objects.get(), wide=False)
        parts = {"here": page.here, "named": page.named_packs, "unnamed": page.unnamed, "lost": page.lost}
        every = numbers(meat.ahead({code}), meat)
        assert {way: {one.pack.pk for one in packs} for way, packs in parts.items()} == {
            way: these & every for way, these in wanted.items()}  # fmt: skip
        assert sum(len(packs) for packs in parts.values()) == len(every) == page.count
