"""What a pack's code says, as elements, and what a scanned code says about a pack.

A shop that holds a company prefix numbers its items of random weight with indicator 9 [GS1 General Specifications,
GS1 AISBL, variable measure trade items]. A shop without one still has codes of its own: the serial under an
identifier that is internal to the shop, which means nothing elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from gambrel.measures import CannotDo, Finding, Findings
from gambrel.sell.application_identifiers import CSET_82
from gambrel.sell.check_digits import only_digits, with_check_digit
from gambrel.sell.digital_link import read_digital_link
from gambrel.sell.element_strings import decimals, gs1_date, in_saving_order, read_elements, read_gs1_date
from gambrel.sell.weights import PrintedWeight

INTERNAL = "91"
"""A serial of a shop that has no company prefix. The meaning is the shop's own."""

VARIABLE_MEASURE = "9"
_BODY_COUNT = 13
_WEIGHT_AI = {"kg": "310", "lb": "320"}


def item_number(*, company_prefix: str, item: str) -> str:
    """GTIN-14 of an item of random weight. `CannotDo` when prefix and item do not fill twelve digits."""
    body = company_prefix + item
    if not only_digits(body) or len(body) != _BODY_COUNT - 1 or not company_prefix:
        wanted = f"{_BODY_COUNT - 1} digits together"
        raise CannotDo([Finding("item number", f"{company_prefix} and {item}", wanted,
                                "Number the item with as many digits as the prefix leaves.")])  # fmt: skip
    return with_check_digit(VARIABLE_MEASURE + body)


@dataclass(frozen=True, slots=True)
class PackCode:
    """What goes into the code of one pack. `gtin` "" for a shop without a company prefix.

    `total_cents` None where the pack carries no price. `best_before` and `use_by`: at most one is printed.
    """

    serial: str
    lot: str
    printed: PrintedWeight
    packed_on: date
    gtin: str = ""
    use_by: date | None = None
    best_before: date | None = None
    total_cents: int | None = None


def elements_of(code: PackCode) -> tuple[tuple[str, str], ...]:
    """The elements of a pack's code, fewest characters. `CannotDo` lists what no code can hold."""
    findings = Findings()
    for where, value in (("serial", code.serial), ("lot", code.lot)):
        if not 1 <= len(value) <= 20 or not CSET_82.issuperset(value):
            findings.add(where, value, "1 to 20 letters, digits and plain signs", "Number it so.")
    weight_ai, weight = _weight_element(code.printed, findings)
    findings.stop_if_any()
    if not code.gtin:
        return ((INTERNAL, code.serial),)
    elements = [("01", code.gtin), (weight_ai, weight), ("13", gs1_date(code.packed_on)),
                ("10", code.lot), ("21", code.serial)]  # fmt: skip
    if code.best_before is not None:
        elements.append(("15", gs1_date(code.best_before)))
    if code.use_by is not None:
        elements.append(("17", gs1_date(code.use_by)))
    if code.total_cents is not None:
        elements.append(("3922", str(code.total_cents)))
    return in_saving_order(elements)


def _weight_element(printed: PrintedWeight, findings: Findings) -> tuple[str, str]:
    count = printed.division.decimals_count
    digits = str(int(printed.net.scaleb(count)))
    if printed.net <= 0 or len(digits) > 6:
        findings.add("weight", printed.words, "six digits of net weight", "Weigh it again.")
    return f"{_WEIGHT_AI[printed.unit]}{count}", digits.rjust(6, "0")


@dataclass(frozen=True, slots=True)
class Scanned:
    """What a scanned code says; None or "" for what it does not say. `net` in `unit` (lb or kg)."""

    serial: str = ""
    lot: str = ""
    gtin: str = ""
    net: Decimal | None = None
    unit: str = ""
    packed_on: date | None = None
    best_before: date | None = None
    use_by: date | None = None
    total_cents: int | None = None


def read_scanned(text: str, *, today: date) -> Scanned:
    """What a scanner or a person typed: element string or web address. `CannotDo` says why it is neither."""
    values = read_digital_link(text) if text.lstrip().lower().startswith("http") else read_elements(text)
    net, unit = _net(values)
    return Scanned(
        serial=values.get("21", values.get(INTERNAL, "")),
        lot=values.get("10", ""),
        gtin=values.get("01", ""),
        net=net,
        unit=unit,
        packed_on=_day(values, "13", today),
        best_before=_day(values, "15", today),
        use_by=_day(values, "17", today),
        total_cents=_cents(values),
    )


def _net(values: dict[str, str]) -> tuple[Decimal | None, str]:
    for unit, family in _WEIGHT_AI.items():
        for ai in values:
            if ai.startswith(family) and len(ai) == 4:
                return Decimal(decimals(values[ai], ai)), unit
    return None, ""


def _day(values: dict[str, str], ai: str, today: date) -> date | None:
    return read_gs1_date(values[ai], today=today) if ai in values else None


def _cents(values: dict[str, str]) -> int | None:
    """Whole cents of a price to pay; None where there is none, or where it has parts of a cent."""
    for ai in values:
        if ai.startswith("392"):
            cents = Decimal(decimals(values[ai], ai)) * 100
            return int(cents) if cents == cents.to_integral_value() else None
    return None
