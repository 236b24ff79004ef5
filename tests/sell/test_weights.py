"""Weights and prices of labels, by hand and at random."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import Findings
from gambrel.measures.scale import KG_PER
from gambrel.sell.weights import (
    DIVISIONS,
    Division,
    PrintedWeight,
    label_adds_up,
    net_from_record,
    net_from_scale,
    printed_price_cents,
    total_cents,
)

LB, KG = DIVISIONS["lb"], DIVISIONS["kg"]


def pounds(text: str) -> PrintedWeight:
    return PrintedWeight(Decimal(text), LB)


def test_the_pound_is_the_agreed_one() -> None:
    """NIST Special Publication 811, appendix B.8, 2008: 1 lb = 0.453 592 37 kg exactly."""
    assert Fraction(KG_PER["lb"]) == Fraction(45359237, 100_000_000)


# By hand: tare up to the division, gross down to it, net their difference.
@pytest.mark.parametrize(
    ("gross", "tare", "division", "words"),
    [
        ("1.30", "0.06", LB, "1.24 lb"),
        ("1.30", "0.051", LB, "1.24 lb"),
        ("1.309", "0.06", LB, "1.24 lb"),
        ("18.81", "0.06", LB, "18.75 lb"),
        ("0.600", "0.021", KG, "0.575 kg"),
        ("0.604", "0.025", KG, "0.575 kg"),
    ],
)
def test_net_is_never_more_than_there_is(gross: str, tare: str, division: Division, words: str) -> None:
    findings = Findings()
    printed = net_from_scale(gross=Decimal(gross), tare=Decimal(tare), division=division, findings=findings)
    assert printed is not None and not findings
    assert printed.words == words
    assert printed.net <= Decimal(gross) - Decimal(tare)


@pytest.mark.parametrize(
    ("gross", "tare", "where"),
    [("1.30", "0", "tare"), ("1.30", "-0.1", "tare"), ("0.06", "0.06", "weight"), ("0.05", "0.06", "weight")],
)
def test_no_label_without_tare_or_without_meat(gross: str, tare: str, where: str) -> None:
    findings = Findings()
    assert net_from_scale(gross=Decimal(gross), tare=Decimal(tare), division=LB, findings=findings) is None
    assert [finding.where for finding in findings] == [where]


# By hand: 1.24 x 1299 = 1610.76; 0.50 x 1299 = 649.5, half up; 1.15 x 1050 = 1207.5; 18.75 lb x $12.99.
@pytest.mark.parametrize(
    ("net", "price_cents", "cents"),
    [
        ("1.24", 1299, 1611),
        ("0.50", 1299, 650),
        ("1.15", 1050, 1208),
        ("18.75", 1299, 24356),
        ("1.005", 1000, 1005),
    ],
)
def test_total_is_printed_net_times_price(net: str, price_cents: int, cents: int) -> None:
    assert total_cents(pounds(net), price_cents=price_cents) == cents
    assert label_adds_up(pounds(net), price_cents=price_cents, asked_cents=cents) is None


def test_a_label_that_does_not_multiply_is_told() -> None:
    finding = label_adds_up(pounds("1.24"), price_cents=1299, asked_cents=1610)
    assert finding is not None
    assert finding.wanted == "1611 cents: 1.24 lb at 1299 cents"


@given(st.integers(1, 3000), st.integers(1, 9999))
def test_total_agrees_with_exact_fractions(hundredths: int, price_cents: int) -> None:
    exact = Fraction(hundredths, 100) * price_cents
    cents = total_cents(PrintedWeight(Decimal(hundredths) / 100, LB), price_cents=price_cents)
    assert -Fraction(1, 2) < cents - exact <= Fraction(1, 2)


@given(st.integers(1, 20_000))
def test_a_weighing_in_pounds_comes_back_from_the_gram(steps: int) -> None:
    """The record keeps grams; 1.24 lb is 562.4545 g, kept as 0.562, and must print as 1.24 again."""
    read = Decimal(steps) * LB.step
    kept = (read * KG_PER["lb"]).quantize(Decimal("0.001"))
    assert net_from_record(kept, division=LB, weighed_in="lb").net == read


@given(st.integers(1, 20_000), st.sampled_from(["lb", "half-lb", "kg", "fine-kg"]))
def test_a_converted_weight_never_says_more(grams: int, name: str) -> None:
    division = DIVISIONS[name]
    kept = Decimal(grams) / 1000
    other = "kg" if division.unit == "lb" else "lb"
    printed = net_from_record(kept, division=division, weighed_in=other)
    assert kept - division.step * KG_PER[division.unit] < printed.kg <= kept
    assert printed.net % division.step == 0


def test_a_record_too_coarse_for_the_scale_is_a_mistake_of_ours() -> None:
    fine = Division("lb", Decimal("0.002"))
    with pytest.raises(ValueError, match="does not tell one step"):
        net_from_record(Decimal("0.562"), division=fine, weighed_in="lb")
    assert net_from_record(Decimal("0.56245"), division=fine, weighed_in="lb").words == "1.240 lb"


def test_the_other_unit_beside_it() -> None:
    """18.75 lb is 8.50485... kg: 8.504, because 8.505 would be more than there is; 8.505 kg is 18.7503... lb."""
    assert pounds("18.75").in_other_unit().words == "8.504 kg"
    assert PrintedWeight(Decimal("8.505"), KG).in_other_unit().words == "18.75 lb"


@pytest.mark.parametrize(("cents_per_kg", "unit", "cents"), [(2863.804786, "lb", 1299), (2863.804786, "kg", 2864),
                                                             (1431.902393, "lb", 650)])  # fmt: skip
def test_price_by_the_unit_in_whole_cents(cents_per_kg: float, unit: str, cents: int) -> None:
    """$12.99/lb is 2863.804786 cents a kg; $6.495/lb prints as $6.50."""
    assert printed_price_cents(cents_per_kg, unit) == cents


@pytest.mark.parametrize(("step", "count"), [("0.01", 2), ("0.005", 3), ("0.002", 3), ("1", 0), ("0.010", 2)])
def test_decimals_of_a_division(step: str, count: int) -> None:
    assert Division("kg", Decimal(step)).decimals_count == count
