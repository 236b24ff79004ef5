"""The meat code of UN/ECE."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import CannotDo
from gambrel.sell.element_strings import look_over
from gambrel.sell.unece_code import VALUES, MeatCode, read_meat_code

CUBE_ROLL = MeatCode(
    cut="2240", cold="1", category="3", feeding="1", slaughter="1", fat="4", quality="1", packing="5"
)


def test_the_published_example() -> None:
    """Chilled steer cube roll, grain-fed, conventional slaughter, 3 mm of fat, official quality, vacuum.

    [UNECE Standard, Bovine meat carcases and cuts, United Nations, 2007 edition, fields in their places]
    """
    assert CUBE_ROLL.text() == "10 2240 00 1 3 0 1 0 1 0 4 1 0 5 0".replace(" ", "")
    assert len(CUBE_ROLL.text()) == 20


def test_it_goes_into_its_element() -> None:
    assert look_over([("01", "99521234543216"), ("7002", CUBE_ROLL.text())]) == []


def test_what_it_says_in_words() -> None:
    assert CUBE_ROLL.words() == [
        "cold: chilled", "category: steer", "feeding: grain", "slaughter: conventional", "fat: 3 mm",
        "quality: official", "packing: vacuum",
    ]  # fmt: skip


@given(st.data())
def test_any_code_there_and_back(data: st.DataObject) -> None:
    chosen = {name: data.draw(st.sampled_from(sorted(meanings))) for name, meanings in VALUES.items()}
    code = MeatCode(cut=data.draw(st.text("0123456789", min_size=4, max_size=4)), **chosen)
    assert read_meat_code(code.text()) == code


@pytest.mark.parametrize(
    ("field", "digit"),
    [("cold", "4"), ("category", "8"), ("feeding", "4"), ("after_slaughter", "2"), ("packing", "7"),
     ("conformity", "8"), ("fat", "x")],
)  # fmt: skip
def test_a_digit_without_a_meaning_is_refused(field: str, digit: str) -> None:
    with pytest.raises(CannotDo) as caught:
        replace(CUBE_ROLL, **{field: digit}).text()
    assert [finding.where for finding in caught.value.findings] == [field.replace("_", " ")]


@pytest.mark.parametrize(
    "text",
    ["", "1" * 19, "11" + CUBE_ROLL.text()[2:], "10224001" + CUBE_ROLL.text()[8:],
     CUBE_ROLL.text()[:12] + "1" + CUBE_ROLL.text()[13:], "10224000430101041050"],
)  # fmt: skip
def test_what_is_no_code_is_said(text: str) -> None:
    with pytest.raises(CannotDo):
        read_meat_code(text)
