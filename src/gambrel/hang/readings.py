"""Readings of a cooler log: time, air, carcass, deep round and humidity."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from gambrel.measures import Entry
from gambrel.measures.units import TEMPERATURE, c_from_f, f_from_c

# Wide enough that a Fahrenheit figure filed under Celsius is still read, and then said by the log check.
_LOWEST_C, _HIGHEST_C = -60.0, 130.0

PROBES = ("air", "carcass", "deep")
"""Air of the room; carcass under the fascia of the round; deep in the round."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One line of the log; None where that probe was not read. `where` names the line in messages."""

    at: datetime
    where: str
    air_c: float | None = None
    carcass_c: float | None = None
    deep_c: float | None = None
    humidity_pct: float | None = None

    def value(self, what: str) -> float | None:
        """The temperature [C] of air, carcass or deep, or the humidity [%]."""
        values = {"air": self.air_c, "carcass": self.carcass_c, "deep": self.deep_c}
        return self.humidity_pct if what == "humidity" else values[what]

    def without(self, probe: str) -> Reading:
        """The reading with this probe's temperature left out."""
        air, carcass, deep = (None if one == probe else self.value(one) for one in PROBES)
        return replace(self, air_c=air, carcass_c=carcass, deep_c=deep)

    def hours_from(self, moment: datetime) -> float:
        """Hours since `moment`, negative before it."""
        return (self.at - moment) / timedelta(hours=1)


def read_reading(entry: Entry) -> Reading | None:
    """A reading from the fields time, humidity, and air, carcass and deep.

    A temperature is a quantity ("36F"), or a plain number under a name that says its unit: air_f, carcass_c.
    """
    before = len(entry.findings)
    at = read_moment(entry, "time", required=True)
    air, carcass, deep = (_temperature(entry, probe) for probe in PROBES)
    name = "humidity_pct" if entry.has("humidity_pct") else "humidity"
    humidity = entry.number(name, low=0.0, high=100.0, what="relative humidity in percent such as 85")
    if len(entry.findings) == before and air is carcass is deep is humidity is None:
        entry.wrong(
            "air", "nothing", "a temperature or a humidity", "Fill in what was read, or take the line out."
        )
    if at is None or len(entry.findings) > before:
        return None
    return Reading(at, entry.where, air, carcass, deep, humidity)


def read_moment(entry: Entry, name: str, *, required: bool = False) -> datetime | None:
    """A day with its clock time, without a time zone: 2026-03-01T14:30."""
    wanted = "a day and time such as 2026-03-01T14:30"
    raw = entry.raw(name)
    if not entry.has(name):
        if required:
            entry.wrong(name, "nothing", wanted, "Fill it in.")
        return None
    try:
        moment = raw if isinstance(raw, datetime) else datetime.fromisoformat(str(raw).strip())
    except ValueError:
        entry.wrong(name, raw, wanted, "Write year, month and day with hyphens, then T and the time.")
        return None
    if (isinstance(raw, date) and not isinstance(raw, datetime)) or ":" not in str(
        moment if raw is moment else raw
    ):
        entry.wrong(name, raw, wanted, "Give the time of day too.")
        return None
    if moment.tzinfo is not None:
        entry.wrong(name, raw, wanted + ", by the clock on the wall", "Leave the time zone out.")
        return None
    return moment


def _temperature(entry: Entry, probe: str) -> float | None:
    given = [name for name in (probe, f"{probe}_f", f"{probe}_c") if entry.has(name)]
    for name in (probe, f"{probe}_f", f"{probe}_c"):
        entry.raw(name)
    if len(given) > 1:
        entry.wrong(
            given[1], entry.fields[given[1]], f"one of {', '.join(given)}", "Give each temperature once."
        )
        return None
    if not given:
        return None
    if given[0] == probe:
        return entry.quantity(probe, TEMPERATURE, low=_LOWEST_C, high=_HIGHEST_C)
    number = entry.number(given[0], low=-80.0, high=270.0, what="a temperature as a plain number")
    if number is None:
        return None
    return c_from_f(number) if given[0].endswith("_f") else number


def show_c(value_c: float) -> str:
    """A temperature both ways, Fahrenheit first as the thermometer on the wall."""
    return f"{f_from_c(value_c):.1f} F ({value_c:.1f} C)"
