"""In-store codes: the published examples, and there and back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import CannotDo
from gambrel.sell.check_digits import check_digit_is_right
from gambrel.sell.price_code import LAYOUTS, InStore, in_store_code, read_in_store

UPC = LAYOUTS["upc-price-4"]


# Verifiers and check digits by GS1 General Specifications, GS1 AISBL, sections 7.9.1, 7.9.3 and 7.9.4.
@pytest.mark.parametrize(
    ("layout", "item", "price_cents", "code"),
    [
        ("upc-price-4", "01234", 2875, "201234928751"),
        ("upc-price-4", "00417", 599, "200417105996"),
        ("upc-price-5", "0123", 14685, "201236146856"),
    ],
)
def test_codes_as_worked_by_the_published_tables(layout: str, item: str, price_cents: int, code: str) -> None:
    assert in_store_code(LAYOUTS[layout], item=item, value=price_cents) == code
    assert read_in_store(code, LAYOUTS[layout]) == InStore(item, price_cents)
    assert read_in_store("0" + code, LAYOUTS[layout]) == InStore(item, price_cents)


@given(st.sampled_from(sorted(LAYOUTS)), st.data())
def test_every_layout_there_and_back(slug: str, data: st.DataObject) -> None:
    layout = LAYOUTS[slug]
    item = data.draw(st.text("0123456789", min_size=layout.item_count, max_size=layout.item_count))
    value = data.draw(st.integers(0, layout.most))
    code = in_store_code(layout, item=item, value=value)
    assert len(code) == layout.length_count == (13 if len(layout.prefix) == 2 else 12)
    assert check_digit_is_right(code)
    assert read_in_store(f" {code}\n", layout) == InStore(item, value)


def test_a_price_too_long_for_the_layout_is_refused() -> None:
    with pytest.raises(CannotDo, match="0 to 9999") as caught:
        in_store_code(UPC, item="123", value=10_000)
    assert [finding.where for finding in caught.value.findings] == ["item number", "value in the code"]
    assert len(in_store_code(LAYOUTS["upc-price-5"], item="0123", value=10_000)) == 12


@pytest.mark.parametrize("value", [-1, 100_000])
def test_values_outside_are_refused(value: int) -> None:
    with pytest.raises(CannotDo, match="value in the code"):
        in_store_code(LAYOUTS["ean-weight-5"], item="00001", value=value)


@pytest.mark.parametrize(
    ("code", "why"),
    [
        ("201234928752", "agrees with the others"),
        ("301234928750", "begins with 2"),
        ("2012349287", "12 digits"),
        ("20123492875X", "12 digits"),
        ("", "12 digits"),
        ("9521234543213", "12 digits"),
    ],
)
def test_what_is_no_code_of_the_shop_is_said(code: str, why: str) -> None:
    with pytest.raises(CannotDo, match=why):
        read_in_store(code, UPC)


def test_two_errors_that_cancel_in_the_check_digit_are_seen_by_the_verifier() -> None:
    """2875 with digits one place apart swapped keeps the sum of the check digit; the price's own digit sees it."""
    wrong = "201234978251"
    assert check_digit_is_right(wrong)
    with pytest.raises(CannotDo, match="digit that guards it"):
        read_in_store(wrong, UPC)
