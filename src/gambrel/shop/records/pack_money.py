"""What a pack's label says and asks: weight as it is printed, price for its unit, and the total."""

from __future__ import annotations

from decimal import Decimal

from gambrel.sell.weights import DIVISIONS, PrintedWeight, net_from_record, printed_price_cents, total_cents
from gambrel.shop.records.models import Pack, ShopProfile

GRAM = Decimal("0.001")
SERIAL_MARK = "P"
"""Before the number in every code, so that a scanned identifier and number cannot be taken for a typed number."""


def printed_weight(pack: Pack, shop: ShopProfile) -> PrintedWeight:
    """In the shop's unit, cut off at the scale's division."""
    net_kg = pack.net_kg.quantize(GRAM)  # as the records keep it, also where it was not read from them yet
    return net_from_record(net_kg, division=DIVISIONS[shop.weight_unit], weighed_in=shop.weight_unit)


def serial_of(pack: Pack) -> str:
    """As the label and its codes say it: "P4711"."""
    return f"{SERIAL_MARK}{pack.pk}"


def price_cents(pack: Pack, shop: ShopProfile) -> int | None:
    """Whole cents for a pound or a kilogram; None where the pack carries no price."""
    if pack.price_cents_per_kg is None:
        return None
    return printed_price_cents(pack.price_cents_per_kg, shop.weight_unit)


def asked_cents(pack: Pack, shop: ShopProfile) -> int | None:
    """What the pack costs: the printed weight times the printed price, to the cent; None without a price."""
    cents = price_cents(pack, shop)
    return None if cents is None else total_cents(printed_weight(pack, shop), price_cents=cents)
