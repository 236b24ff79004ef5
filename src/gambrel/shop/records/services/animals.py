"""Animals that come in: the animal, its kill, its bill and its sides, kept together or not at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from types import MappingProxyType

from django.db import transaction

from gambrel.catalog.bill import DRESSING_LIMITS
from gambrel.measures import CannotDo, Finding, Findings
from gambrel.measures.money import value_cents
from gambrel.measures.units import MASS, NotAQuantity, read_quantity
from gambrel.shop.records.models import Animal, Bill, Person, Rail, Side, Supplier
from gambrel.shop.records.services.rail import hang
from gambrel.shop.records.services.trail import record


@dataclass(frozen=True, slots=True)
class Paid:
    """How the animal was paid for: by `basis`, at a price by weight or an amount, with the kill fee.

    `live_typed` is what was typed for the live weight, with its unit: 1,290 lb is no whole number of grams.
    """

    basis: str
    price_cents_per_kg: float | None = None
    amount_cents: int | None = None
    live_kg: Decimal | None = None
    kill_fee_cents: int = 0
    live_typed: str = ""


@dataclass(frozen=True, slots=True)
class NewAnimal:
    tag: str
    kind: str
    sex: str
    killed_on: date
    inspected: str = "federal"
    owner_name: str = ""
    supplier: str = ""
    born_on: date | None = None
    age_months: int | None = None
    kph_pct: float | None = None
    plant: str = ""


@transaction.atomic
def bring_in(
    new: NewAnimal, *, hot_kg: dict[str, Decimal], at: datetime, paid: Paid | None, by: Person | None,
    rail: Rail | None = None, per_side_mm: int = 600, hot_typed: Mapping[str, str] = MappingProxyType({}),
) -> list[Side]:  # fmt: skip
    """The animal with its sides hung beside each other on `rail`; `CannotDo` with everything that is wrong.

    `hot_typed` is what was typed for each half, with its unit.
    """
    findings = Findings()
    if Animal.objects.filter(tag__iexact=new.tag).exists():
        findings.add(
            "tag", new.tag, "a tag that no other animal has", "Choose another, or look at that animal."
        )
    if not hot_kg:
        findings.add(
            "hot weight", "nothing", "the hot weight of one side or both", "Type what the scale said."
        )
    bill = (
        None
        if paid is None
        else _bill(paid, [exact_kg(kg, hot_typed.get(half, "")) for half, kg in hot_kg.items()], findings)
    )
    findings.stop_if_any()
    supplier = Supplier.objects.get_or_create(name=new.supplier)[0] if new.supplier else None
    animal = Animal.objects.create(
        tag=new.tag, kind=new.kind, sex=new.sex, killed_on=new.killed_on, inspected=new.inspected,
        owner_name=new.owner_name, supplier=supplier, born_on=new.born_on, age_months=new.age_months,
        kph_pct=new.kph_pct, killed_at_plant=new.plant,
    )  # fmt: skip
    record(
        by, "brought in", animal, after={"tag": new.tag, "kind": new.kind, "killed_on": str(new.killed_on)}
    )
    if bill is not None:
        bill.animal = animal
        bill.save()
    return [
        hang(
            animal,
            half,
            hot_kg=kg,
            at=at,
            by=by,
            rail=rail,
            position_mm=place,
            hot_typed=hot_typed.get(half, ""),
        )
        for (half, kg), place in zip(
            sorted(hot_kg.items()), free_places(rail, len(hot_kg), per_side_mm), strict=True
        )
    ]


def exact_kg(kept_kg: Decimal, typed: str) -> float:
    """The weight [kg] that was typed: kept to the gram it could move a bill by a cent."""
    read = read_quantity(typed, MASS)
    return float(kept_kg) if isinstance(read, NotAQuantity) else read


def _bill(paid: Paid, hot_kg: Sequence[float], findings: Findings) -> Bill | None:
    """The bill with its sum in cents, out of the sides' exact weights; every slip is a finding."""
    whole_kg = sum(hot_kg) * (2 / len(hot_kg)) if hot_kg else 0.0
    if paid.basis == "live":
        if paid.price_cents_per_kg is None or paid.live_kg is None:
            findings.add("bill", "paid by live weight", "the live weight and its price", "Fill in both.")
            return None
        if whole_kg and not DRESSING_LIMITS[0] <= whole_kg / float(paid.live_kg) <= DRESSING_LIMITS[1]:
            findings.add("live weight", f"{paid.live_kg} kg live for {whole_kg:.1f} kg hot",
                         "a dressing share of 30 to 80 %", "Check both weights and their units.")  # fmt: skip
            return None
        cents = value_cents(exact_kg(paid.live_kg, paid.live_typed), paid.price_cents_per_kg)
    elif paid.basis == "rail":
        if paid.price_cents_per_kg is None:
            findings.add("bill", "paid on the rail", "the price by hot weight", "Fill it in.")
            return None
        cents = value_cents(whole_kg, paid.price_cents_per_kg)
    elif paid.amount_cents is None:
        findings.add("bill", f"paid by {paid.basis}", "the amount", "Fill it in.")
        return None
    else:
        cents = paid.amount_cents
    return Bill(basis=paid.basis, price_cents_per_kg=paid.price_cents_per_kg, live_kg=paid.live_kg,
                paid_cents=cents, kill_fee_cents=paid.kill_fee_cents)  # fmt: skip


def free_places(rail: Rail | None, count: int, per_side_mm: int) -> list[int | None]:
    """The first `count` places of a rail that no side hangs at; `CannotDo` where the rail is too full."""
    if rail is None:
        return [None] * count
    taken = sorted(
        place
        for place in Side.objects.filter(rail=rail).values_list("position_mm", flat=True)
        if place is not None
    )
    places: list[int | None] = []
    start = 0
    for place in [*taken, rail.length_mm]:
        while start + per_side_mm <= place and len(places) < count:
            places.append(start)
            start += per_side_mm
        start = max(start, place + per_side_mm)
    if len(places) < count:
        raise CannotDo([Finding(f"rail {rail.name}", f"{count} more to hang", f"{len(places)} free places",
                                "Choose another rail, or take something down first.")])  # fmt: skip
    return places


@transaction.atomic
def set_bill(animal: Animal, paid: Paid, *, by: Person | None, why: str = "") -> Bill:
    """The animal's bill, or another in its place; what it was stays in the trail. `CannotDo` with every slip."""
    findings = Findings()
    weights = Side.objects.filter(animal=animal).values_list("hot_kg", "hot_typed")
    new = _bill(paid, [exact_kg(*weight) for weight in weights], findings)
    findings.stop_if_any()
    assert new is not None, "a bill that could not be made has left a finding"
    old = Bill.objects.filter(animal=animal).first()
    before = (
        None
        if old is None
        else {"basis": old.basis, "paid_cents": old.paid_cents, "kill_fee_cents": old.kill_fee_cents}
    )
    new.animal, new.pk = animal, old.pk if old else None
    new.save()
    after = {"basis": new.basis, "paid_cents": new.paid_cents, "kill_fee_cents": new.kill_fee_cents}
    record(by, "set a bill", animal, before=before, after=after, why=why)
    return new


@transaction.atomic
def note_supplier(supplier: Supplier, *, contact: str, note: str, by: Person | None) -> Supplier:
    """Contact and note of a supplier."""
    before = {"contact": supplier.contact, "note": supplier.note}
    supplier.contact, supplier.note = contact, note
    supplier.save(update_fields=("contact", "note"))
    record(by, "changed a supplier", supplier, before=before, after={"contact": contact, "note": note})
    return supplier
