"""Figures as people read them, each with its unit: the one place where pictures and sheets write numbers."""

from __future__ import annotations

import math
from datetime import date

from gambrel.measures.estimate import Estimate
from gambrel.measures.money import cents_per_lb, show_money
from gambrel.measures.units import in2_from_cm2, in_from_mm, lb_from_kg


def plain(value: float, places: int = 1) -> str:
    """1,234.5; not-a-number is a mistake of ours and raises."""
    if not math.isfinite(value):
        raise ValueError(f"a figure must be finite, not {value}")
    written = f"{value:,.{places}f}"
    return written[1:] if float(written.replace(",", "")) == 0 and written.startswith("-") else written


def kg(weight_kg: float) -> str:
    return f"{plain(weight_kg)} kg"


def lb(weight_kg: float) -> str:
    """The weight, given in kg, in pounds."""
    return f"{plain(lb_from_kg(weight_kg))} lb"


def kg_lb(weight_kg: float) -> str:
    return f"{kg(weight_kg)} · {lb(weight_kg)}"


def span(estimate: Estimate, unit: str, places: int = 1) -> str:
    """The 90 % interval: "30.1–38.0 kg". A size or weight is never below 0, whatever the spread."""
    return f"{plain(max(0.0, estimate.p05), places)}–{plain(estimate.p95, places)} {unit}"


def span_kg(estimate_kg: Estimate) -> str:
    return span(estimate_kg, "kg")


def span_lb(estimate_kg: Estimate) -> str:
    """The interval of a weight given in kg, in pounds."""
    return span(estimate_kg.times(lb_from_kg(1.0)), "lb")


def pct(value_share: float, places: int = 1) -> str:
    """A share from 0 to 1 as a percentage."""
    return f"{plain(100 * value_share, places)} %"


def per_lb(price_cents_per_kg: float) -> str:
    return f"{show_money(cents_per_lb(price_cents_per_kg))}/lb"


def per_kg(price_cents_per_kg: float) -> str:
    return f"{show_money(price_cents_per_kg)}/kg"


def area(area_cm2: float) -> str:
    return f"{plain(area_cm2)} cm² · {plain(in2_from_cm2(area_cm2))} in²"


def thickness(length_mm: float) -> str:
    return f"{plain(length_mm)} mm · {plain(in_from_mm(length_mm), 2)} in"


def hours(work_min: float) -> str:
    return f"{plain(work_min / 60)} h"


def day(when: date) -> str:
    """ "Mon 9 Mar"; in English whatever the machine's language."""
    return f"{weekday(when)} {day_month(when)}"


def weekday(when: date) -> str:
    return ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")[when.weekday()]


def day_month(when: date) -> str:
    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    return f"{when.day} {months[when.month - 1]}"


def day_year(when: date) -> str:
    return f"{day(when)} {when.year}"
