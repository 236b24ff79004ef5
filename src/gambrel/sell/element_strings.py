"""Element strings: identifiers and values as a barcode holds them, written and read.

FNC1 (sent by a scanner as ASCII 29) ends every value whose length is not told by its first digits, unless it is
the last. Brackets are for the eye and are never encoded. [GS1 General Specifications, GS1 AISBL, section 7.8]
"""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterable, Sequence
from datetime import date

from gambrel.measures import CannotDo, Finding, Findings
from gambrel.sell.application_identifiers import CSET_82, IDENTIFIERS, Identifier, identifier_at
from gambrel.sell.check_digits import check_digit_is_right, only_digits

GS = "\x1d"
"""FNC1 as a scanner sends it."""

MOST_IN_GS1_128 = 48
"""Characters of one GS1-128 symbol, separators among them [GS1 General Specifications, from memory]."""

_SYMBOLOGY = re.compile(r"\](C1|d2|Q3|e0)")
_COUNTRY_LISTS = ("423", "425")

Elements = Sequence[tuple[str, str]]
"""Identifiers with their values, in the order of the code."""


def in_saving_order(elements: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    """Those that need no separator first, the rest after them: fewer characters. Else as given."""
    return tuple(sorted(elements, key=lambda element: not IDENTIFIERS[element[0]].fixed))


def bracketed(elements: Elements) -> str:
    """As people read it below a barcode: "(01)99521234543216(3202)001875". The brackets are not encoded."""
    return "".join(f"({ai}){value}" for ai, value in elements)


def element_string(elements: Elements) -> str:
    """What the symbol holds after its first FNC1, with `GS` for the others. `CannotDo` lists what is wrong."""
    findings = Findings(look_over(elements))
    findings.stop_if_any()
    text = "".join(ai + value + ("" if IDENTIFIERS[ai].fixed else GS) for ai, value in elements)
    return text.removesuffix(GS)


def read_elements(scanned: str) -> dict[str, str]:
    """Identifiers and values of what a scanner sent. `CannotDo` lists what is wrong with it.

    The symbology prefix that a scanner may send (]C1, ]d2, ]Q3, ]e0) is taken off.
    """
    text = _SYMBOLOGY.sub("", scanned.strip("\r\n\t "), count=1).lstrip(GS)
    elements: list[tuple[str, str]] = []
    while text:
        row = identifier_at(text)
        if row is None:
            raise CannotDo([Finding("code", scanned, "identifiers that are known here", _AGAIN)])
        rest = text[len(row.ai) :]
        value, text = (rest[: row.most], rest[row.most :]) if row.fixed else _to_separator(rest)
        elements.append((row.ai, value))
        text = text.removeprefix(GS)
    findings = Findings(look_over(elements))
    findings.stop_if_any()
    return dict(elements)


_AGAIN = "Scan it again, or type the pack's number."


def look_over(elements: Elements) -> list[Finding]:
    """Everything that is wrong with these elements: lengths, characters, check digits, dates, company."""
    findings = Findings()
    if not elements:
        findings.add("code", "nothing", "at least one identifier with its value", _AGAIN)
    present = [ai for ai, _ in elements]
    for ai, value in elements:
        row = IDENTIFIERS.get(ai)
        if row is None:
            findings.add(f"({ai})", value, "an identifier that is known here", "Take it out.")
            continue
        where = f"({ai}) {row.title}"
        if present.count(ai) > 1:
            findings.add(where, f"{present.count(ai)} times", "once", "Take the others out.")
        if wanted := _value_wanted(row, value):
            findings.add(where, value, wanted, "Put it right.")
        _keeps_its_company(row, present, where, findings)
    return list(findings)


def gs1_date(day: date) -> str:
    """YYMMDD."""
    return day.strftime("%y%m%d")


def read_gs1_date(text: str, *, today: date) -> date:
    """A day from YYMMDD; 00 for the day is the last of that month; the century is the one nearest to `today`.

    Years lie from 49 before to 50 after this one [GS1 General Specifications, section 7.12, from memory].
    Raises ValueError for what is no day.
    """
    if not only_digits(text) or len(text) != 6:
        raise ValueError(f"a date is YYMMDD, not {text!r}")
    two, month, day = int(text[:2]), int(text[2:4]), int(text[4:])
    first = today.year - 49
    year = first + (two - first) % 100
    if not 1 <= month <= 12:
        raise ValueError(f"a date has a month of 01 to 12, not {text!r}")
    return date(year, month, day or calendar.monthrange(year, month)[1])


def decimals(value: str, ai: str) -> str:
    """The value of a weight or price with its point: 001875 under 3202 is "18.75"."""
    count = int(ai[3])
    whole = str(int(value)).rjust(count + 1, "0")
    return f"{whole[:-count]}.{whole[-count:]}" if count else whole


def _value_wanted(row: Identifier, value: str) -> str:
    """What the value should have been, or "" when it is right."""
    if row.digits and not only_digits(value):
        return "digits only"
    if not CSET_82.issuperset(value):
        return "letters, digits and the signs that the code knows"
    if not row.least <= len(value) <= row.most:
        return f"{row.most} characters" if row.least == row.most else f"{row.least} to {row.most} characters"
    if row.checked and not check_digit_is_right(value):
        return "a number whose last digit agrees with the others"
    if row.ai in _COUNTRY_LISTS and len(value) % 3:
        return "countries of three digits each"
    if row.ai.startswith("703") and not only_digits(value[:3]):
        return "a country of three digits, then the approval number"
    if row.dated and not all(_is_date(value[start : start + 6]) for start in range(0, len(value), 6)):
        return "YYMMDD"
    return ""


def _is_date(text: str) -> bool:
    try:
        read_gs1_date(text, today=date(2000, 1, 1))
    except ValueError:
        return False
    return True


def _keeps_its_company(row: Identifier, present: Sequence[str], where: str, findings: Findings) -> None:
    for group in row.needs:
        if not any(other.startswith(group) for other in present):
            findings.add(
                where, "alone", f"together with {' or '.join(group)}", "Add it, or leave this one out."
            )
    clash = [other for other in present if other != row.ai and other.startswith(row.never_with)]
    if clash and row.never_with:
        findings.add(where, f"together with {', '.join(clash)}", "one or the other", "Take one of them out.")


def _to_separator(text: str) -> tuple[str, str]:
    value, _, rest = text.partition(GS)
    return value, rest
