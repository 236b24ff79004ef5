"""Money as whole cents, prices as cents per kilogram, both read from what people write.

Sums and totals are done on whole cents; a price per weight stays a float until it meets a weight, and the
product is rounded once, half up, as a scale prints it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from gambrel.measures.units import KG_PER_LB, NotAQuantity

_NUMBER = r"(\d{1,3}(?:,\d{3})+(?:\.\d*)?|\d+(?:\.\d*)?|\.\d+)"
_MONEY = re.compile(rf"\s*([-+]?)\s*[$€£]\s*{_NUMBER}\s*")
_PER_WEIGHT = re.compile(rf"\s*([-+]?)\s*[$€£]?\s*{_NUMBER}\s*/\s*(lb|kg|cwt)\s*", re.IGNORECASE)
_KG_PER = {"lb": KG_PER_LB, "kg": 1.0, "cwt": 100 * KG_PER_LB}


def round_half_up(value: float | Decimal) -> int:
    """To the nearest whole, halves away from zero, in decimal arithmetic (2.5 is 3, -2.5 is -3)."""
    exact = value if isinstance(value, Decimal) else Decimal(repr(float(value)))
    return int(exact.to_integral_value(rounding=ROUND_HALF_UP))


def read_money(text: object) -> int | NotAQuantity:
    """Whole cents from "$950", "$1,250.00" or "-$3"; or the reason it is none."""
    match = _MONEY.fullmatch(str(text))
    if not match or isinstance(text, bool):
        return NotAQuantity("an amount of money", 'Write it with its sign, like "$950.00".')
    sign, number = match.groups()
    return round_half_up(Decimal(sign + number.replace(",", "")) * 100)


def read_price(text: object) -> float | NotAQuantity:
    """Cents per kilogram from "12.50/lb", "$27.56/kg" or "$310/cwt"; or the reason it is none."""
    match = _PER_WEIGHT.fullmatch(str(text))
    if not match:
        return NotAQuantity(
            "a price for a weight (/lb, /kg or /cwt)", 'Write it like "12.50/lb" or "27.56/kg".'
        )
    sign, number, unit = match.groups()
    return float(Decimal(sign + number.replace(",", "")) * 100) / _KG_PER[unit.lower()]


def cents_per_lb(price_cents_per_kg: float) -> float:
    """Cents per kilogram to cents per pound."""
    return price_cents_per_kg * KG_PER_LB


def cents_per_kg(price_cents_per_lb: float) -> float:
    """Cents per pound to cents per kilogram."""
    return price_cents_per_lb / KG_PER_LB


def value_cents(weight_kg: float, price_cents_per_kg: float) -> int:
    """What a weight comes to at a price, to the cent.

    Rounded to a millionth of a cent first: the way through kilograms must not turn 649.5 into 649.4999999.
    """
    return round_half_up(round(weight_kg * price_cents_per_kg, 6))


def show_money(amount_cents: float) -> str:
    """ "$1,234.50", with the sign in front."""
    cents = round_half_up(amount_cents)
    return f"{'-' if cents < 0 else ''}${abs(cents) // 100:,}.{abs(cents) % 100:02d}"


def split_cents(total_cents: int, weights: Sequence[float]) -> list[int]:
    """`total_cents` shared out by weight so that the parts add up to it exactly (largest remainders)."""
    whole = sum(weights)
    if whole <= 0:
        raise ValueError("weights must have a positive sum")
    exact = [total_cents * weight / whole for weight in weights]
    parts = [int(share // 1) for share in exact]
    by_remainder = sorted(range(len(parts)), key=lambda i: parts[i] - exact[i])
    for i in by_remainder[: total_cents - sum(parts)]:
        parts[i] += 1
    return parts
