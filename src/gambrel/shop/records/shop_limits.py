"""What the records say of weekdays, overtime, how many can work at once, and the freezer, as the plan takes it."""

from __future__ import annotations

from datetime import date

from gambrel.plan.read_hours import DEARER
from gambrel.plan.week import Freezer, Overtime, Room
from gambrel.shop.records.models import ShopProfile


def minutes_on_of(profile: ShopProfile) -> dict[str, dict[str, float]]:
    """Other minutes than a cutting day's by weekday."""
    return {
        day: {work: float(each) for work, each in minutes.items()}
        for day, minutes in profile.minutes_on.items()
    }


def closed_on_of(profile: ShopProfile) -> tuple[date, ...]:
    return tuple(sorted(map(date.fromisoformat, profile.closed_on)))


def overtime_wage_cents(profile: ShopProfile) -> float:
    """What an hour of overtime costs: what the owner says, or so much more than the wage as is usual."""
    said = profile.overtime_cents_per_hour
    return float(profile.wage_cents_per_hour * DEARER if said is None else said)


def overtime_of(profile: ShopProfile) -> Overtime:
    """None where none is said: a day then ends with its hours."""
    minutes = {work: float(each) for work, each in profile.overtime_minutes_a_day.items()}
    return Overtime(minutes, overtime_wage_cents(profile)) if minutes else Overtime()


def room_of(profile: ShopProfile) -> Room:
    """Without a number of blocks or saws the room sets no limit, however long it is open."""
    if not profile.at_once:
        return Room()
    return Room({work: int(count) for work, count in profile.at_once.items()}, float(profile.open_min or 0.0))


def freezer_of(profile: ShopProfile) -> Freezer:
    return Freezer(profile.freezer_holds_kg, profile.freezer_cost_cents_per_kg)
