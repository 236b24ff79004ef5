"""Element strings: the published examples, what is refused, and there and back."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import CannotDo
from gambrel.sell.application_identifiers import CSET_82, IDENTIFIERS, identifier_at
from gambrel.sell.element_strings import (
    GS,
    bracketed,
    decimals,
    element_string,
    gs1_date,
    in_saving_order,
    look_over,
    read_elements,
    read_gs1_date,
)

# The example of the reference, after GS1 General Specifications, GS1 AISBL, section 7.8: the lot is not last.
STEAK = (("01", "99521234543216"), ("3202", "001875"), ("13", "260115"), ("10", "L260115A"), ("21", "0007"))
STEAK_TEXT = "01995212345432163202001875" + "13260115" + "10L260115A" + GS + "210007"
TRACED = (("251", "840003123456789"), ("7030", "840123"), ("426", "840"))


def test_the_published_example_as_a_symbol_holds_it() -> None:
    assert element_string(STEAK) == STEAK_TEXT
    assert bracketed(STEAK) == "(01)99521234543216(3202)001875(13)260115(10)L260115A(21)0007"


def test_the_trace_example_puts_a_separator_between_but_not_after() -> None:
    text = element_string((("01", "99521234543216"), *TRACED))
    assert text == f"0199521234543216251840003123456789{GS}7030840123{GS}426840"


@pytest.mark.parametrize("prefix", ["", "]C1", "]d2", "]Q3", "]e0", GS, "]C1" + GS])
def test_what_a_scanner_sends_is_read(prefix: str) -> None:
    assert read_elements(prefix + STEAK_TEXT + "\r\n") == dict(STEAK)


# GS1 Syntax Dictionary, GS1 AISBL: a fourth digit of 2 is two decimals, of 3 is three.
@pytest.mark.parametrize(
    ("ai", "value", "shown"),
    [("3202", "001875", "18.75"), ("3103", "008505", "8.505"), ("3922", "2875", "28.75"),
     ("3200", "000018", "18"), ("3922", "5", "0.05"), ("3105", "000001", "0.00001")],
)  # fmt: skip
def test_the_fourth_digit_tells_the_decimals(ai: str, value: str, shown: str) -> None:
    assert decimals(value, ai) == shown


def test_fixed_lengths_first_saves_a_separator() -> None:
    loose = (("01", "99521234543216"), ("10", "A1"), ("3202", "000100"))
    tight = in_saving_order(loose)
    assert [ai for ai, _ in tight] == ["01", "3202", "10"]
    assert len(element_string(tight)) == len(element_string(loose)) - 1


# GS1 Syntax Dictionary: these look fixed and still need the separator.
@pytest.mark.parametrize("ai", ["422", "424", "426", "7006", "3922"])
def test_fixed_looking_values_still_take_a_separator(ai: str) -> None:
    assert not IDENTIFIERS[ai].fixed


def test_no_identifier_is_the_beginning_of_another() -> None:
    for ai in IDENTIFIERS:
        assert identifier_at(ai + "9") == IDENTIFIERS[ai]
        assert not any(other != ai and other.startswith(ai) for other in IDENTIFIERS)


@pytest.mark.parametrize(
    ("elements", "wanted"),
    [
        ([("01", "99521234543217")], "last digit agrees"),
        ([("01", "9952123454321")], "14 characters"),
        ([("01", "9952123454321X")], "digits only"),
        ([("10", "A")], "together with 01 or 02"),
        ([*STEAK, ("10", "B")], "once"),
        ([*STEAK, ("3103", "008505"), ("3102", "000850")], "one or the other"),
        ([*STEAK, ("02", "99521234543216")], "one or the other"),
        ([*STEAK, ("426", "840"), ("424", "840")], "one or the other"),
        ([("01", "99521234543216"), ("3922", "2875")], "together with 30 or 31 or 32"),
        ([("01", "99521234543216"), ("13", "261301")], "YYMMDD"),
        ([("01", "99521234543216"), ("13", "260230")], "YYMMDD"),
        ([("01", "99521234543216"), ("7007", "260101260")], "YYMMDD"),
        ([("01", "99521234543216"), ("10", "A B")], "letters, digits and the signs"),
        ([("01", "99521234543216"), ("10", "A" * 21)], "1 to 20 characters"),
        ([("01", "99521234543216"), ("10", "")], "1 to 20 characters"),
        ([("01", "99521234543216"), ("423", "8401")], "three digits each"),
        ([("01", "99521234543216"), ("7030", "US123")], "country of three digits"),
        ([("01", "99521234543216"), ("8888", "1")], "known here"),
        ([], "at least one"),
    ],
)  # fmt: skip
def test_what_the_rules_forbid_is_refused(elements: list[tuple[str, str]], wanted: str) -> None:
    assert any(wanted in finding.wanted for finding in look_over(elements)), look_over(elements)
    with pytest.raises(CannotDo):
        element_string(elements)


def test_both_weights_may_stand_beside_each_other() -> None:
    assert look_over([*STEAK, ("3103", "008505")]) == []


@pytest.mark.parametrize("bad", ["", "hello", "01995212", "8888123", "0199521234543216" + "13260230"])
def test_a_spoiled_scan_is_a_finding(bad: str) -> None:
    with pytest.raises(CannotDo):
        read_elements(bad)


def test_all_that_is_wrong_is_said_at_once() -> None:
    with pytest.raises(CannotDo) as caught:
        element_string([("01", "99521234543217"), ("13", "260230"), ("21", "")])
    assert len(caught.value.findings) == 3


# GS1 General Specifications, section 7.12: 00 is the last day; 49 years back, 50 ahead (from memory).
@pytest.mark.parametrize(
    ("text", "day"),
    [("260115", date(2026, 1, 15)), ("240200", date(2024, 2, 29)), ("260200", date(2026, 2, 28)),
     ("761231", date(2076, 12, 31)), ("770101", date(1977, 1, 1))],
)  # fmt: skip
def test_dates(text: str, day: date) -> None:
    assert read_gs1_date(text, today=date(2026, 11, 25)) == day


@given(st.dates(date(1977, 1, 1), date(2076, 12, 31)))
def test_every_day_there_and_back(day: date) -> None:
    assert read_gs1_date(gs1_date(day), today=date(2026, 7, 1)) == day


@given(
    st.text(sorted(CSET_82), min_size=1, max_size=20), st.text(sorted(CSET_82), min_size=1, max_size=20),
    st.integers(0, 999_999), st.integers(0, 5), st.dates(date(1977, 1, 1), date(2076, 12, 31)), st.randoms(),
)  # fmt: skip
def test_any_pack_there_and_back(lot: str, serial: str, weight: int, places: int, day: date, mix) -> None:
    elements = [("01", "99521234543216"), (f"320{places}", f"{weight:06d}"), ("13", gs1_date(day)),
                ("10", lot), ("21", serial), ("3922", str(weight))]  # fmt: skip
    mix.shuffle(elements)
    assert read_elements(element_string(elements)) == dict(elements)
    assert list(read_elements(element_string(elements)).items()) == elements


@given(st.text(max_size=60))
def test_whatever_is_scanned_is_read_or_refused(text: str) -> None:
    try:
        values = read_elements(text)
    except CannotDo:
        return
    assert look_over(list(values.items())) == []
