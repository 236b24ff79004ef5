"""Bars of the till's code against the published patterns of its digits, bar by bar.

GS1 General Specifications, GS1 AISBL, section 5.2: number set A (left, odd), its mirror images (set B) and its
opposites (set C, right); guards 101, 01010 and 101; the sets of the left half of a thirteen-digit code by its
first digit.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.barcode import Barcode, in_store
from gambrel.sell.check_digits import with_check_digit

SET_A = {
    "0": "0001101", "1": "0011001", "2": "0010011", "3": "0111101", "4": "0100011", "5": "0110001", "6": "0101111",
    "7": "0111011", "8": "0110111", "9": "0001011",
}  # fmt: skip
SET_C = {digit: "".join("10"[int(module)] for module in pattern) for digit, pattern in SET_A.items()}
SET_B = {digit: pattern[::-1] for digit, pattern in SET_C.items()}
SETS_BY_FIRST = {
    "0": "AAAAAA", "1": "AABABB", "2": "AABBAB", "3": "AABBBA", "4": "ABAABB", "5": "ABBAAB", "6": "ABBBAA",
    "7": "ABABAB", "8": "ABABBA", "9": "ABBABA",
}  # fmt: skip


def pattern_of(digits: str) -> str:
    """Ninety-five modules, 1 for dark, of a code of twelve or thirteen digits."""
    thirteen = digits.zfill(13)
    sets = {"A": SET_A, "B": SET_B}
    left = "".join(
        sets[name][digit] for name, digit in zip(SETS_BY_FIRST[thirteen[0]], thirteen[1:7], strict=True)
    )
    right = "".join(SET_C[digit] for digit in thirteen[7:])
    return f"101{left}01010{right}101"


def modules_of(code: Barcode) -> str:
    """What was drawn, module by module."""
    row = ["0"] * code.columns_count
    for x, _, width, _ in code.bars:
        for module in range(round(x), round(x + width)):
            row[module] = "1"
    return "".join(row)


def test_the_sets_are_what_the_standard_says_of_them() -> None:
    """Every pattern is seven modules with two bars; set A is odd in dark modules, B and C are even."""
    for digit in "0123456789":
        assert SET_A[digit].count("1") % 2 == 1
        assert SET_B[digit].count("1") % 2 == SET_C[digit].count("1") % 2 == 0
        assert all(len(one[digit]) == 7 for one in (SET_A, SET_B, SET_C))
    assert len({*SET_A.values(), *SET_B.values(), *SET_C.values()}) == 30


@pytest.mark.parametrize("code", ["201234928751", "200417105996", "201236146856", "2101234005990"])
def test_worked_codes_bar_by_bar(code: str) -> None:
    body = code[:-1]
    number = with_check_digit(body)
    drawn = in_store(number)
    assert modules_of(drawn) == pattern_of(number)
    assert drawn.columns_count == 95


@given(st.text("0123456789", min_size=11, max_size=12))
def test_any_code_bar_by_bar(body: str) -> None:
    number = with_check_digit(body)
    assert modules_of(in_store(number)) == pattern_of(number)


@pytest.mark.parametrize("length", [11, 12])
def test_bars_touch_nothing_and_stay_inside(length: int) -> None:
    code = in_store(with_check_digit("2" * length))
    ends = [(x, x + width) for x, _, width, _ in code.bars]
    assert all(left_end < right_start for (_, left_end), (right_start, _) in pairwise(ends))
    assert ends[0][0] == 0 and ends[-1][1] == 95
    assert len(code.bars) == 30
