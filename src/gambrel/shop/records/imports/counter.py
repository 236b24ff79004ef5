"""What the counter sells at which price, a row for each step of the price; and orders."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal

from gambrel.catalog.cuts import shipped_cuts
from gambrel.measures import Entry
from gambrel.measures.units import MASS
from gambrel.plan.read_week import group_of
from gambrel.shop.clock import today
from gambrel.shop.records.imports.subject import Column, Row, Subject
from gambrel.shop.records.models import Demand, Person
from gambrel.shop.records.services.orders import take_order
from gambrel.shop.records.services.prices import save_demand
from gambrel.shop.records.week import kinds_of_shop

FROZEN_COLUMNS = ("frozen_upto", "frozen_price", "frozen_kept")


def store_demand(rows: Sequence[Row], by: Person | None) -> None:
    """The steps of one product, in the order of the rows; a product that is there already is changed."""
    steps = []
    for row in rows:
        upto_kg = row.entry.quantity("upto", MASS, low=0, high=100_000, required=True)
        price = row.entry.price_cents_per_kg("price", required=True)
        if upto_kg is not None and price is not None:
            steps.append((upto_kg, price))
    entry = rows[0].entry
    cut, kinds = entry.text("cut", required=True, longest=60), _kinds(entry)
    shelf_days = entry.whole("shelf_days", low=0, high=365)
    salvage = entry.price_cents_per_kg("salvage") or 0.0
    lean_pct = entry.number("lean_pct", low=0, high=100)
    frozen = _frozen(entry)
    for row in rows:
        row.entry.no_more(ignore=("cut", "kinds", "shelf_days", "salvage", "lean_pct", *FROZEN_COLUMNS))
        row.entry.findings.stop_if_any()
    fields = {"slug": cut, "steps": steps, "shelf_days": 5 if shelf_days is None else shelf_days,
              "salvage_cents_per_kg": salvage, "lean_pct": lean_pct, **frozen}  # fmt: skip
    there = Demand.objects.filter(slug=cut, group=group_of(kinds).name).first()
    save_demand(fields, kinds=kinds, by=by, demand=there)


def _frozen(entry: Entry) -> dict[str, float]:
    """What is sold of the product out of the freezer; a table that says nothing of it leaves that as it is."""
    upto_kg = entry.quantity("frozen_upto", MASS, low=0.001, high=100_000)
    price, kept = entry.price_cents_per_kg("frozen_price"), entry.price_cents_per_kg("frozen_kept")
    if not any(map(entry.has, FROZEN_COLUMNS)):
        return {}
    for name in FROZEN_COLUMNS[:2]:
        if not entry.has(name):
            entry.wrong(name, "nothing", "both frozen_upto and frozen_price, or neither", "Add it.")
    return {} if upto_kg is None or price is None else {
        "frozen_upto_kg": upto_kg, "frozen_price_cents_per_kg": price, "frozen_kept_cents_per_kg": kept or 0.0,
    }  # fmt: skip


def store_order(rows: Sequence[Row], by: Person | None) -> None:
    """The same row of the same file brought again is stored once; so is an order with a code of its own."""
    (row,) = rows
    entry = row.entry
    code = entry.text("code", longest=40) or f"F-{row.key[-24:]}"
    customer = entry.text("customer", required=True, longest=80)
    cut, kinds = entry.word("cut", shipped_cuts(), required=True), _kinds(entry)
    weight_kg = entry.quantity("weight", MASS, low=0.01, high=10_000, required=True)
    by_day = entry.day("by", required=True)
    if by_day and not today() - timedelta(days=366) <= by_day <= today() + timedelta(days=366):
        entry.wrong("by", by_day, "a day within a year", "Check the year.")
    price = entry.price_cents_per_kg("price", required=True)
    must, shelf_days = entry.yes("must", default=True), entry.whole("shelf_days", low=0, high=365)
    entry.no_more()
    entry.findings.stop_if_any()
    assert customer and cut and weight_kg is not None and by_day and price is not None
    take_order(code=code, customer=customer, contact="", slug=cut, kinds=kinds, weight_kg=Decimal(f"{weight_kg:.3f}"),
               by_day=by_day, price_cents_per_kg=price, must=must, out_of_state=False, by=by,
               shelf_days=5 if shelf_days is None else shelf_days)  # fmt: skip


def _kinds(entry: Entry) -> list[str]:
    """Slugs of kinds or of a species, with a space between them; nothing means every kind."""
    known = kinds_of_shop()
    typed = (entry.text("kinds") or " ".join(known)).replace(",", " ").split()
    found = {slug for word in typed for slug, kind in known.items() if word.lower() in (slug, kind.species)}
    for word in typed:
        if not any(word.lower() in (slug, kind.species) for slug, kind in known.items()):
            entry.wrong("kinds", word, f"kinds out of {', '.join(known)}, or a species", "Check the word.")
    return sorted(found)


DEMAND = Subject(
    "demand",
    (Column("cut", "ribeye-steak", True), Column("kinds", "grain-finished wagyu"), Column("upto", "20 lb", True),
     Column("price", "24.99/lb", True), Column("shelf_days", "5"), Column("salvage", "2.00/lb"),
     Column("lean_pct", ""), *(Column(name, "") for name in FROZEN_COLUMNS)),
    store_demand,
    together=("cut", "kinds"),
)  # fmt: skip

ORDERS = Subject(
    "orders",
    (Column("code", "J-14"), Column("customer", "The Juniper Table", True), Column("cut", "ribeye-steak", True),
     Column("kinds", "grain-finished"), Column("weight", "12 lb", True), Column("by", "2026-03-13", True),
     Column("price", "23.50/lb", True), Column("must", "yes"), Column("shelf_days", "5")),
    store_order,
)  # fmt: skip
