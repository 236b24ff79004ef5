"""What a person typed (a table of a TOML file, a row of a CSV file, a command's options), field by field.

Every reader returns the value in metric units, or None with a finding added: the caller reads everything,
then stops once with all that is wrong. Fields nobody asked for are findings too (`no_more`).
"""

from __future__ import annotations

import difflib
import math
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from datetime import date, datetime
from typing import Any, TypeVar

from gambrel.measures.findings import Findings
from gambrel.measures.money import read_money, read_price
from gambrel.measures.units import Dimension, NotAQuantity, read_quantity

T = TypeVar("T")


class Entry:
    """One table of fields with a name for messages; remembers which fields were read."""

    def __init__(self, fields: Mapping[str, Any], where: str, findings: Findings) -> None:
        self.fields = fields
        self.where = where
        self.findings = findings
        self._read: set[str] = set()

    def has(self, name: str) -> bool:
        """Whether the field is there and not blank (a blank CSV cell counts as not given)."""
        value = self.fields.get(name)
        return value is not None and not (isinstance(value, str) and not value.strip())

    def raw(self, name: str) -> Any:
        """The field as it was typed, for readers with a form of their own; None when it is not there."""
        self._read.add(name)
        return self.fields.get(name)

    def wrong(self, name: str, given: object, wanted: str, do: str) -> None:
        """Add a finding about field `name` of this table."""
        place = f"{self.where}, {name}" if self.where else name
        self.findings.add(place, _show(given), wanted, do)

    def quantity(
        self,
        name: str,
        dimension: Dimension,
        *,
        low: float | None = None,
        high: float | None = None,
        required: bool = False,
    ) -> float | None:
        """A quantity with its unit, in the dimension's metric unit; `low` and `high` are metric too."""
        raw = self._take(name, required, f"a {dimension.name} such as {dimension.example}")
        if raw is None:
            return None
        value = self._or_finding(name, raw, read_quantity(raw, dimension))
        return self._within(name, raw, value, low, high, f" {dimension.metric}")

    def number(
        self,
        name: str,
        *,
        low: float | None = None,
        high: float | None = None,
        required: bool = False,
        what: str = "a number",
    ) -> float | None:
        """A plain number: a percentage, a count, a score."""
        raw = self._take(name, required, what)
        if raw is None:
            return None
        try:
            value = float(raw) if not isinstance(raw, bool) else math.nan
        except (TypeError, ValueError, OverflowError):
            value = math.nan
        if not math.isfinite(value):
            self.wrong(name, raw, what, "Write it as a number without a unit.")
            return None
        return self._within(name, raw, value, low, high, "")

    def whole(
        self, name: str, *, low: int | None = None, high: int | None = None, required: bool = False,
        what: str = "a whole number",
    ) -> int | None:  # fmt: skip
        """A whole number: days, months, teeth."""
        value = self.number(name, low=low, high=high, required=required, what=what)
        if value is None:
            return None
        if value != int(value):
            self.wrong(name, self.fields[name], what, "Leave the fraction out.")
            return None
        return int(value)

    def word(self, name: str, choices: Iterable[str], *, required: bool = False) -> str | None:
        """One of `choices`, compared without regard to case or to a space for a hyphen."""
        known = list(choices)
        raw = self._take(name, required, "one of " + ", ".join(known))
        if raw is None:
            return None
        by_folded = {_fold(choice): choice for choice in reversed(known)}
        folded = _fold(str(raw))
        if folded in by_folded:
            return by_folded[folded]
        close = [by_folded[near] for near in difflib.get_close_matches(folded, by_folded, n=1)]
        self.wrong(name, raw, "one of " + ", ".join(known),
                   f"Did you mean {close[0]}?" if close else "Choose one of these.")  # fmt: skip
        return None

    def word_of_key(self, name: str, choices: Iterable[str]) -> str | None:
        """The field's own name when it is one of `choices`, for a table keyed by piece or slug."""
        self._read.add(name)
        known = list(choices)
        if name in known:
            return name
        close = difflib.get_close_matches(name, known, n=1)
        self.wrong(name, "a name that is not known here", "a name from the list",
                   f"Did you mean {close[0]}?" if close else "Check the name.")  # fmt: skip
        return None

    def text(self, name: str, *, required: bool = False, longest: int = 200) -> str | None:
        """A short text without control characters."""
        raw = self._take(name, required, "a short text")
        if raw is None:
            return None
        value = str(raw).strip()
        if len(value) > longest or not all(_may_print(c) for c in value) or isinstance(raw, (dict, list)):
            self.wrong(name, raw, f"one line of at most {longest} characters", "Shorten it, on one line.")
            return None
        return value

    def yes(self, name: str, *, default: bool) -> bool:
        """true or false."""
        raw = self._take(name, False, "true or false")
        if raw is None:
            return default
        if isinstance(raw, bool):
            return raw
        if str(raw).strip().lower() in ("true", "yes", "1"):
            return True
        if str(raw).strip().lower() in ("false", "no", "0"):
            return False
        self.wrong(name, raw, "true or false", "Write true or false.")
        return default

    def day(self, name: str, *, required: bool = False) -> date | None:
        """A calendar day, 2026-03-09."""
        raw = self._take(name, required, "a day such as 2026-03-09")
        if raw is None:
            return None
        if isinstance(raw, datetime):
            return raw.date()
        if isinstance(raw, date):
            return raw
        try:
            return date.fromisoformat(str(raw).strip())
        except ValueError:
            self.wrong(name, raw, "a day such as 2026-03-09", "Write year, month and day with hyphens.")
            return None

    def money_cents(self, name: str, *, low: int | None = 0, required: bool = False) -> int | None:
        """An amount such as "$950.00", in whole cents."""
        raw = self._take(name, required, 'an amount such as "$950.00"')
        if raw is None:
            return None
        value = self._or_finding(name, raw, read_money(raw))
        checked = self._within(name, raw, value, low, 10**11, " cents")
        return None if checked is None else int(checked)

    def price_cents_per_kg(
        self, name: str, *, low: float | None = 0.0, required: bool = False
    ) -> float | None:
        """A price such as "12.50/lb", in cents per kilogram."""
        raw = self._take(name, required, 'a price such as "12.50/lb"')
        if raw is None:
            return None
        value = self._or_finding(name, raw, read_price(raw))
        return self._within(name, raw, value, low, 10**8, " cents a kg")

    def table(self, name: str) -> Entry:
        """The table under `name`; an empty one when it is not there."""
        raw = self._take(name, False, "a table")
        if raw is not None and not isinstance(raw, Mapping):
            self.wrong(name, raw, "a table", f"Write it as [{name}] with its fields below.")
            raw = None
        where = f"{self.where}, {name}" if self.where else name
        return Entry(raw or {}, where, self.findings)

    def tables(self, name: str, *, required: bool = False) -> list[Entry]:
        """The list of tables under `name` ([[name]] in TOML), each with its number in messages."""
        raw = self._take(name, required, f"at least one [[{name}]]")
        if raw is None:
            return []
        if not isinstance(raw, list) or not all(isinstance(item, Mapping) for item in raw):
            self.wrong(name, raw, f"a list of [[{name}]] tables", f"Start each one with [[{name}]].")
            return []
        if required and not raw:
            self.wrong(name, "none", f"at least one [[{name}]]", f"Add a [[{name}]] table.")
        prefix = f"{self.where}, " if self.where else ""
        return [Entry(item, f"{prefix}{name} {number}", self.findings) for number, item in enumerate(raw, 1)]

    def no_more(self, *, ignore: Iterable[str] = ()) -> None:
        """A finding for every field that was not asked for: most are slips of the pen."""
        known = sorted(self._read)
        for name in self.fields:
            if name in self._read or name in set(ignore):
                continue
            close = difflib.get_close_matches(name, known, n=1)
            self.wrong(_show(name), "a field that is not known here", "one of " + ", ".join(known),
                       f"Did you mean {close[0]}?" if close else "Take it out or mend its name.")  # fmt: skip

    def _take(self, name: str, required: bool, wanted: str) -> Any:
        self._read.add(name)
        if self.has(name):
            return self.fields[name]
        if required:
            self.wrong(name, "nothing", wanted, "Fill it in.")
        return None

    def _or_finding(self, name: str, raw: object, value: float | NotAQuantity) -> float | None:
        if isinstance(value, NotAQuantity):
            self.wrong(name, raw, value.wanted, value.do)
            return None
        return value

    def _within(
        self, name: str, raw: object, value: float | None, low: float | None, high: float | None, unit: str
    ) -> float | None:
        if value is None:
            return None
        if (low is not None and value < low) or (high is not None and value > high):
            span = " and ".join(f"{side} {limit:,.6g}{unit}" for side, limit in
                                (("at least", low), ("at most", high)) if limit is not None)  # fmt: skip
            self.wrong(name, raw, span, "Check the figure and its unit.")
            return None
        return value


def read_each(entries: Iterable[Entry], read: Callable[[Entry], T | None]) -> list[T]:
    """What `read` makes of every entry, leaving out those that only gave findings."""
    return [value for value in (read(entry) for entry in entries) if value is not None]


def _fold(word: str) -> str:
    """A word as it is compared: no matter the case, or a hyphen, underscore or space between its parts."""
    return "-".join(word.lower().replace("_", " ").replace("-", " ").split())


def _show(given: object) -> str:
    """What was typed, short, and with nothing in it that could steer a terminal."""
    text = "".join(c if _may_print(c) else " " for c in str(given))
    return text if len(text) <= 80 else text[:77] + "..."


def _may_print(character: str) -> bool:
    """Letters, signs and spaces of any script; not control characters, line ends or half characters."""
    return character.isprintable() or unicodedata.category(character) == "Zs"
