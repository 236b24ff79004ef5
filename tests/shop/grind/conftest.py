"""A grinder that was cleaned, and trim to grind: off the block of the invented shop and in a box."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from gambrel.shop.clock import now
from gambrel.shop.records.models import Animal, BoughtTrim, CleanUp, Side, SideState
from gambrel.shop.records.services import block, grind
from gambrel.shop.records.tubs import Tub, tub_of

PLANT = "M-0000"


@pytest.fixture
def weighed_trim(demo_shop: Any) -> Callable[..., Tub]:
    """`weighed_trim("trim-80", "12.5")` is that much trim off a side of cattle on the block."""

    def weigh(
        slug: str = "trim-80", kg: str = "12.5", *, kind: str = "grain-finished", plant: str = PLANT
    ) -> Tub:
        side = (
            Side.objects.filter(state=SideState.ON_BLOCK, animal__kind=kind).select_related("animal").first()
        )
        if side is None:
            side = Side.objects.filter(state=SideState.HANGING, animal__kind=kind).select_related("animal")[0]
            block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())
        Animal.objects.filter(pk=side.animal_id).update(killed_at_plant=plant)
        line = block.weigh_piece(
            side.cutting, slug, weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None
        )
        return tub_of(f"w{line.pk}")

    return weigh


@pytest.fixture
def box(demo_shop: Any) -> BoughtTrim:
    """Twenty kilograms of fifty trim, bought."""
    return grind.buy_trim(key=uuid4(), at=now(), by=None, slug="trim-50", species="cattle", inspected="federal",
                          weight_kg=Decimal(20), lean_pct=50.0, establishment="M-0001", supplier_lot="K7",
                          made_on=date(2026, 3, 5), cost_cents_per_kg=400.0)  # fmt: skip


@pytest.fixture
def cleaned(demo_shop: Any) -> CleanUp:
    at: datetime = now() - timedelta(hours=2)
    return grind.clean_up(key=uuid4(), at=at, by=None, note="grinder and table")
