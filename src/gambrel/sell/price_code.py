"""The shop's own code on a pack of random weight: item and price (or weight) in twelve or thirteen digits.

Number system 2 of UPC-A, prefixes 20 to 29 of EAN-13: numbers for use inside one shop. The layout is the shop's
choice, and the till must be set to the same; the number is never an item number elsewhere, so it never goes into
AI 01. [GS1 General Specifications, GS1 AISBL, restricted circulation numbers; the usual American layouts from
memory]
"""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.measures import CannotDo, Finding
from gambrel.sell.check_digits import check_digit_is_right, only_digits, price_verifier, with_check_digit


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the digits stand: prefix, item, perhaps a verifier, the value, and the check digit.

        `measure` says what the value is: whole cents, or the printed net weight in its last printed digit (hundredths
    X
    """

    slug: str
    prefix: str
    item_count: int
    value_count: int
    verified: bool
    measure: str

    @property
    def length_count(self) -> int:
        return len(self.prefix) + self.item_count + self.verified + self.value_count + 1

    @property
    def most(self) -> int:
        """The largest value it holds."""
        return int(10**self.value_count) - 1


LAYOUTS: dict[str, Layout] = {
    layout.slug: layout
    for layout in (
        Layout("upc-price-4", "2", 5, 4, True, "price_cents"),
        Layout("upc-price-5", "2", 4, 5, True, "price_cents"),
        Layout("upc-price-5-plain", "2", 5, 5, False, "price_cents"),
        Layout("upc-weight-5", "2", 5, 5, False, "weight"),
        Layout("ean-price-5", "21", 5, 5, False, "price_cents"),
        Layout("ean-price-5-verified", "22", 4, 5, True, "price_cents"),
        Layout("ean-weight-5", "23", 5, 5, False, "weight"),
    )
}
"""The layouts a shop may choose from. Which of 20 to 29 means what is settled by each country's own
organisation; ask it before a code leaves the shop. From memory."""


@dataclass(frozen=True, slots=True)
class InStore:
    """What an in-store code says: the shop's item number and a value in the layout's measure."""

    item: str
    value: int


def in_store_code(layout: Layout, *, item: str, value: int) -> str:
    """The digits of the code, check digit last. `CannotDo` lists what does not fit the layout."""
    findings = []
    if not only_digits(item) or len(item) != layout.item_count:
        findings.append(
            Finding("item number", item, f"{layout.item_count} digits", "Number the shop's items so.")
        )
    if not 0 <= value <= layout.most:
        findings.append(
            Finding("value in the code", str(value), f"0 to {layout.most}, as {layout.slug} holds",
                    "Weigh a smaller pack, or choose a layout with more digits at the till and here.")
        )  # fmt: skip
    if findings:
        raise CannotDo(findings)
    digits = f"{value:0{layout.value_count}d}"
    verifier = price_verifier(digits) if layout.verified else ""
    return with_check_digit(layout.prefix + item + verifier + digits)


def read_in_store(code: str, layout: Layout) -> InStore:
    """Item and value of a scanned code; `CannotDo` says why it is none of this layout.

    A scanner may give UPC-A as thirteen digits with a nought in front.
    """
    digits = code.strip()
    if len(digits) == layout.length_count + 1 == 13 and digits.startswith("0"):
        digits = digits[1:]
    why = _why_not(digits, layout)
    if why:
        raise CannotDo([Finding("code", code, why, "Scan it again, or type the pack's number.")])
    start = len(layout.prefix)
    return InStore(digits[start : start + layout.item_count], int(digits[-1 - layout.value_count : -1]))


def _why_not(digits: str, layout: Layout) -> str:
    if not only_digits(digits) or len(digits) != layout.length_count:
        return f"{layout.length_count} digits"
    if not digits.startswith(layout.prefix):
        return f"a code of the shop's own, which begins with {layout.prefix}"
    if not check_digit_is_right(digits):
        return "a last digit that agrees with the others"
    value = digits[-1 - layout.value_count : -1]
    if layout.verified and digits[len(layout.prefix) + layout.item_count] != price_verifier(value):
        return "a price that agrees with the digit that guards it"
    return ""
