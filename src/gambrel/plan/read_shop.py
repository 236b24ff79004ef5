"""The shop's part of the week's file: calendar, hours, rail, wages, margin."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from gambrel.catalog.law import POLICIES
from gambrel.catalog.tree_totals import GRINDING_MINUTES_PER_100KG
from gambrel.catalog.ways import TRIMS, WORK
from gambrel.measures import Entry
from gambrel.measures.units import LENGTH, MASS
from gambrel.plan.read_hours import is_day, read_hours, read_room, read_wages
from gambrel.plan.week import WEEKDAYS, Freezer, Grinding, Margin, Shop

LONGEST_PLAN_DAYS = 60


def read_shop(entry: Entry) -> Shop | None:
    """A `Shop` from [shop], [hours], [wages], [margin], [grinding]; None when anything was wrong."""
    before = len(entry.findings)
    shop = entry.table("shop")
    name = shop.text("name") or "the shop"
    start: date | None = shop.day("start", required=True)
    days = shop.whole("days", low=1, high=LONGEST_PLAN_DAYS, required=True)
    if start is not None and start.year > 9000:
        shop.wrong("start", start, "a day this side of the year 9000", "Check the year.")
    cutting_days, closed_on = _cutting_days(shop), _closed_on(shop)
    rail_mm = shop.quantity("rail", LENGTH, low=0.0, high=1e7)
    per_side_mm = shop.quantity("rail_per_side", LENGTH, low=50.0, high=5000.0)
    policy = shop.word("srm_policy_bison", POLICIES) or POLICIES[0]
    trim = shop.word("trim", TRIMS) or TRIMS[0]
    waste = shop.price_cents_per_kg("waste") or 0.0
    hanging_on = shop.price_cents_per_kg("hanging_on") or 0.0
    shop.no_more()
    minutes, minutes_on = read_hours(entry.table("hours"))
    wage_cents, overtime = read_wages(entry.table("wages"), entry.table("overtime"), minutes, minutes_on)
    room = read_room(entry.table("room"))
    freezer = _freezer(entry.table("freezer"))
    margin = _margin(entry.table("margin"))
    grinding = _grinding(entry.table("grinding"))
    if len(entry.findings) > before or start is None or days is None:
        return None
    return Shop(name=name, start=start, days=days, cutting_days=cutting_days, rail_mm=rail_mm,
                rail_per_side_mm=600.0 if per_side_mm is None else per_side_mm, srm_policy_bison=policy,
                minutes_a_day=minutes, wage_cents_per_hour=float(wage_cents), margin=margin,
                grinding=grinding, trim=trim,
                waste_cents_per_kg=waste, hanging_on_cents_per_kg=hanging_on, minutes_on=minutes_on,
                overtime=overtime, room=room, freezer=freezer, closed_on=closed_on)  # fmt: skip


def _cutting_days(shop: Entry) -> tuple[str, ...]:
    raw = shop.raw("cutting_days")
    if raw is None:
        return WEEKDAYS[:5]
    good = (
        isinstance(raw, list) and raw and all(isinstance(one, str) and one.lower() in WEEKDAYS for one in raw)
    )
    if not good:
        shop.wrong(
            "cutting_days",
            raw,
            "a list out of " + ", ".join(WEEKDAYS),
            'Write it like ["mon", "wed", "fri"].',
        )
        return WEEKDAYS[:5]
    return tuple(day for day in WEEKDAYS if day in {one.lower() for one in raw})


def _closed_on(shop: Entry) -> tuple[date, ...]:
    """Days on which nothing is cut."""
    raw = shop.raw("closed")
    if raw is None:
        return ()
    days = [_day_of(one) for one in raw] if isinstance(raw, list) else [None]
    known = [one for one in days if one is not None]
    if len(known) < len(days):
        shop.wrong(
            "closed", raw, "a list of days such as 2026-12-25", "Write it like [2026-12-25, 2027-01-01]."
        )
        return ()
    return tuple(sorted(set(known)))


def _day_of(raw: Any) -> date | None:
    """A day as TOML or JSON has it; None for anything else."""
    if isinstance(raw, datetime):
        return None
    if isinstance(raw, date):
        return raw
    return date.fromisoformat(raw) if isinstance(raw, str) and is_day(raw) else None


def _freezer(freezer: Entry) -> Freezer:
    holds_kg = freezer.quantity("holds", MASS, low=0.0, high=1e6)
    cost = freezer.price_cents_per_kg("cost") or 0.0
    freezer.no_more()
    return Freezer(holds_kg, cost)


def _margin(margin: Entry) -> Margin:
    usual = Margin()
    target = margin.number("target", low=0.0, high=95.0, what="a margin in percent of the price such as 30")
    packing = margin.price_cents_per_kg("packing")
    overhead = margin.money_cents("overhead_per_head")
    ending = margin.whole("ending", low=0, high=99, what="the cents that prices end in, such as 99")
    may_lose = margin.number("may_lose", low=0.1, high=50.0, what="a chance of losing in percent such as 20")
    margin.no_more()
    return Margin(
        target_pct=usual.target_pct if target is None else target,
        packing_cents_per_kg=usual.packing_cents_per_kg if packing is None else packing,
        overhead_cents_per_head=usual.overhead_cents_per_head if overhead is None else overhead,
        ending_cents=usual.ending_cents if ending is None else ending,
        may_lose_pct=usual.may_lose_pct if may_lose is None else may_lose,
    )


def _grinding(grinding: Entry) -> Grinding:
    """[grinding] minutes per 100 kg of trim by kind of work; the shop's own figures replace the usual ones."""
    minutes = dict(GRINDING_MINUTES_PER_100KG)
    for work in WORK:
        value = grinding.number(work, low=0.0, high=10_000.0, what="minutes per 100 kg of trim")
        if value is not None:
            minutes[work] = value
    grinding.no_more()
    return Grinding(minutes)
