"""Animals with their sides and bill, as they come from the kill floor's or another program's list."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time
from decimal import Decimal

from django.utils import timezone

from gambrel.catalog.animal import HOT_KG_LIMITS
from gambrel.catalog.bill import BASES
from gambrel.catalog.kinds import SEXES
from gambrel.measures import Entry
from gambrel.measures.units import MASS
from gambrel.plan.week import HALVES, INSPECTIONS
from gambrel.shop.clock import today
from gambrel.shop.records.imports.subject import Column, Row, Subject
from gambrel.shop.records.models import Person, Rail, ShopProfile
from gambrel.shop.records.selectors.rooms import open_rails
from gambrel.shop.records.services.animals import NewAnimal, Paid, bring_in
from gambrel.shop.records.week import kinds_of_shop

HOUR = 12
"""An animal's sides are taken to be hung at noon of the day it was killed."""


def store(rows: Sequence[Row], by: Person | None) -> None:
    (row,) = rows
    entry = row.entry
    new, hot_kg, paid, rail = _animal(entry), _hot_kg(entry), _paid(entry), _rail(entry)
    entry.no_more()
    entry.findings.stop_if_any()
    assert new is not None
    at = timezone.make_aware(datetime.combine(new.killed_on, time(HOUR)))
    shop = ShopProfile.objects.get()
    typed = {half: str(entry.raw(f"hot_{half}"))[:30] for half in hot_kg}
    bring_in(new, hot_kg=hot_kg, at=at, paid=paid, by=by, rail=rail, per_side_mm=shop.rail_per_side_mm,
             hot_typed=typed)  # fmt: skip


def _animal(entry: Entry) -> NewAnimal | None:
    tag = entry.text("tag", required=True, longest=40)
    kind = entry.word("kind", kinds_of_shop(), required=True)
    sex = entry.word("sex", SEXES, required=True)
    killed_on = entry.day("killed", required=True)
    if killed_on and not 1990 <= killed_on.year <= today().year:
        entry.wrong("killed", killed_on, "a day gone by", "Check the year.")
    inspected = entry.word("inspected", INSPECTIONS) or "federal"
    owner = entry.text("owner", longest=80) or ""
    if inspected == "custom" and not owner:
        entry.wrong(
            "owner", "nothing", "whose animal it is: custom meat goes back to its owner", "Name the owner."
        )
    supplier, plant = entry.text("supplier", longest=80) or "", entry.text("plant", longest=80) or ""
    born_on, age_months = entry.day("born"), entry.whole("age_months", low=1, high=400)
    kph_pct = entry.number("kph_pct", low=0, high=12)
    if not tag or not kind or not sex or not killed_on:
        return None
    return NewAnimal(
        tag, kind, sex, killed_on, inspected, owner, supplier, born_on, age_months, kph_pct, plant
    )


def _hot_kg(entry: Entry) -> dict[str, Decimal]:
    low, high = HOT_KG_LIMITS[0] / 2, HOT_KG_LIMITS[1] / 2
    found = {half: entry.quantity(f"hot_{half}", MASS, low=low, high=high) for half in HALVES}
    return {half: Decimal(f"{kg:.3f}") for half, kg in found.items() if kg is not None}


def _paid(entry: Entry) -> Paid | None:
    basis = entry.word("paid_by", BASES)
    price = entry.price_cents_per_kg("price")
    amount_cents = entry.money_cents("paid")
    live_kg = entry.quantity("live", MASS, low=50, high=2000)
    fee_cents = entry.money_cents("kill_fee") or 0
    if basis is None:
        if price is not None or amount_cents is not None:
            entry.wrong("paid_by", "nothing", f"one of {', '.join(BASES)}", "Say how it was paid for.")
        return None
    kept_kg = None if live_kg is None else Decimal(f"{live_kg:.3f}")
    return Paid(basis, price, amount_cents, kept_kg, fee_cents, str(entry.raw("live") or ""))


def _rail(entry: Entry) -> Rail | None:
    name = entry.text("rail", longest=110)
    if not name:
        return None
    rails = {f"{rail.room.name}: {rail.name}": rail for rail in open_rails()}
    by_name = rails | {rail.name: rail for rail in reversed(rails.values())}
    found = entry.word("rail", by_name)
    return by_name[found] if found else None


ANIMALS = Subject(
    "animals",
    (Column("tag", "G7", True), Column("kind", "grass-finished", True), Column("sex", "steer", True),
     Column("killed", "2026-03-02", True), Column("hot_left", "352 lb"), Column("hot_right", "349 lb"),
     Column("rail", "Front rail"), Column("inspected", "federal"), Column("owner", ""),
     Column("supplier", "Larkspur Draw"), Column("plant", ""), Column("born", "2024-04-20"),
     Column("age_months", ""), Column("kph_pct", "2.0"), Column("paid_by", "rail"), Column("price", "3.10/lb"),
     Column("paid", ""), Column("live", ""), Column("kill_fee", "$95.00")),
    store,
)  # fmt: skip
