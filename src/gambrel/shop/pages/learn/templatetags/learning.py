"""The links of a chain, and the figures of a scorecard, as the learn pages show them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from gambrel.learn.chain import Chain
from gambrel.measures import Estimate
from gambrel.shop.pages.base.templatetags.figures import money, price, share
from gambrel.shop.pages.learn.words import STEP_NAMES

register = template.Library()


@register.filter
def links(chain: Chain) -> Iterator[tuple[str, str, float, float]]:
    """Key, name, weight [kg] and share of the hot weight of every link."""
    for step, kg in chain.step_kg.items():
        yield step, str(STEP_NAMES[step]), kg, chain.step_share[step]


@register.simple_tag(takes_context=True)
def score(context: dict[str, Any], value: float, figure: str) -> SafeString:
    """One value of a scorecard's figure in its own unit."""
    if figure.startswith("meat_share"):
        return share(value, 2)
    if figure == "grade":
        return format_html('<span class="figure">{}</span>', f"{value:.0f}")
    return price(context, value) if figure == "profit_cents_per_kg" else money(value)


@register.simple_tag(takes_context=True)
def score_interval(context: dict[str, Any], estimate: Estimate, figure: str) -> SafeString:
    """Mean and 90 % interval of a figure; the interval is left out where there is none."""
    mean = score(context, estimate.mean, figure)
    if estimate.p05 == estimate.p95:
        return mean
    ends = [score(context, end, figure) for end in (estimate.p05, estimate.p95)]
    return format_html('{} <span class="interval">{} – {}</span>', mean, *ends)
