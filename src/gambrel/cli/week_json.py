"""The walked week as one JSON value, metric."""

from __future__ import annotations

from typing import Any

from gambrel.files.week_photographs import WeekFaces
from gambrel.journey import Journey, SideOnRail
from gambrel.plan.tell import to_json as plan_json


def week_json(journey: Journey, faces: WeekFaces) -> dict[str, Any]:
    """Faces, sides with weights, grades and forecasts, plan, price list and bids. Grades are not official."""
    chance = 1.0 - journey.week.shop.margin.may_lose_pct / 100.0
    prices = journey.prices
    return {
        "shop": journey.week.shop.name,
        "faces": [face.as_json() for face in faces.faces],
        "sides": [_side(journey, side) for side in journey.sides],
        "grades": {animal: grades.as_json() for animal, grades in journey.grades.items()},
        "plan": plan_json(journey.week, journey.plan),
        "prices": None if prices is None else {
            "cost_cents": prices.cost_cents,
            "needed_cents": prices.price_list.needed_cents,
            "today_cents": prices.price_list.today_cents,
            "findings": [finding.as_json() for finding in prices.price_list.findings],
            "products": [
                {"slug": product.slug, "group": product.group, "kg": product.kg,
                 "today_cents_per_kg": product.today_cents_per_kg, "new_cents_per_kg": product.new_cents_per_kg,
                 "cost_cents_per_kg": product.cost_cents_per_kg}
                for product in prices.products
            ],
        },
        "bids": {
            kind: {"probability_share": chance,
                   "rail_cents_per_kg": bid.at_probability(chance, on="rail"),
                   "live_cents_per_kg": bid.at_probability(chance, on="live")}
            for kind, bid in journey.bids.items()
        },
        "findings": [finding.as_json() for finding in journey.findings],
        "official": False,
    }  # fmt: skip


def _side(journey: Journey, side: SideOnRail) -> dict[str, Any]:
    forecast = journey.forecasts[side.id]
    return {
        "id": side.id,
        "kind": side.hanging.kind.slug,
        "today_kg": side.today_kg.as_json(),
        "earliest": side.window.earliest.isoformat(),
        "target": side.window.target.isoformat(),
        "latest": side.window.latest.isoformat(),
        "cut_on": side.cut_on.isoformat() if side.cut_on else None,
        "totals": {name: total.as_json() for name, total in forecast.totals().items()},
        "balance_error_kg": forecast.balance_error_kg,
    }
