"""A pack of the invented shop whose label is right, to be spoiled by each test in its own way."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from gambrel.sell.label_facts import Ground, LabelFacts
from gambrel.sell.rules import RuleBook, rule_book
from gambrel.sell.weights import DIVISIONS, PrintedWeight

TODAY = date(2026, 3, 4)

STEAK = LabelFacts(
    name="Ribeye steak", species="cattle", inspected="federal", printed=PrintedWeight(Decimal("1.24"), DIVISIONS["lb"]),
    packed_on=TODAY, today=TODAY, lot="A0304-07L", serial="1042", maker="Hollow Creek Meats, 12 Mill Lane, Fairford",
    price_cents=1899, total_cents=2355, use_by=date(2026, 3, 9),
)  # fmt: skip
GROUND = Ground("ground-beef", 85.0, 14.6, ("cattle",), TODAY)
MINCE = replace(
    STEAK, name="Ground beef", ground=GROUND, price_cents=899, total_cents=1115, use_by=date(2026, 3, 6)
)
CUSTOM = replace(
    STEAK, inspected="custom", owner="R. Aldous", price_cents=None, total_cents=None, use_by=None
)


def spoiled(facts: LabelFacts, **change: Any) -> LabelFacts:
    return replace(facts, **change)


def rules(country: str = "us") -> RuleBook:
    return rule_book(country, today=TODAY)
