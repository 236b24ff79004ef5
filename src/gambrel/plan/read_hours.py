"""What the people and the room of the week's file can do in a day: hours, overtime, blocks and saws."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from gambrel.catalog.ways import WORK
from gambrel.measures import Entry
from gambrel.measures.units import DURATION
from gambrel.plan.week import WEEKDAYS, Overtime, Room

MOST_MINUTES = 24.0 * 60 * 50
"""Fifty people around the clock."""

DEARER = 1.5
"""Overtime is paid at not less than one and a half times the wage [29 USC 207(a)(1), from memory]."""


def read_hours(hours: Entry) -> tuple[dict[str, float], dict[str, dict[str, float]]]:
    """Minutes of work on a cutting day, and on the weekdays and days that [hours.on] names; no figure, no limit."""
    on: dict[str, dict[str, float]] = {}
    for name in hours.table("on").fields:
        when = str(name).lower()
        if when not in WEEKDAYS and not is_day(when):
            hours.wrong(
                "on", name, f"one of {', '.join(WEEKDAYS)}, or a day like 2026-03-14", "Mend its name."
            )
            continue
        on[when] = _minutes(hours.table("on").table(str(name)))
    return _minutes(hours), on


def read_wages(
    wages: Entry, overtime: Entry, minutes: Mapping[str, float], minutes_on: Mapping[str, Mapping[str, float]]
) -> tuple[int, Overtime]:
    """The wage in cents an hour, and how much longer than the hours may be worked, at what wage."""
    wage_cents = wages.money_cents("per_hour") or 0
    dearer_cents = wages.money_cents("overtime_per_hour")
    wages.no_more()
    over = _minutes(overtime)
    limited = set(minutes).union(*minutes_on.values())
    for work in [one for one in over if one not in limited]:
        overtime.wrong(work, overtime.fields[work], f"hours of {work} work that it goes beyond",
                       f"Give {work} a limit in [hours], or take this out.")  # fmt: skip
    if dearer_cents is not None and dearer_cents < wage_cents:
        wages.wrong("overtime_per_hour", wages.fields["overtime_per_hour"],
                    "at least the wage of an hour", "Raise it.")  # fmt: skip
    return wage_cents, Overtime(over, float(wage_cents * DEARER if dearer_cents is None else dearer_cents))


def read_room(room: Entry) -> Room:
    """How many may do a kind of work at once: knife (blocks), saw, grinder, packer (benches)."""
    open_min = room.quantity("open", DURATION, low=0.0, high=24.0 * 60)
    at_once = {work: count for work in WORK if (count := room.whole(work, low=0, high=500)) is not None}
    room.no_more()
    if at_once and open_min is None:
        room.wrong("open", "nothing", "how long the room is open on a cutting day, such as 10h", "Add it.")
    return Room(at_once, open_min or 0.0)


def _minutes(entry: Entry) -> dict[str, float]:
    minutes = {}
    for work in WORK:
        value = entry.quantity(work, DURATION, low=0.0, high=MOST_MINUTES)
        if value is not None:
            minutes[work] = value
    entry.no_more()
    return minutes


def is_day(text: str) -> bool:
    """Whether it is a day written as 2026-03-14."""
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False
