"""Money: whole cents, halves up, parts that add up, prices that come back as they went in."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures.money import (
    cents_per_kg,
    cents_per_lb,
    read_money,
    read_price,
    round_half_up,
    show_money,
    split_cents,
    value_cents,
)
from gambrel.measures.units import NotAQuantity, kg_from_lb

CENTS = st.integers(-(10**11), 10**11)


@pytest.mark.parametrize(
    ("value", "whole"), [(2.5, 3), (3.5, 4), (-2.5, -3), (0.5, 1), (0.49, 0), (1e9 + 0.5, 10**9 + 1)]
)
def test_halves_go_away_from_zero(value: float, whole: int) -> None:
    assert round_half_up(value) == whole


def test_a_decimal_half_is_a_half() -> None:
    # 0.285 * 100 in binary falls just below 28.5; in decimal arithmetic it is the half that people see.
    assert round_half_up(Decimal("0.285") * 100) == 29


@given(st.decimals(-(10**9), 10**9, places=3, allow_nan=False))
def test_rounding_is_decimal_rounding(value: Decimal) -> None:
    assert round_half_up(value) == int(value.to_integral_value(rounding=ROUND_HALF_UP))


@given(st.integers(-(10**9), 10**9))
def test_a_written_half_rounds_up_as_a_float_too(whole: int) -> None:
    assert abs(round_half_up(whole + 0.5 if whole >= 0 else whole - 0.5)) == abs(whole) + 1


@given(st.floats(-1e12, 1e12))
def test_rounding_moves_by_no_more_than_half(value: float) -> None:
    assert abs(Decimal(round_half_up(value)) - Decimal(value)) <= Decimal("0.5")


@pytest.mark.parametrize(
    ("text", "cents"),
    [
        ("$950", 95_000),
        ("$1,250.00", 125_000),
        ("-$3", -300),
        ("$ 0.285", 29),
        ("€12.5", 1250),
        ("$-4", NotAQuantity),
    ],
)
def test_money_as_people_write_it(text: str, cents: object) -> None:
    value = read_money(text)
    assert isinstance(value, NotAQuantity) if cents is NotAQuantity else value == cents


@pytest.mark.parametrize(
    "text", ["950", "", "$", "$12,50", "$1e5", "950 dollars", True, None, 950, 9.5, "$nan", [], "$--3"]
)
def test_what_is_no_money_is_said(text: object) -> None:
    value = read_money(text)
    assert isinstance(value, NotAQuantity)
    assert value.wanted and value.do


def test_an_absurd_number_is_read_so_that_it_can_be_refused() -> None:
    digits = "9" * 40
    value = read_money(f"${digits}")
    assert isinstance(value, int) and value > 10**39
    assert isinstance(read_price(f"{digits * 10}/lb"), float)


@given(CENTS)
def test_money_comes_back_as_it_was_shown(cents: int) -> None:
    assert read_money(show_money(cents)) == cents


@given(st.text(max_size=20))
def test_any_text_is_money_or_a_reason(text: str) -> None:
    assert isinstance(read_money(text), (int, NotAQuantity))
    assert isinstance(read_price(text), (float, NotAQuantity))


@pytest.mark.parametrize(
    ("text", "expected_cents_per_kg"),
    [
        ("12.50/lb", 2755.78),
        ("$27.56/kg", 2756.0),
        ("$310/cwt", 683.43),
        ("1,200/CWT", 2645.55),
        (".99 / lb", 218.26),
    ],
)
def test_prices_by_the_pound_the_kilogram_and_the_hundredweight(
    text: str, expected_cents_per_kg: float
) -> None:
    # by hand with 1 lb = 0.45359237 kg (international pound, 1959)
    assert read_price(text) == pytest.approx(expected_cents_per_kg, abs=0.01)


@pytest.mark.parametrize(
    "text", ["12.50", "$12.50", "12.50/oz", "/lb", "12.50 lb", "12,5/lb", "inf/lb", None, True, 12.5]
)
def test_what_is_no_price_is_said(text: object) -> None:
    assert isinstance(read_price(text), NotAQuantity)


@given(st.decimals(0, 10**5, places=2, allow_nan=False))
def test_a_price_comes_back_to_the_cent(price: Decimal) -> None:
    by_lb, by_kg, by_cwt = (read_price(f"{price}/{unit}") for unit in ("lb", "kg", "cwt"))
    assert isinstance(by_lb, float) and isinstance(by_kg, float) and isinstance(by_cwt, float)
    assert round_half_up(cents_per_lb(by_lb)) == price * 100
    assert round_half_up(by_kg) == price * 100
    assert round_half_up(cents_per_lb(by_cwt) * 100) == price * 100


@given(st.floats(0, 1e6))
def test_pounds_and_kilograms_undo_each_other(price: float) -> None:
    assert cents_per_lb(cents_per_kg(price)) == pytest.approx(price)


@given(
    CENTS, st.lists(st.floats(0, 1e6), min_size=1, max_size=30).filter(lambda weights: sum(weights) > 1e-3)
)
def test_parts_add_up_to_the_cent_and_stay_near_their_share(total: int, weights: list[float]) -> None:
    parts = split_cents(total, weights)
    assert sum(parts) == total
    assert len(parts) == len(weights)
    whole = sum(Decimal(weight) for weight in weights)
    for part, weight in zip(parts, weights, strict=True):
        assert abs(Decimal(part) - Decimal(total) * Decimal(weight) / whole) < Decimal("1.001")


@given(st.integers(0, 10**9), st.lists(st.integers(1, 100), min_size=2, max_size=10))
def test_a_heavier_part_never_gets_less(total: int, weights: list[int]) -> None:
    parts = split_cents(total, weights)
    for part, weight in zip(parts, weights, strict=True):
        assert all(part >= other for other, lighter in zip(parts, weights, strict=True) if lighter < weight)


@given(st.floats(0, 1e4), st.integers(0, 10**5))
def test_value_is_the_decimal_product_rounded_once(kg: float, price: int) -> None:
    # a product within a millionth of a cent of a half may go either way: the way through kilograms is a float
    exact = Decimal(kg) * price
    if abs(exact % 1 - Decimal("0.5")) > Decimal("1e-5"):
        assert value_cents(kg, float(price)) == int(exact.to_integral_value(rounding=ROUND_HALF_UP))


def test_pounds_by_the_pound_come_out_as_on_the_scale() -> None:
    # 1.5 lb at $4.33 is $6.495, printed $6.50 (half up); through kilograms the float is just under.
    assert value_cents(kg_from_lb(1.5), cents_per_kg(433)) == 650


def test_three_equal_shares_of_a_dollar() -> None:
    assert sorted(split_cents(100, [1, 1, 1])) == [33, 33, 34]


@pytest.mark.parametrize("weights", [[], [0.0], [0.0, 0.0], [1.0, -2.0]])
def test_nothing_to_share_by_is_a_mistake(weights: list[float]) -> None:
    with pytest.raises(ValueError, match="positive sum"):
        split_cents(100, weights)
