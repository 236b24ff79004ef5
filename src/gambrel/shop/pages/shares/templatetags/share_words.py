"""Portions, choices and lines of a bill in the language of the page; weights and money with a sign before them."""

from __future__ import annotations

from typing import Any

from django import template

from gambrel.measures.money import show_money
from gambrel.measures.units import lb_from_kg
from gambrel.shop.pages.shares.words import BILL_NAMES, PORTION_NAMES, STYLE_NAMES
from gambrel.shop.pages.shares.words import choice_said as said_of_choice

register = template.Library()


@register.filter
def portion_said(portion: str) -> str:
    return str(PORTION_NAMES.get(portion, portion))


@register.filter
def style_said(style: str) -> str:
    return str(STYLE_NAMES.get(style, style))


@register.filter
def choice_said(name: str) -> str:
    return said_of_choice(name)


@register.filter
def bill_said(what: str) -> str:
    return str(BILL_NAMES.get(what, what))


@register.simple_tag(takes_context=True)
def more_weight(context: dict[str, Any], weight_kg: float) -> str:
    """So much more (+) or less (−), in the person's unit."""
    value, unit = (weight_kg, "kg") if context.get("weight_unit") == "kg" else (lb_from_kg(weight_kg), "lb")
    return f"{'−' if round(value, 1) < 0 else '+'}{abs(value):.1f} {unit}"


@register.simple_tag
def more_money(amount_cents: float) -> str:
    return f"{'−' if round(amount_cents) < 0 else '+'}{show_money(abs(amount_cents))}"
