"""Lines from a scale, a scanner and a hand: weight, unit, last digit, and what is refused."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures.scale import LONGEST, ScaleReading, digit_of, read_scale
from gambrel.measures.units import TWO_WAYS, NotAQuantity

POUND = Decimal("0.45359237")
"""International yard and pound agreement, 1959."""


def kg(text: str, bare_unit: str = "lb") -> Decimal:
    read = read_scale(text, bare_unit=bare_unit)
    assert isinstance(read, ScaleReading), read
    return read.weight_kg


@pytest.mark.parametrize(
    "text",
    ["142.5", "142.5 lb", "lb 142.5", "142.5LB", " +0142.5lb ", "142,5", "ST,GS,+  142.5lb", "142.5 lbs NET"],
)
def test_one_weight_in_pounds_however_it_is_sent(text: str) -> None:
    assert kg(text) == (Decimal("142.5") * POUND).quantize(Decimal("0.001"))


@pytest.mark.parametrize(("text", "grams"), [("365,6 kg", 365600), ("7.25kg", 7250), ("840 g", 840),
                                             ("12.4 kg G", 12400), ("g 840", 840)])  # fmt: skip
def test_one_weight_in_kilograms_and_grams(text: str, grams: int) -> None:
    assert kg(text) == Decimal(grams) / 1000


def test_a_bare_number_is_in_the_unit_that_is_said() -> None:
    assert kg("10", "kg") == 10
    assert kg("10", "lb") == Decimal("4.536")


@pytest.mark.parametrize(
    ("code", "weight_kg"),
    [
        ("(01)90614141000015(3102)001234", Decimal("12.34")),
        ("01906141410000153102001234", Decimal("12.34")),
        ("]C101906141410000153103001234", Decimal("1.234")),
        ("01906141410000153201000250", (25 * POUND).quantize(Decimal("0.001"))),
    ],
)
def test_the_net_weight_of_a_gs1_code(code: str, weight_kg: Decimal) -> None:
    """Six digits, of which the last digit of the identifier are decimals.

    [GS1 General Specifications, section 3.6.2, GS1 AISBL, 2018]; 001234 under 3102 is 12.34 kg.
    """
    assert kg(code) == weight_kg


@pytest.mark.parametrize(("text", "digit_kg"), [("142.5 kg", "0.1"), ("142 kg", "1"), ("142.50 kg", "0.01"),
                                                ("7 oz", "0.028349523125")])  # fmt: skip
def test_a_weight_is_good_to_its_last_digit(text: str, digit_kg: str) -> None:
    """The ounce is a sixteenth of the pound."""
    assert digit_of(text, bare_unit="kg") == Decimal(digit_kg)


@pytest.mark.parametrize("text", ["", "lb", "abc", "1 2", "12.4.5", "1,142.5", "-3", "0", "0.0 kg", "12 stone",
                                  "12 kg lb", "0.0001 kg", "nan", "inf", "1e5", "٣", ".", "9" * 31, "9" * 30,
                                  "221" + "0" * 23 + " lb", "100001 kg"])  # fmt: skip
def test_what_is_no_weight_is_refused_with_a_sentence(text: str) -> None:
    read = read_scale(text, bare_unit="kg")
    if text == "٣":  # a digit of another script is a digit
        assert read == ScaleReading(Decimal("3.000"), Decimal(1))
        return
    assert isinstance(read, NotAQuantity)
    assert read.wanted and read.do.endswith((".", "?"))


@pytest.mark.parametrize("text", ["1,200 lb", "1,200", "lb 12,345", " +1,200 lb", "999,000 kg"])
def test_a_comma_that_may_part_thousands_or_decimals_is_not_guessed_at(text: str) -> None:
    assert read_scale(text, bare_unit="lb") == TWO_WAYS


@pytest.mark.parametrize(
    ("text", "weight_kg"),
    [("ST,GS,+  12,345kg", "12.345"), ("NT 1,200 kg", "1.2"), ("0012,345 kg", "12.345"), ("0,125 kg", "0.125"),
     ("12,5 kg", "12.5"), ("1200,5 kg", "1200.5"), ("12,3456 kg", "12.346")],
)  # fmt: skip
def test_a_comma_that_can_be_read_one_way_is_read(text: str, weight_kg: str) -> None:
    """A scale that says it is still never parts thousands; neither does a number that begins with nought."""
    assert kg(text) == Decimal(weight_kg)


@pytest.mark.parametrize("text", ["US,GS,+  142.5lb", "142.5 lb M", "OL"])
def test_a_scale_that_moves_is_waited_for(text: str) -> None:
    read = read_scale(text, bare_unit="lb")
    assert isinstance(read, NotAQuantity)
    assert "still" in read.do


@pytest.mark.parametrize("space", [" ", "\t", "\xa0", "\x1c", "\u2003"])
def test_any_kind_of_space_may_stand_between_a_sign_and_its_number(space: str) -> None:
    assert kg(f"+{space}12.5 kg") == Decimal("12.5")


@given(st.text(max_size=2 * LONGEST) | st.text("0123456789.,lbkg ", max_size=LONGEST))
def test_any_text_is_a_weight_above_nothing_or_a_sentence(text: str) -> None:
    read = read_scale(text, bare_unit="lb")
    assert isinstance(read, NotAQuantity) or read.weight_kg > 0


@given(st.decimals(min_value=Decimal("0.01"), max_value=900, places=2), st.sampled_from(["kg", "lb"]))
def test_what_a_scale_prints_is_read_back(number: Decimal, unit: str) -> None:
    exact = number * (POUND if unit == "lb" else 1)
    assert abs(kg(f"{unit} {number}") - exact) <= Decimal("0.0005")
