"""Prices: a list set as it was shown, what the counter takes at which price, and who may see the board."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction

from gambrel.catalog.kinds import SPECIES
from gambrel.measures import CannotDo, Entry, Finding, Findings
from gambrel.measures.units import KG_PER_LB
from gambrel.plan.read_week import read_demand
from gambrel.plan.week import Demand as DemandRead
from gambrel.shop.clock import now
from gambrel.shop.records.models import Demand, Person, Price, PriceList, ShopProfile
from gambrel.shop.records.services.trail import record
from gambrel.shop.records.sold_pieces import look_at_product
from gambrel.shop.records.week import kinds_of_shop

_LEAST_CHANGE = 1e-9
FROZEN = {"frozen_upto_kg", "frozen_price_cents_per_kg", "frozen_kept_cents_per_kg"}


@dataclass(frozen=True, slots=True)
class NewPrice:
    """One line of a list to be set; prices in cents per kg."""

    slug: str
    group: str
    price_cents_per_kg: float
    cost_cents_per_kg: float | None
    by_hand: bool


@transaction.atomic
def set_list(
    lines: Sequence[NewPrice], *, by: Person | None, note: str = "", plan_with_it: bool = False
) -> PriceList:
    """The list that holds from now on; prices by hand need a reason. With `plan_with_it` the price steps move too."""
    if not lines:
        raise CannotDo(
            [Finding("price list", "no prices", "at least one", "Say what the counter sells first.")]
        )
    if any(line.by_hand for line in lines) and not note.strip():
        raise CannotDo([Finding("price list", "prices by hand without a reason", "a reason",
                                "Write why, so that it is known next month.")])  # fmt: skip
    made = PriceList.objects.create(at=now(), by=by, note=note.strip()[:200])
    Price.objects.bulk_create(
        Price(price_list=made, slug=line.slug, group=line.group, price_cents_per_kg=line.price_cents_per_kg,
              cost_cents_per_kg=line.cost_cents_per_kg, by_hand=line.by_hand)
        for line in lines
    )  # fmt: skip
    hand = {f"{line.slug} ({line.group})": line.price_cents_per_kg for line in lines if line.by_hand}
    record(by, "set a price list", made, after={"prices": len(lines), "by_hand": hand}, why=note)
    if plan_with_it:
        for line in lines:
            _move_steps(line, by)
    return made


def _move_steps(line: NewPrice, by: Person | None) -> None:
    """All steps of a product in proportion to its first; what any more of it brings stays below the last."""
    demand = Demand.objects.filter(slug=line.slug, group=line.group).first()
    first = float(demand.steps[0]["price_cents_per_kg"]) if demand and demand.steps else 0.0
    if demand is None or first <= 0 or abs(first - line.price_cents_per_kg) < _LEAST_CHANGE:
        return
    ratio, before = line.price_cents_per_kg / first, demand.steps
    demand.steps = [{**step, "price_cents_per_kg": step["price_cents_per_kg"] * ratio} for step in before]
    demand.salvage_cents_per_kg = min(demand.salvage_cents_per_kg, demand.steps[-1]["price_cents_per_kg"])
    demand.save(update_fields=("steps", "salvage_cents_per_kg"))
    record(by, "moved price steps", demand, before={"steps": before}, after={"steps": demand.steps})


@transaction.atomic
def save_demand(
    fields: Mapping[str, Any], *, kinds: Sequence[str], by: Person | None, demand: Demand | None = None
) -> Demand:
    """What the counter takes of one product at which price, new or changed; `CannotDo` with all that is wrong.

    `fields` are slug, steps of (upto_kg, price_cents_per_kg), shelf_days, salvage_cents_per_kg and lean_pct; those of
    what the freezer sells of it (`FROZEN`) stay as they are where they are not among them.
    """
    read = _read(fields, kinds)
    row = demand or Demand()
    others = Demand.objects.exclude(pk=row.pk) if row.pk else Demand.objects.all()
    if others.filter(slug=read.slug, group=read.group.name).exists():
        raise CannotDo([Finding(read.name, "there already", "each product once", "Change that one.")])
    before = _figures(row) if row.pk else None
    row.slug, row.group, row.kinds = read.slug, read.group.name, sorted(read.group.kinds)
    row.steps = [
        {"upto_kg": step.upto_kg, "price_cents_per_kg": step.price_cents_per_kg} for step in read.steps
    ]
    row.shelf_days, row.salvage_cents_per_kg, row.lean_pct = (
        read.shelf_days,
        read.salvage_cents_per_kg,
        read.lean_pct,
    )
    for name in FROZEN & set(fields):
        setattr(row, name, fields[name])
    row.save()
    record(
        by, "changed what sells" if before else "added what sells", row, before=before, after=_figures(row)
    )
    return row


def _read(fields: Mapping[str, Any], kinds: Sequence[str]) -> DemandRead:
    """Looked at by the same eyes as a week's file."""
    known, findings = kinds_of_shop(), Findings()
    ground = fields.get("lean_pct") is not None
    table: dict[str, Any] = {
        "name" if ground else "cut": fields["slug"],
        "steps": [{"upto": f"{_written(upto_kg)}kg", "price": f"{_written(price / 100)}/kg"}
                  for upto_kg, price in fields["steps"]],
        "shelf_days": fields["shelf_days"],
        "salvage": f"{_written(fields['salvage_cents_per_kg'] / 100)}/kg",
        **_taken_by(kinds, {slug: kind.species for slug, kind in known.items()}),
        **({"lean": fields["lean_pct"]} if ground else {}),
    }  # fmt: skip
    look_at_product(str(fields["slug"]), ground=ground, findings=findings)
    read = read_demand(Entry(table, "", findings), known, ground=ground)
    findings.stop_if_any()
    assert read is not None
    return read


def _written(value: float) -> str:
    """A number in full, without an exponent, as a price or a weight is written."""
    return f"{Decimal(repr(float(value))):f}"


def _taken_by(kinds: Sequence[str], species_of: Mapping[str, str]) -> dict[str, Any]:
    """All kinds, all of a species, or the kinds by name."""
    chosen = set(kinds)
    if chosen == set(species_of):
        return {}
    for species in SPECIES:
        if chosen == {slug for slug, of in species_of.items() if of == species}:
            return {"species": species}
    return {"kind": sorted(chosen)}


@transaction.atomic
def remove_demand(demand: Demand, *, by: Person | None) -> None:
    """The counter sells it no more; the trail keeps what it was."""
    record(by, "took out what sells", demand, before=_figures(demand))
    demand.delete()


def _figures(demand: Demand) -> dict[str, Any]:
    frozen = {} if demand.frozen_upto_kg is None else {name: getattr(demand, name) for name in sorted(FROZEN)}
    return {"slug": demand.slug, "group": demand.group, "steps": demand.steps, "shelf_days": demand.shelf_days,
            "salvage_cents_per_kg": demand.salvage_cents_per_kg, "lean_pct": demand.lean_pct, **frozen}  # fmt: skip


@transaction.atomic
def show_prices_to_all(shop: ShopProfile, *, public: bool, by: Person | None) -> None:
    """Whether the board may be seen by anybody."""
    before, shop.prices_are_public = shop.prices_are_public, public
    shop.save()
    record(by, "made the price board public" if public else "kept the price board to the shop", shop,
           before={"public": before}, after={"public": public})  # fmt: skip


def whole_cents(price_cents_per_kg: float, *, sold_by: str) -> float:
    """The price [cents/kg] that a sign can say: whole cents by the pound or kilogram that the shop sells by."""
    kg = KG_PER_LB if sold_by == "lb" else 1.0
    return round(price_cents_per_kg * kg) / kg
