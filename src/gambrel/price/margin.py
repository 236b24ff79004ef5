"""Margin and markup, and the sales that a cost needs.

margin = (P - C) / P and markup = (P - C) / C, so markup = m / (1 - m) [Establishing cost and selling prices
of retail beef cuts, 1920s meat-retailing text]. Sales and costs are whole cents.
"""

from __future__ import annotations

import math
from fractions import Fraction


def margin_share(*, sales_cents: float, cost_cents: float) -> float | None:
    """What is left of each unit of sales after the cost [share]; None when nothing is sold."""
    return (sales_cents - cost_cents) / sales_cents if sales_cents > 0 else None


def markup_share(*, sales_cents: float, cost_cents: float) -> float | None:
    """What is put on top of each unit of cost [share]; None when there is no cost."""
    return (sales_cents - cost_cents) / cost_cents if cost_cents > 0 else None


def markup_from_margin(margin_share: float) -> float:
    """The markup that gives this margin, both shares below 1 and at least 0 for the margin."""
    if not 0 <= margin_share < 1:
        raise ValueError("a margin lies from 0 to just below 1")
    return margin_share / (1 - margin_share)


def margin_from_markup(markup_share: float) -> float:
    """The margin that this markup gives."""
    if markup_share < 0:
        raise ValueError("a markup is not negative")
    return markup_share / (1 + markup_share)


def needed_sales_cents(*, cost_cents: int, margin_share: float) -> int:
    """The least whole cents of sales that leave the margin: P - C >= m P, worked out in exact fractions.

    The margin is taken as it is written (0.3 is three tenths, not the nearest binary number).
    """
    if not 0 <= margin_share < 1:
        raise ValueError("a margin lies from 0 to just below 1")
    return math.ceil(cost_cents / (1 - Fraction(repr(float(margin_share)))))
