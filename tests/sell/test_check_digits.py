"""Published check digits and price verifiers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.sell.check_digits import check_digit, check_digit_is_right, price_verifier, with_check_digit

# GS1 General Specifications, GS1 AISBL: section 7.9 and the example numbers of chapter 2 and 3. The digits of each
# body are weighed in the table of ../reference, row by row: 77, 104 and 143 are the sums.
PUBLISHED_KEYS = ["9521234543213", "99521234543216", "106141411234567897"]


@pytest.mark.parametrize("number", PUBLISHED_KEYS)
def test_check_digit_as_published(number: str) -> None:
    assert with_check_digit(number[:-1]) == number
    assert check_digit_is_right(number)


@pytest.mark.parametrize(("sum_of_products", "digit"), [(77, "3"), (104, "6"), (143, "7")])
def test_the_worked_sums_lead_to_those_digits(sum_of_products: int, digit: str) -> None:
    assert str((10 - sum_of_products % 10) % 10) == digit
    bodies = {77: "952123454321", 104: "9952123454321", 143: "10614141123456789"}
    assert check_digit(bodies[sum_of_products]) == digit


# GS1 General Specifications, GS1 AISBL, sections 7.9.3 and 7.9.4: $28.75, $5.99 and $146.85 by the weights' tables.
@pytest.mark.parametrize(("price", "verifier"), [("2875", "9"), ("0599", "1"), ("14685", "6")])
def test_price_verifier_as_published(price: str, verifier: str) -> None:
    assert price_verifier(price) == verifier


def test_the_weights_are_what_their_names_say() -> None:
    """2- is twice the digit less its tens, 3 is three times, 5+ and 5- five times plus or less the tens, mod 10."""
    for digit in range(10):
        assert int(price_verifier("000" + str(digit))) == 3 * ((5 * digit - 5 * digit // 10) % 10) % 10
        assert int(price_verifier("00" + str(digit) + "0")) == 3 * (3 * digit % 10) % 10
        assert int(price_verifier(str(digit) + "000")) == 3 * ((2 * digit - 2 * digit // 10) % 10) % 10


@given(st.text("0123456789", min_size=7, max_size=17), st.integers(0, 16), st.integers(1, 9))
def test_one_wrong_digit_is_always_seen(body: str, place: int, by: int) -> None:
    number = with_check_digit(body)
    place %= len(number)
    wrong = number[:place] + str((int(number[place]) + by) % 10) + number[place + 1 :]
    assert check_digit_is_right(number)
    assert not check_digit_is_right(wrong)


@given(st.sampled_from([4, 5]), st.data(), st.integers(1, 9))
def test_one_wrong_digit_of_a_price_is_always_seen(length: int, data: st.DataObject, by: int) -> None:
    price = data.draw(st.text("0123456789", min_size=length, max_size=length))
    place = data.draw(st.integers(0, length - 1))
    wrong = price[:place] + str((int(price[place]) + by) % 10) + price[place + 1 :]
    assert price_verifier(price) != price_verifier(wrong)


@pytest.mark.parametrize("bad", ["", "12a", "١٢٣", " 12", "-12"])
def test_only_digits_are_taken(bad: str) -> None:
    with pytest.raises(ValueError, match="digits"):
        check_digit(bad)
    with pytest.raises(ValueError, match="digits"):
        price_verifier(bad)
    assert not check_digit_is_right(bad)


# The four rows as printed, digit 0 to 9 [GS1 General Specifications, GS1 AISBL, section 7.9.2, the price check digit's
# weighting factors].
ROWS = {"2-": "0246891357", "3": "0369258147", "5+": "0516273849", "5-": "0594837261"}
FOUR, FIVE = ("2-", "2-", "3", "5-"), ("5+", "2-", "5-", "5+", "2-")


@pytest.mark.parametrize("digit", range(10))
def test_each_digit_at_each_place_by_the_printed_rows(digit: int) -> None:
    """Four digits: three times the sum, its last digit. Five: what is missing to ten, looked up backwards in 5-."""
    for place, row in enumerate(FOUR):
        price = "0" * place + str(digit) + "0" * (3 - place)
        assert price_verifier(price) == str(3 * int(ROWS[row][digit]) % 10)
    for place, row in enumerate(FIVE):
        price = "0" * place + str(digit) + "0" * (4 - place)
        missing = (10 - int(ROWS[row][digit])) % 10
        assert price_verifier(price) == str(ROWS["5-"].index(str(missing)))


@given(st.text("0123456789", min_size=5, max_size=5))
def test_any_price_of_five_digits_by_the_printed_rows(price: str) -> None:
    total = sum(int(ROWS[row][int(digit)]) for row, digit in zip(FIVE, price, strict=True))
    assert price_verifier(price) == str(ROWS["5-"].index(str((10 - total % 10) % 10)))
