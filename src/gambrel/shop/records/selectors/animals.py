"""Animals and suppliers as the pages show them: found by tag, kind or supplier, a page at a time."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.core.paginator import Page, Paginator
from django.db.models import Count, Max, Q

from gambrel.shop.records.models import Animal, AuditLine, ShopProfile, Side, Supplier
from gambrel.shop.records.selectors.books import Account, account_of

PER_PAGE = 50


@dataclass(frozen=True, slots=True)
class AnimalPage:
    """One animal: its sides, its money so far, and who changed what."""

    animal: Animal
    sides: tuple[Side, ...]
    account: Account
    trail: tuple[AuditLine, ...]


def animals_page(*, sought: str, page: int) -> Page[Animal]:
    """Animals whose tag, kind, supplier or owner begins with or holds `sought`, the newest kill first."""
    rows = Animal.objects.select_related("supplier").prefetch_related("sides")
    if sought:
        rows = rows.filter(Q(tag__istartswith=sought) | Q(kind__istartswith=sought)
                           | Q(supplier__name__icontains=sought) | Q(owner_name__icontains=sought))  # fmt: skip
    return Paginator(rows.order_by("-killed_on", "-pk"), PER_PAGE).get_page(page)


def animal_page(animal: Animal, shop: ShopProfile) -> AnimalPage:
    sides = (
        Side.objects.filter(animal=animal).select_related("rail", "rail__room", "cutting").order_by("half")
    )
    trail = AuditLine.objects.filter(record="animal", record_id=str(animal.pk)).order_by("-pk")[:50]
    return AnimalPage(animal, tuple(sides), account_of(animal, shop), tuple(trail))


@dataclass(frozen=True, slots=True)
class SupplierLine:
    supplier: Supplier
    head: int
    last: date | None


def suppliers_page() -> tuple[SupplierLine, ...]:
    """Every supplier with how many animals came from them, and when the last one was killed."""
    rows = Supplier.objects.annotate(head=Count("animals"), last=Max("animals__killed_on")).order_by("name")
    return tuple(SupplierLine(row, row.head, row.last) for row in rows)
