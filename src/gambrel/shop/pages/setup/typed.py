"""Figures as a person would type them, for the boxes of a form that shows what is kept."""

from __future__ import annotations

from gambrel.measures.money import cents_per_lb, show_money
from gambrel.measures.units import MM_PER_IN, lb_from_kg

MM_PER_FT = 12 * MM_PER_IN


def length_typed(length_mm: float, weight_unit: str) -> str:
    """A rail's length: metres where the person thinks in kilograms, feet where in pounds."""
    return f"{length_mm / 1000:.2f} m" if weight_unit == "kg" else f"{length_mm / MM_PER_FT:.1f} ft"


def place_typed(length_mm: float, weight_unit: str) -> str:
    """The rail that one side takes: centimetres or inches."""
    return f"{length_mm / 10:.0f} cm" if weight_unit == "kg" else f"{length_mm / MM_PER_IN:.1f} in"


def weight_typed(weight_kg: float, weight_unit: str) -> str:
    """To a gram or half of one, so that a weight that nobody touches stays what it was: 12 lb, 5.443 kg."""
    shown = weight_kg if weight_unit == "kg" else lb_from_kg(weight_kg)
    return f"{f'{shown:.3f}'.rstrip('0').rstrip('.')} {weight_unit}"


def price_typed(price_cents_per_kg: float, weight_unit: str) -> str:
    if weight_unit == "kg":
        return f"{show_money(price_cents_per_kg)}/kg"
    return f"{show_money(cents_per_lb(price_cents_per_kg))}/lb"


def money_typed(amount_cents: float) -> str:
    return show_money(amount_cents)
