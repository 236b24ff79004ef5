"""From a pack to its code and back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import CannotDo
from gambrel.sell.application_identifiers import CSET_82
from gambrel.sell.digital_link import digital_link
from gambrel.sell.element_strings import element_string
from gambrel.sell.pack_code import PackCode, Scanned, elements_of, item_number, read_scanned
from gambrel.sell.weights import DIVISIONS, PrintedWeight

TODAY = date(2026, 1, 20)
STEAK = PackCode(serial="0007", lot="L260115A", printed=PrintedWeight(Decimal("18.75"), DIVISIONS["lb"]),
                 packed_on=date(2026, 1, 15), gtin="99521234543216")  # fmt: skip


def test_the_published_pack() -> None:
    """GS1 General Specifications, GS1 AISBL: item, 3202 001875, packed 13, lot, serial, as in the example."""
    assert elements_of(STEAK) == (
        ("01", "99521234543216"), ("3202", "001875"), ("13", "260115"), ("10", "L260115A"), ("21", "0007"),
    )  # fmt: skip


def test_item_number_of_random_weight_as_published() -> None:
    """GS1 General Specifications, GS1 AISBL, section 7.9.1: body 9 952123454321, check digit 6."""
    assert item_number(company_prefix="9521234", item="54321") == "99521234543216"


@pytest.mark.parametrize(
    ("prefix", "item"), [("9521234", "5432"), ("", "952123454321"), ("95212X4", "54321")]
)
def test_an_item_number_has_room_for_so_many_digits(prefix: str, item: str) -> None:
    with pytest.raises(CannotDo, match="12 digits together"):
        item_number(company_prefix=prefix, item=item)


def test_price_and_dates_come_after() -> None:
    full = replace(STEAK, use_by=date(2026, 1, 22), best_before=date(2026, 1, 20), total_cents=2875)
    assert ("3922", "2875") in elements_of(full)
    said = read_scanned("]C1" + element_string(elements_of(full)), today=TODAY)
    assert said == Scanned("0007", "L260115A", "99521234543216", Decimal("18.75"), "lb", date(2026, 1, 15),
                           date(2026, 1, 20), date(2026, 1, 22), 2875)  # fmt: skip


def test_a_shop_without_a_prefix_has_its_serial_only() -> None:
    own = elements_of(replace(STEAK, gtin=""))
    assert own == (("91", "0007"),)
    assert read_scanned(element_string(own), today=TODAY) == Scanned(serial="0007")


@pytest.mark.parametrize(
    ("change", "where"),
    [({"serial": ""}, "serial"), ({"serial": "7" * 21}, "serial"), ({"lot": "SIDE 7"}, "lot"),
     ({"lot": "Kühl"}, "lot"), ({"printed": PrintedWeight(Decimal("10000.00"), DIVISIONS["lb"])}, "weight"),
     ({"printed": PrintedWeight(Decimal("0.00"), DIVISIONS["lb"])}, "weight")],
)  # fmt: skip
def test_what_no_code_can_hold_is_said(change: dict[str, object], where: str) -> None:
    with pytest.raises(CannotDo) as caught:
        elements_of(replace(STEAK, **change))
    assert [finding.where for finding in caught.value.findings] == [where]


words = st.text(sorted(CSET_82), min_size=1, max_size=20)
days = st.dates(date(1990, 1, 1), date(2060, 12, 31))


@given(
    words, words, st.sampled_from(sorted(DIVISIONS)), st.integers(1, 199_999), days, st.none() | days,
    st.none() | st.integers(0, 999_999),
)  # fmt: skip
def test_any_pack_says_the_same_when_scanned(lot, serial, name, steps, packed, use_by, cents) -> None:
    division = DIVISIONS[name]
    printed = PrintedWeight(division.down(division.step * steps), division)
    code = PackCode(serial, lot, printed, packed, "99521234543216", use_by, None, cents)
    wanted = Scanned(serial, lot, code.gtin, printed.net, division.unit, packed, None, use_by, cents)
    elements = elements_of(code)
    assert read_scanned(element_string(elements), today=TODAY) == wanted
    assert read_scanned(digital_link(elements, host="hollow.example"), today=TODAY) == wanted


def test_parts_of_a_cent_are_not_guessed() -> None:
    text = element_string((("01", "99521234543216"), ("3202", "000100"), ("3923", "12345")))
    assert read_scanned(text, today=TODAY).total_cents is None
