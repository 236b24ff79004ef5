"""Check digits of trade numbers, and the digit that guards a price inside an in-store code.

[GS1 General Specifications, GS1 AISBL, section 7.9: 7.9.1 check digit, 7.9.2 weights, 7.9.3 and 7.9.4 price
verifiers of four and five digits]
"""

from __future__ import annotations

_TWO_MINUS = "0246891357"
_THREE = "0369258147"
_FIVE_PLUS = "0516273849"
_FIVE_MINUS = "0594837261"
"""What each digit 0 to 9 counts for under the weights 2-, 3, 5+ and 5-."""

_FOUR_DIGITS = (_TWO_MINUS, _TWO_MINUS, _THREE, _FIVE_MINUS)
_FIVE_DIGITS = (_FIVE_PLUS, _TWO_MINUS, _FIVE_MINUS, _FIVE_PLUS, _TWO_MINUS)


def only_digits(text: str) -> bool:
    """Whether every character is one of 0 to 9; other alphabets' digits are none."""
    return text.isascii() and text.isdigit()


def check_digit(body: str) -> str:
    """The digit that goes after `body`: weights 3, 1, 3 ... from the right, up to the next ten [7.9.1].

    Counted from the right, because bodies differ in length. Raises ValueError for anything but digits.
    """
    if not only_digits(body):
        raise ValueError(f"a number's body is digits only, not {body!r}")
    total = sum(int(digit) * (3 if place % 2 == 0 else 1) for place, digit in enumerate(reversed(body)))
    return str(-total % 10)


def with_check_digit(body: str) -> str:
    """`body` and its check digit."""
    return body + check_digit(body)


def check_digit_is_right(number: str) -> bool:
    """Whether the last digit is the check digit of those before it."""
    return len(number) > 1 and only_digits(number) and check_digit(number[:-1]) == number[-1]


def price_verifier(price_digits: str) -> str:
    """The digit that guards four or five digits of a price [7.9.3, 7.9.4]. Raises ValueError for other lengths."""
    if not only_digits(price_digits) or len(price_digits) not in (4, 5):
        raise ValueError(f"a price in a code is four or five digits, not {price_digits!r}")
    if len(price_digits) == 4:
        return str(3 * _weighed(price_digits, _FOUR_DIGITS) % 10)
    rest = -_weighed(price_digits, _FIVE_DIGITS) % 10
    return str(_FIVE_MINUS.index(str(rest)))


def _weighed(digits: str, tables: tuple[str, ...]) -> int:
    return sum(int(table[int(digit)]) for digit, table in zip(digits, tables, strict=True))
