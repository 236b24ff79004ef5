"""Units: the factors are those in print, what is typed comes back, and nothing is guessed at."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import units
from gambrel.measures.units import (
    AREA,
    DURATION,
    LENGTH,
    MASS,
    TEMPERATURE,
    TWO_WAYS,
    Dimension,
    NotAQuantity,
    read_quantity,
)

DIMENSIONS = (MASS, LENGTH, AREA, TEMPERATURE, DURATION)
SP_811 = "NIST Special Publication 811, Guide for the Use of the SI, appendix B.8, 2008"

# Rows of the alphabetical table: what is typed, printed factor, its unit in ours, half its last digit.
PRINTED = [
    ("1lb", MASS, 4.535924e-01, 1.0, 5e-8),  # pound (avoirdupois) to kilogram
    ("1oz", MASS, 2.834952e01, 1e-3, 5e-9),  # ounce (avoirdupois) to gram
    ("1in", LENGTH, 2.54e00, 10.0, 0.0),  # inch to centimetre, exact
    ("1ft", LENGTH, 3.048e-01, 1000.0, 0.0),  # foot to metre, exact
    ("1in2", AREA, 6.4516e00, 1.0, 0.0),  # square inch to square centimetre, exact
    ("1h", DURATION, 3.6e03, 1 / 60, 0.0),  # hour to second, exact
    ("1min", DURATION, 6.0e01, 1 / 60, 0.0),  # minute to second, exact
]


@pytest.mark.parametrize(("typed", "dimension", "printed", "ours", "last_digit"), PRINTED)
def test_factor_as_printed_in_nist_sp_811(
    typed: str, dimension: Dimension, printed: float, ours: float, last_digit: float
) -> None:
    assert read_quantity(typed, dimension) == pytest.approx(printed * ours, abs=last_digit, rel=1e-12), SP_811


def test_pound_and_inch_are_exact_by_agreement() -> None:
    """International yard and pound agreement, 1959: 1 lb = 0.453 592 37 kg, 1 yd = 0.9144 m, both exact."""
    assert units.KG_PER_LB == 0.45359237
    assert units.mm_from_in(1.0) == pytest.approx(914.4 / 36, rel=1e-15)
    assert units.cm2_from_in2(1.0) == pytest.approx((914.4 / 36 / 10) ** 2, rel=1e-15)


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [
        ("32F", 0.0),  # freezing point of water
        ("212F", 100.0),  # boiling point of water
        ("-40F", -40.0),  # where the scales meet
        ("98.6F", 37.0),
    ],
)
def test_fahrenheit_by_the_formula_of_nist_sp_811(typed: str, celsius: float) -> None:
    """t/°C = (t/°F - 32)/1.8 [NIST Special Publication 811, appendix B.8, 2008]."""
    assert read_quantity(typed, TEMPERATURE) == pytest.approx(celsius, abs=1e-12)
    assert units.f_from_c(celsius) == pytest.approx(float(typed[:-1]), abs=1e-9)


@pytest.mark.parametrize(
    ("typed", "dimension", "value"),
    [
        ("806lb", MASS, 365.59545),
        ("806 lbs", MASS, 365.59545),
        (" 365.6KG ", MASS, 365.6),
        (".5in", LENGTH, 12.7),
        ("0.5in", LENGTH, 12.7),
        ("12mm", LENGTH, 12.0),
        ("1.2cm", LENGTH, 12.0),
        ("82.6cm2", AREA, 82.6),
        ("12.8in²", AREA, 82.58048),
        ("38°F", TEMPERATURE, 10 / 3),
        ("3.3°C", TEMPERATURE, 3.3),
        ("-1.5c", TEMPERATURE, -1.5),
        ("1.5h", DURATION, 90.0),
        ("90s", DURATION, 1.5),
    ],
)
def test_ways_of_typing(typed: str, dimension: Dimension, value: float) -> None:
    assert read_quantity(typed, dimension) == pytest.approx(value, rel=1e-7)


@pytest.mark.parametrize(
    ("typed", "inches"),
    [("1/2in", 0.5), ("3/8in", 0.375), ("1 1/4in", 1.25), ("1-1/4in", 1.25), ("12 3/16 in", 12.1875),
     ("-1/8in", -0.125), ("-1 1/8in", -1.125)],
)  # fmt: skip
def test_fractions_as_on_a_ruler(typed: str, inches: float) -> None:
    assert read_quantity(typed, LENGTH) == pytest.approx(inches * 25.4)


@pytest.mark.parametrize("typed", ["11/2in", "8/8in", "0/4in", "1/0in", "1 2in", "1//2in", "1/2", "1 1/4"])
def test_a_fraction_that_may_mean_two_things_is_refused(typed: str) -> None:
    assert isinstance(read_quantity(typed, LENGTH), NotAQuantity)


@pytest.mark.parametrize(
    ("bare", "dimension", "do"),
    [
        (350, MASS, "Say the unit: 350kg or 350lb."),
        ("350", MASS, "Say the unit: 350kg or 350lb."),
        (0.4, LENGTH, "Say the unit: 0.4mm or 0.4in."),
        ("3/8", LENGTH, "Say the unit: 3/8mm or 3/8in."),
        (12.8, AREA, "Say the unit: 12.8cm2 or 12.8in2."),
        (38, TEMPERATURE, "Say the unit: 38c or 38f."),
        (45, DURATION, "Say the unit: 45min or 45h."),
    ],
)
def test_a_bare_number_is_refused_with_the_units_it_may_mean(
    bare: object, dimension: Dimension, do: str
) -> None:
    answer = read_quantity(bare, dimension)
    assert isinstance(answer, NotAQuantity)
    assert answer.do == do
    assert all(unit in answer.wanted for unit in dimension.units)


@pytest.mark.parametrize(
    ("typed", "dimension"),
    [("12kg", LENGTH), ("12in", AREA), ("12in2", LENGTH), ("12F", MASS), ("12stone", MASS), ("1in3", AREA)],
)
def test_a_unit_of_something_else_is_named(typed: str, dimension: Dimension) -> None:
    answer = read_quantity(typed, dimension)
    assert isinstance(answer, NotAQuantity)
    assert typed.lstrip("12") in answer.do or typed[1:] in answer.do
    assert dimension.example in answer.do


@pytest.mark.parametrize("odd", [None, True, False, [], {}, "", " ", "lb", "1e999kg", math.nan, math.inf,
                                 10**400, "1,100lb", "--3kg", "12 lb 4 oz", b"12kg", "٣kg "])  # fmt: skip
@pytest.mark.parametrize("dimension", DIMENSIONS, ids=lambda dimension: dimension.name)
def test_odd_entries_are_refused_or_finite(odd: object, dimension: Dimension) -> None:
    answer = read_quantity(odd, dimension)
    assert isinstance(answer, NotAQuantity) or math.isfinite(answer)


@pytest.mark.parametrize("typed", ["1,200lb", "1,200 kg", "-12,345kg", " 999,000 g", "1,200"])
def test_a_comma_before_three_digits_is_not_guessed_at(typed: str) -> None:
    """Twelve hundred pounds or one and a fifth: whoever typed it knows."""
    assert read_quantity(typed, MASS) == TWO_WAYS


@pytest.mark.parametrize(
    ("typed", "kg"),
    [
        ("365,6kg", 365.6),
        ("12,5 kg", 12.5),
        ("0,125kg", 0.125),
        ("1200,25 kg", 1200.25),
        ("1,2345kg", 1.2345),
    ],
)
def test_a_comma_that_can_only_part_decimals_is_a_point(typed: str, kg: float) -> None:
    assert read_quantity(typed, MASS) == pytest.approx(kg, rel=1e-12)


@pytest.mark.parametrize("typed", ["1,200.5kg", "1,200,300kg", "1,2,3kg", ",kg", "1.200,5kg"])
def test_more_commas_or_a_point_too_are_refused(typed: str) -> None:
    assert isinstance(read_quantity(typed, MASS), NotAQuantity)


@given(st.text() | st.integers() | st.floats() | st.booleans() | st.none() | st.binary())
def test_junk_never_raises(junk: object) -> None:
    for dimension in DIMENSIONS:
        answer = read_quantity(junk, dimension)
        assert isinstance(answer, NotAQuantity) or math.isfinite(answer)


@given(st.from_regex(r"\s*[-+]?\d{1,5}([./]\d{1,3})?\s*[a-zA-Z°]{0,3}[23]?\s*", fullmatch=True))
def test_near_misses_never_raise(text: str) -> None:
    for dimension in DIMENSIONS:
        answer = read_quantity(text, dimension)
        assert isinstance(answer, NotAQuantity) or math.isfinite(answer)


EVERY_UNIT = [pytest.param(d, u, id=f"{d.name}-{u}") for d in DIMENSIONS for u in d.units]


@pytest.mark.parametrize(("dimension", "unit"), EVERY_UNIT)
@given(number=st.floats(-1e6, 1e6))
def test_every_unit_comes_back(dimension: Dimension, unit: str, number: float) -> None:
    """Typed in a unit, read into metric, turned back by the factor: the number that was typed."""
    metric = read_quantity(f"{number!r}{unit}", dimension)
    assert not isinstance(metric, NotAQuantity)
    back = metric / dimension.units[unit] + dimension.zeros.get(unit, 0.0)
    assert back == pytest.approx(number, rel=1e-9, abs=1e-9)


@given(st.floats(-1e6, 1e6))
def test_conversions_undo_each_other(value: float) -> None:
    near = pytest.approx(value, rel=1e-12, abs=1e-9)
    assert units.lb_from_kg(units.kg_from_lb(value)) == near
    assert units.in_from_mm(units.mm_from_in(value)) == near
    assert units.in2_from_cm2(units.cm2_from_in2(value)) == near
    assert units.c_from_f(units.f_from_c(value)) == near


@given(st.floats(0.01, 1e5))
def test_the_conversions_agree_with_what_is_typed(value: float) -> None:
    assert read_quantity(f"{value!r}lb", MASS) == pytest.approx(units.kg_from_lb(value))
    assert read_quantity(f"{value!r}in", LENGTH) == pytest.approx(units.mm_from_in(value))
    assert read_quantity(f"{value!r}in2", AREA) == pytest.approx(units.cm2_from_in2(value))
    assert read_quantity(f"{value!r}F", TEMPERATURE) == pytest.approx(units.c_from_f(value), abs=1e-9)
