"""Figures in words: each has its unit, and both units tell the same weight."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.drawing import say
from gambrel.measures.estimate import Estimate


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        (say.kg(365.604), "365.6 kg"),
        # 806 lb x 0.45359237 = 365.5955 kg [NIST Special Publication 811, appendix B.8, 2008]
        (say.kg_lb(365.59545), "365.6 kg · 806.0 lb"),
        (say.pct(0.2681), "26.8 %"),
        (say.area(82.58048), "82.6 cm² · 12.8 in²"),
        (say.thickness(12.7), "12.7 mm · 0.50 in"),
        (say.hours(95.0), "1.6 h"),
        (say.per_lb(2755.78), "$12.50/lb"),
        (say.per_kg(2755.78), "$27.56/kg"),
        (say.day(date(2026, 3, 9)), "Mon 9 Mar"),
        (say.day_year(date(2026, 12, 31)), "Thu 31 Dec 2026"),
        (say.plain(-0.04), "0.0"),
        (say.plain(-1234.56), "-1,234.6"),
    ],
)
def test_as_written_by_hand(written, wanted):
    assert written == wanted


def test_spans_carry_one_unit_and_start_at_nothing():
    weight = Estimate(10.0, -0.5, 21.04)
    assert say.span_kg(weight) == "0.0–21.0 kg"
    assert say.span_lb(Estimate(45.359237, 45.359237, 90.718474)) == "100.0–200.0 lb"
    assert say.span(Estimate(5.0, 4.4, 5.6), "mm", 0) == "4–6 mm"


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_no_figure_is_written_for_no_number(value):
    with pytest.raises(ValueError, match="finite"):
        say.kg(value)


@given(st.floats(0, 1000))
def test_both_units_tell_one_weight(weight_kg):
    kilos, pounds = say.kg_lb(weight_kg).replace(",", "").split(" · ")
    assert float(pounds.split()[0]) * 0.45359237 == pytest.approx(float(kilos.split()[0]), abs=0.05 + 0.023)


@given(st.dates())
def test_days_are_english_whatever_the_machine_speaks(when):
    assert say.day(when).split()[0] in ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    assert str(when.year) in say.day_year(when)
