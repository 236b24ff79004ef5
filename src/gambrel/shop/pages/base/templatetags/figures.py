"""Figures as a person reads them: weights in lb or kg with the other beside it, money, areas, shares, intervals."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from decimal import Decimal
from typing import Any, Literal, TypeGuard

from django import template
from django.template.loader import render_to_string
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from gambrel.catalog.cuts import shipped_cuts
from gambrel.measures import Estimate, Finding
from gambrel.measures.money import cents_per_lb, show_money
from gambrel.measures.units import f_from_c, in2_from_cm2, in_from_mm, lb_from_kg
from gambrel.shop.core_words import finding_in_words_of_page, in_words_of_page
from gambrel.shop.names import cut_said
from gambrel.shop.names import kind_said as kind_in_language

register = template.Library()
Number = float | Decimal | int
Shown = Number | Literal[""] | None
Context = dict[str, Any]

NOTHING: SafeString = format_html('<span class="none">{}</span>', "–")


def _pair(context: Context, metric: str, customary: str) -> SafeString:
    """The unit that the person likes, with the other small beside it."""
    first, second = (metric, customary) if context.get("weight_unit") == "kg" else (customary, metric)
    return format_html('<span class="figure">{} <small>{}</small></span>', first, second)


def _known(value: Shown) -> TypeGuard[Number]:
    """A template gives an empty text where something on the way to the figure is not there."""
    return value is not None and value != "" and math.isfinite(float(value))


def _shown(
    context: Context, value: Shown, metric: Callable[[float], str], customary: Callable[[float], str]
) -> SafeString:
    """A figure in both its units, or a dash where it is not known."""
    if not _known(value):
        return NOTHING
    return _pair(context, metric(float(value)), customary(float(value)))


@register.simple_tag(takes_context=True)
def weight(context: Context, weight_kg: Shown, places: int = 1) -> SafeString:
    """ "806.0 lb" with "365.6 kg" beside it, or the other way round."""
    return _shown(
        context, weight_kg, lambda kg: f"{kg:,.{places}f} kg", lambda kg: f"{lb_from_kg(kg):,.{places}f} lb"
    )


@register.simple_tag(takes_context=True)
def length(context: Context, length_mm: Shown) -> SafeString:
    """A thickness: "0.41 in" with "10.4 mm" beside it, or the other way round."""
    return _shown(context, length_mm, lambda mm: f"{mm:,.1f} mm", lambda mm: f"{in_from_mm(mm):,.2f} in")


@register.simple_tag(takes_context=True)
def metres(context: Context, length_mm: Shown) -> SafeString:
    """A length of rail: "3.9 ft" with "1.2 m" beside it, or the other way round."""
    return _shown(
        context, length_mm, lambda mm: f"{mm / 1000:,.1f} m", lambda mm: f"{in_from_mm(mm) / 12:,.1f} ft"
    )


@register.simple_tag(takes_context=True)
def area(context: Context, area_cm2: Shown) -> SafeString:
    """A ribeye: "12.8 in²" with "82.6 cm²" beside it, or the other way round."""
    return _shown(
        context, area_cm2, lambda cm2: f"{cm2:,.1f} cm²", lambda cm2: f"{in2_from_cm2(cm2):,.1f} in²"
    )


@register.simple_tag(takes_context=True)
def temperature(context: Context, value_c: Shown) -> SafeString:
    """ "36 °F" with "2.2 °C" beside it, or the other way round."""
    return _shown(context, value_c, lambda c: f"{c:.1f} °C", lambda c: f"{f_from_c(c):.0f} °F")


@register.simple_tag(takes_context=True)
def price(context: Context, price_cents_per_kg: Shown) -> SafeString:
    """A price by weight: "$4.00/lb" with "$8.82/kg" beside it, or the other way round."""
    return _shown(
        context, price_cents_per_kg,
        lambda cents: f"{show_money(cents)}/kg", lambda cents: f"{show_money(cents_per_lb(cents))}/lb",
    )  # fmt: skip


@register.simple_tag
def money(amount_cents: Shown) -> SafeString:
    """Dollars and cents."""
    if not _known(amount_cents):
        return NOTHING
    return format_html('<span class="figure">{}</span>', show_money(float(amount_cents)))


@register.simple_tag
def share(value_share: Shown, places: int = 1) -> SafeString:
    """A share from 0 to 1 as a percentage."""
    if not _known(value_share):
        return NOTHING
    return format_html('<span class="figure">{} %</span>', f"{100 * float(value_share):.{places}f}")


_INTERVALS: dict[str, tuple[Callable[[float], str], str, Callable[[float], str], str]] = {
    "weight": (lambda kg: f"{kg:,.1f}", "kg", lambda kg: f"{lb_from_kg(kg):,.1f}", "lb"),
    "length": (lambda mm: f"{mm:,.1f}", "mm", lambda mm: f"{in_from_mm(mm):,.2f}", "in"),
    "area": (lambda cm2: f"{cm2:,.1f}", "cm²", lambda cm2: f"{in2_from_cm2(cm2):,.1f}", "in²"),
    "pct": (lambda pct: f"{pct:,.1f}", "%", lambda pct: f"{pct:,.1f}", "%"),
    "score": (lambda score: f"{score:,.0f}", "", lambda score: f"{score:,.0f}", ""),
}


@register.simple_tag(takes_context=True)
def interval(context: Context, estimate: Estimate | None, what: str) -> SafeString:
    """The 90 % interval of an estimate, "30.1–38.0 kg", in the unit that the person likes."""
    if not estimate:
        return NOTHING
    metric, metric_unit, customary, customary_unit = _INTERVALS[what]
    written, unit = (
        (metric, metric_unit) if context.get("weight_unit") == "kg" else (customary, customary_unit)
    )
    low = 0.0 if what != "score" and estimate.p05 < 0 else estimate.p05
    return format_html('<span class="interval">{}–{} {}</span>', written(low), written(estimate.p95), unit)


@register.simple_tag
def findings(found: Iterable[Finding]) -> SafeString:
    """Findings as a list in the reader's words: what was given, what is wanted, what to do."""
    said = [finding_in_words_of_page(finding) for finding in found]
    return mark_safe(render_to_string("base/_findings.html", {"findings": said}))


@register.simple_tag
def cut_name(slug: str, species: str = "cattle") -> str:
    """What the counter calls a cut in the language of the page; the slug where the catalogue has none."""
    return cut_said(slug, species) if slug in shipped_cuts() else slug.replace("-", " ")


@register.filter
def core_said(sentence: str) -> str:
    """A sentence or word of the core in the language of the page."""
    return in_words_of_page(sentence)


@register.filter
def kind_said(name: str) -> str:
    """A kind's name in the language of the page."""
    return kind_in_language(name)


_UNSAFE = re.compile(r"<\s*(script|style|foreignObject|iframe)|\son[a-z]+\s*=|javascript:", re.IGNORECASE)


@register.simple_tag
def svg(markup: str) -> SafeString:
    """A picture that the core drew, put into the page; anything that could run is a mistake of ours and raises."""
    if not markup.lstrip().startswith("<svg") or _UNSAFE.search(markup):
        raise ValueError("not a picture of the core's own drawing")
    return mark_safe(markup)
