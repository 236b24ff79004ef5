"""What a product, a tub and a weight are called on the grinder's pages."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

from gambrel.measures.units import lb_from_kg
from gambrel.shop.names import cut_said
from gambrel.shop.pages.grind.words import PRODUCT_NAMES, SPECIES_NAMES
from gambrel.shop.records.tubs import Tub

register = template.Library()


@register.filter
def product_said(slug: str) -> str:
    """A ground product's name in the language of the page."""
    return str(PRODUCT_NAMES.get(slug, slug.replace("-", " ")))


@register.filter
def species_said(species: str) -> str:
    """Cattle or bison in the language of the page."""
    return str(SPECIES_NAMES.get(species, species))


@register.simple_tag
def tub_name(tubs: Mapping[str, Tub], tub_id: str) -> str:
    """The trim of a tub that the blend names by its id."""
    tub = tubs.get(tub_id)
    return tub_id if tub is None else cut_said(tub.slug, tub.species)


@register.simple_tag(takes_context=True)
def weight_text(context: dict[str, Any], weight_kg: float) -> str:
    """A weight in the person's unit as bare text, for a list to choose from."""
    kg = context.get("weight_unit") == "kg"
    return f"{weight_kg:.2f} kg" if kg else f"{lb_from_kg(weight_kg):.2f} lb"
