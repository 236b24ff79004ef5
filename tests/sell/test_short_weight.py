"""Packs checked for short weight."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.sell.short_weight import Checked, allowed_short_lb, check_lot, largest_division_lb
from gambrel.sell.weights import DIVISIONS, net_from_record


def test_a_quarter_pound_as_published() -> None:
    """NIST Handbook 133, chapter 2, 2019: for 0.25 lb the variation is 0.016 lb, so a division of 0.002 lb."""
    assert allowed_short_lb(Decimal("0.25")) == Decimal("0.016")
    assert largest_division_lb(Decimal("0.25")) == Decimal("0.002")
    assert Decimal("0.016") / 6 > Decimal("0.002")


@given(st.decimals("0.01", "80", places=2), st.decimals("0.01", "5", places=2))
def test_heavier_packs_may_be_shorter_but_less_so_for_their_weight(weight: Decimal, more: Decimal) -> None:
    """True of any such table: the allowance never falls, and the largest share is a tenth."""
    assert allowed_short_lb(weight) <= allowed_short_lb(weight + more)
    assert allowed_short_lb(weight) <= weight / 10
    assert allowed_short_lb(weight) >= weight * Decimal("0.009")


def packs(*over: str, labelled: str = "0.500") -> list[Checked]:
    return [Checked(Decimal(labelled), Decimal(labelled) + Decimal(one)) for one in over]


def test_the_mean_may_not_be_below_the_label() -> None:
    """0.002 - 0.001 - 0.001 is nothing, which passes; a gram less does not, though no pack is too short."""
    assert check_lot(packs("0.002", "-0.001", "-0.001")).passes
    below = check_lot(packs("0.002", "-0.002", "-0.001"))
    assert not below.passes and below.too_short == ()
    assert below.mean_over_kg == Decimal("-0.001") / 3


def test_no_pack_may_be_too_short_however_heavy_the_others() -> None:
    """0.25 lb is 0.113398 kg and may be 0.016 lb, 7.257 g, short."""
    quarter = "0.113398"
    assert check_lot(packs("-0.007", "0.02", labelled=quarter)).passes
    short = check_lot(packs("-0.0075", "0.02", labelled=quarter))
    assert not short.passes and len(short.too_short) == 1 and short.mean_over_kg > 0


def test_an_empty_sample_says_nothing() -> None:
    with pytest.raises(ValueError, match="at least one"):
        check_lot([])


@given(st.lists(st.integers(40, 15_000), min_size=1, max_size=30), st.sampled_from(["lb", "half-lb", "kg"]))
def test_labels_cut_off_downwards_always_pass(grams: list[int], name: str) -> None:
    division = DIVISIONS[name]
    other = "kg" if division.unit == "lb" else "lb"
    found = [Decimal(weight) / 1000 for weight in grams]
    labels = [net_from_record(weight, division=division, weighed_in=other).kg for weight in found]
    assert check_lot([Checked(label, weight) for label, weight in zip(labels, found, strict=True)]).passes
