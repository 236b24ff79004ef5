"""Margin, markup and the sales a cost needs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.price.margin import (
    margin_from_markup,
    margin_share,
    markup_from_margin,
    markup_share,
    needed_sales_cents,
)

cents = st.integers(1, 10**8)
margins = st.floats(0, 0.95)


def test_cost_ten_price_fifteen_as_printed():
    """Establishing cost and selling prices of retail beef cuts, 1920s meat-retailing text."""
    assert margin_share(sales_cents=15, cost_cents=10) == pytest.approx(0.333, abs=0.001)
    assert markup_share(sales_cents=15, cost_cents=10) == pytest.approx(0.500, abs=0.001)
    assert markup_from_margin(1 / 3) == pytest.approx(0.5)


def test_whole_heifer_as_printed():
    """Meat Retailing, 1920s: 59.78 on a cost of 40.75; the two shares follow from the printed amounts."""
    assert markup_share(sales_cents=5978, cost_cents=4075) == pytest.approx(0.467, abs=0.0005)
    assert margin_share(sales_cents=5978, cost_cents=4075) == pytest.approx(0.318, abs=0.0005)


def test_needed_sales_are_exact_where_binary_numbers_are_not():
    assert needed_sales_cents(cost_cents=70, margin_share=0.3) == 100
    assert needed_sales_cents(cost_cents=7001, margin_share=0.3) == 10002
    assert needed_sales_cents(cost_cents=0, margin_share=0.3) == 0


@given(cost=cents, margin=margins)
def test_needed_sales_earn_the_margin_and_a_cent_less_does_not(cost, margin):
    needed = needed_sales_cents(cost_cents=cost, margin_share=margin)
    assert isinstance(needed, int)
    assert (needed - cost) / needed >= margin - 1e-12
    assert needed == cost or (needed - 1 - cost) / (needed - 1) < margin + 1e-12


@given(margin=margins)
def test_markup_and_margin_undo_each_other(margin):
    assert margin_from_markup(markup_from_margin(margin)) == pytest.approx(margin)


def test_shares_of_nothing_are_not_known():
    assert margin_share(sales_cents=0, cost_cents=10) is None
    assert markup_share(sales_cents=10, cost_cents=0) is None


@pytest.mark.parametrize("margin", [-0.1, 1.0])
def test_a_margin_that_cannot_be_raises(margin):
    with pytest.raises(ValueError, match="margin"):
        markup_from_margin(margin)
    with pytest.raises(ValueError, match="margin"):
        needed_sales_cents(cost_cents=100, margin_share=margin)
