"""Lots and packs for tests of stock, counter and trace."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from gambrel.shop.clock import now, today
from gambrel.shop.records.models import Lot, Pack, PackEvent
from gambrel.shop.records.services.packs import happened, pack


def a_lot(code: str = "26068-1", **more: Any) -> Lot:
    fields = {
        "kind": "grain-finished",
        "species": "cattle",
        "inspected": "federal",
        "made_on": today(),
        **more,
    }
    return Lot.objects.get_or_create(code=code, defaults=fields)[0]


def a_pack(kg: str = "0.5", slug: str = "ribeye-steak", *, keeps_days: int | None = 5, lot: Lot | None = None,
           days_ago: float = 0, **more: Any) -> Pack:  # fmt: skip
    """A pack made so many days ago that keeps so many days from today."""
    use_by = None if keeps_days is None else today() + timedelta(days=keeps_days)
    return pack(lot or a_lot(), slug, net_kg=Decimal(kg), key=uuid4(), at=now() - timedelta(days=days_ago), by=None,
                use_by=use_by, **more)  # fmt: skip


def became(made: Pack, what: str, *, days_ago: float = 0, **more: Any) -> PackEvent:
    return happened(made, what, key=uuid4(), at=now() - timedelta(days=days_ago), by=None, **more)
