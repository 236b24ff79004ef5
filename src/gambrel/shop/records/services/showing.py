"""What the owner shows to visitors."""

from __future__ import annotations

from django.db import transaction

from gambrel.shop.records.models import Person, ShopProfile
from gambrel.shop.records.services.trail import record


@transaction.atomic
def show(shop: ShopProfile, *, comparison: bool, prices: bool, by: Person | None) -> ShopProfile:
    """Let visitors see the comparison and the prices, or not."""
    before = {"comparison": shop.comparison_is_public, "prices": shop.prices_are_public}
    shop.comparison_is_public, shop.prices_are_public = comparison, prices
    shop.save(update_fields=("comparison_is_public", "prices_are_public"))
    record(
        by,
        "changed what visitors see",
        shop,
        before=before,
        after={"comparison": comparison, "prices": prices},
    )
    return shop
