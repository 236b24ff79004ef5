"""Yield grade, short cut and retail cuts against published worked examples (source beside each row)."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures.units import in2_from_cm2, in_from_mm, lb_from_kg
from gambrel.standards.usda_yield import (
    BANDS_RETAIL_PCT,
    CLOSELY_TRIMMED_PCT,
    beef_yield_grade,
    bench_yield_grade,
    grade_of_retail_cut_pct,
    kidney_fat_lb,
    preliminary_grade,
    retail_cut_pct,
    retail_cut_pct_metric,
    retail_step_lb,
    ribeye_called_for_in2,
    whole_grade,
)

NDSU = "North Dakota State University extension, Yield grades and carcass weights"
AMS = "USDA AMS, US Standards for Grades of Carcass Beef, 81 FR 10565, 2016"
CFR = "7 CFR 54.105, older text"
SDSU = "South Dakota State University extension, Beef carcass yield grades, 2022"
SKAC = "J. Anim. Sci. 101: skac343, 2023, tables 3 and 6"
FLORIDA = "Florida Agricultural Experiment Station, animal science mimeographs"
FLORIDA_2 = FLORIDA + ", second report, table 6"

# id, hot lb, fat in, kidney fat %, ribeye in2, equation to 3 figures, whole grade as printed, source
WORKED = [
    ("Y1", 750, 0.40, 2.5, 12.8, 2.754, 2, NDSU),
    ("Y2", 700, 0.20, 1.5, 12.5, 1.960, 1, AMS),
    ("Y3", 1100, 0.40, 2.0, 19.1, 1.968, 1, AMS),
    ("Y4", 700, 0.50, 2.5, 12.3, 2.974, 2, AMS),
    ("Y5", 1100, 0.60, 3.0, 18.1, 2.988, 2, AMS),
    ("Y6", 500, 0.30, 2.5, 11.5, 1.970, 1, CFR),
    ("Y7", 800, 0.40, 2.5, 16.0, 1.920, 1, CFR),
    ("Y8", 700, 0.40, 2.0, 14.0, 2.080, 2, SDSU),
]

# id, hot lb, fat in, kidney fat %, ribeye in2, printed retail-cut %, printed yield grade
LOTS = [
    ("F1", 675, 0.39, 2.50, 12.47, 50.88, 2, FLORIDA),
    ("F2", 641, 0.32, 2.10, 12.86, 52.10, 2, FLORIDA),
    ("F3", 664, 0.52, 2.40, 12.00, 49.96, 3, FLORIDA),
    ("F4", 614, 0.34, 2.00, 11.72, 51.37, 2, FLORIDA),
    ("F5", 559, 0.36, 2.60, 10.52, 50.67, 2, FLORIDA_2),
    ("F6", 570, 0.48, 2.80, 10.36, 49.64, 3, FLORIDA_2),
    ("F7", 621, 0.54, 3.00, 10.65, 49.00, 3, FLORIDA_2),
    ("F8", 588, 0.52, 2.30, 11.12, 50.01, 2, FLORIDA_2),
]


def from_metric(*, fat_cm: float, kph_pct: float, hot_kg: float, ribeye_cm2: float) -> dict[str, float]:
    return {
        "fat_in": in_from_mm(10 * fat_cm),
        "kph_pct": kph_pct,
        "hot_lb": lb_from_kg(hot_kg),
        "ribeye_in2": in2_from_cm2(ribeye_cm2),
    }


@pytest.mark.parametrize("row", WORKED, ids=lambda row: f"{row[0]} {row[-1]}")
def test_equation_on_published_examples(row):
    _, hot, fat, kph, ribeye, by_equation, stamped, _ = row
    grade = beef_yield_grade(fat_in=fat, ribeye_in2=ribeye, hot_lb=hot, kph_pct=kph)
    assert grade == pytest.approx(by_equation, abs=0.005)
    assert whole_grade(grade) == stamped


def test_short_cut_on_its_published_example():
    """SDSU extension, 2022: 3.0 for the fat, 12.2 in2 called for, 2.16 in the end."""
    assert preliminary_grade(fat_in=0.40) == pytest.approx(3.0)
    assert ribeye_called_for_in2(hot_lb=700) == pytest.approx(12.2)
    grade = bench_yield_grade(fat_in=0.40, ribeye_in2=14.0, hot_lb=700, kph_pct=2.0)
    assert grade == pytest.approx(2.16, abs=0.005)
    assert whole_grade(grade) == 2


@pytest.mark.parametrize(
    ("fat_in", "printed"),
    [(0.0, 2.0), (0.2, 2.5), (0.4, 3.0), (0.6, 3.5), (0.8, 4.0), (1.0, 4.5), (1.2, 5.0), (1.4, 5.5)],
)
def test_preliminary_grade_table(fat_in, printed):
    """SDSU extension, 2022, table of preliminary yield grades."""
    assert preliminary_grade(fat_in=fat_in) == pytest.approx(printed)


@pytest.mark.parametrize(
    ("hot_lb", "printed"),
    [
        (600, 11.0),
        (650, 11.6),
        (700, 12.2),
        (750, 12.8),
        (800, 13.4),
        (850, 14.0),
        (900, 14.6),
        (950, 15.2),
        (1000, 15.8),
    ],
)
def test_ribeye_called_for_table(hot_lb, printed):
    """SDSU extension, 2022, table of ribeye called for."""
    assert ribeye_called_for_in2(hot_lb=hot_lb) == pytest.approx(printed)


@pytest.mark.parametrize(("kph_pct", "step"), [(3.5, 0.0), (1.0, -0.5), (4.5, 0.2), (4.0, 0.1), (3.0, -0.1)])
def test_kidney_fat_step_of_the_short_cut(kph_pct, step):
    """SDSU extension, 2022: 0.1 for each half per cent either side of 3.5."""
    none = bench_yield_grade(fat_in=0.4, ribeye_in2=12.2, hot_lb=700, kph_pct=kph_pct)
    assert none - 3.0 == pytest.approx(step)


def test_short_cut_and_equation_disagree_as_the_guide_says():
    """The reader is told that Y2, Y3, Y6, Y7 turn from 1 to 2 and Y4, Y5 from 2 to 3: derived, both forms
    read.
    """
    turned = {}
    for name, hot, fat, kph, ribeye, *_ in WORKED:
        us = {"fat_in": fat, "ribeye_in2": ribeye, "hot_lb": hot, "kph_pct": kph}
        turned[name] = (whole_grade(beef_yield_grade(**us)), whole_grade(bench_yield_grade(**us)))
    assert {name for name, pair in turned.items() if pair == (1, 2)} == {"Y2", "Y3", "Y6", "Y7"}
    assert {name for name, pair in turned.items() if pair == (2, 3)} == {"Y4", "Y5"}


def test_decimals_are_dropped_not_rounded():
    """NDSU: 2.75 is 2; encyclopedia chapter on beef yield grading: 3.9 is 3."""
    assert whole_grade(3.9) == 3
    assert whole_grade(2.75) == 2


@pytest.mark.parametrize(("raw", "whole"), [(0.0, 1), (-0.4, 1), (7.4, 5), (5.9, 5), (6.0, 5), (1.0, 1)])
def test_off_scale_grades_take_the_ends(raw, whole):
    """Raw range seen in the National Beef Quality Audit 2016 (market cows and bulls, table 8): 0.0 to 7.4."""
    assert whole_grade(raw) == whole


def test_binary_dust_does_not_lower_a_grade():
    assert whole_grade(1.9999999999999998) == 2


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), float("-inf")])
def test_a_grade_that_is_no_number_is_a_mistake(bad):
    with pytest.raises(ValueError, match="finite"):
        whole_grade(bad)


@pytest.mark.parametrize("row", LOTS, ids=lambda row: f"{row[0]} {row[-1]}")
def test_retail_cuts_on_published_lot_means(row):
    _, hot, fat, kph, ribeye, printed_pct, printed_grade, _ = row
    pct = retail_cut_pct(fat_in=fat, ribeye_in2=ribeye, hot_lb=hot, kph_pct=kph)
    assert pct == pytest.approx(printed_pct, abs=0.07)
    assert grade_of_retail_cut_pct(printed_pct) == printed_grade


@pytest.mark.parametrize(("name", "tolerance"), [("F1", 0.02), ("F6", 0.02)])
def test_retail_cuts_where_print_is_exact(name, tolerance):
    """Florida mimeographs: these two lots agree to the printed figure."""
    _, hot, fat, kph, ribeye, printed_pct, *_ = next(row for row in LOTS if row[0] == name)
    pct = retail_cut_pct(fat_in=fat, ribeye_in2=ribeye, hot_lb=hot, kph_pct=kph)
    assert pct == pytest.approx(printed_pct, abs=tolerance)


@pytest.mark.parametrize(
    ("pct", "grade"),
    [
        (52.4, 1),
        (52.3, 2),
        (50.1, 2),
        (50.0, 3),
        (47.8, 3),
        (47.7, 4),
        (45.5, 4),
        (45.4, 5),
        (60.0, 1),
        (20.0, 5),
        (50.01, 2),
    ],
)
def test_bands(pct, grade):
    """Texas A&M extension, ASWeb-121, and Florida mimeographs for 50.01."""
    assert grade_of_retail_cut_pct(pct) == grade


# Group means of the Angus- and Wagyu-sired study: fat cm, kidney fat %, hot kg, ribeye cm2, printed grade,
# tolerance.
MEANS = [
    (1.90, 2.87, 326, 81.6, 3.64, 0.05),
    (2.44, 3.61, 367, 84.4, 4.52, 0.05),
    (2.14, 2.33, 353, 84.7, 3.85, 0.05),
    (2.38, 3.46, 373, 87.6, 4.32, 0.05),
]


@pytest.mark.parametrize("row", MEANS, ids=lambda row: f"{SKAC} YG {row[4]}")
def test_equation_on_published_metric_means(row):
    fat_cm, kph, hot_kg, ribeye, printed, tolerance = row
    us = from_metric(fat_cm=fat_cm, kph_pct=kph, hot_kg=hot_kg, ribeye_cm2=ribeye)
    assert beef_yield_grade(**us) == pytest.approx(printed, abs=tolerance)


def test_stamp_of_the_fattest_group():
    """J. Anim. Sci. 101: skac343, 2023: 4.52 is a 4."""
    us = from_metric(fat_cm=2.44, kph_pct=3.61, hot_kg=367, ribeye_cm2=84.4)
    assert whole_grade(beef_yield_grade(**us)) == 4


@pytest.mark.parametrize(
    ("fat_cm", "kph", "hot_kg", "ribeye", "printed", "tolerance"),
    [(2.38, 3.46, 373, 87.6, 46.71, 0.15), (2.14, 2.33, 353, 84.7, 47.79, 0.5)],
)
def test_retail_cuts_on_published_metric_means(fat_cm, kph, hot_kg, ribeye, printed, tolerance):
    """J. Anim. Sci. 101: skac343, 2023, table 6. In US units: the printed 0.02 a kilogram is 0.0205
    rounded.
    """
    us = from_metric(fat_cm=fat_cm, kph_pct=kph, hot_kg=hot_kg, ribeye_cm2=ribeye)
    assert retail_cut_pct(**us) == pytest.approx(printed, abs=max(tolerance, 0.15))
    metric = retail_cut_pct_metric(fat_cm=fat_cm, ribeye_cm2=ribeye, hot_kg=hot_kg, kph_pct=kph)
    assert 0.1 < metric - retail_cut_pct(**us) < 0.25  # the printed weight term reads 0.17 to 0.18 high
    assert metric == pytest.approx(printed, abs=0.5)


def test_population_means_of_the_audit():
    """National Beef Quality Audit 2016: fat 1.42 cm, ribeye 89.5 cm2, 390.3 kg, kidney fat 1.9 %, yield
    grade 3.1.
    """
    us = from_metric(fat_cm=1.42, kph_pct=1.9, hot_kg=390.3, ribeye_cm2=89.5)
    assert beef_yield_grade(**us) == pytest.approx(3.1, abs=0.05)


def test_what_moves_the_grade_by_one():
    """Texas A&M extension ASWeb-121: 0.4 in fat, 5 % kidney fat, 3 in2 ribeye, 250 lb, rounded."""
    base = {"fat_in": 0.5, "ribeye_in2": 12.0, "hot_lb": 700.0, "kph_pct": 2.0}
    at = beef_yield_grade(**base)
    steps = [("fat_in", 0.4), ("kph_pct", 5.0), ("ribeye_in2", -3.0), ("hot_lb", 250.0)]
    for name, step in steps:
        assert beef_yield_grade(**base | {name: base[name] + step}) - at == pytest.approx(1.0, abs=0.06), name


def test_a_whole_grade_of_retail_product_and_fat():
    """Kansas State University report 262, 1976: on 700 lb, grade 2 to 3, retail -32.2 lb and fat +39.2 lb."""
    retail_lb, fat_lb = retail_step_lb(hot_lb=700, grades=1)
    assert retail_lb == pytest.approx(-32.2, abs=0.5)
    assert fat_lb == pytest.approx(39.2, abs=0.5)


def test_kidney_fat_weight():
    """Georgia agricultural education, beef yield grading tutorial, 2004: 700 lb at 3 % is 21 lb, 10.5 lb a
    side.
    """
    assert kidney_fat_lb(hot_lb=700, kph_pct=3) == pytest.approx(21)
    assert kidney_fat_lb(hot_lb=700, kph_pct=3) / 2 == pytest.approx(10.5)


def test_closely_trimmed_product_falls_with_the_grade():
    """NDSU extension, closely trimmed retail product: 75.5 at grade 1 down to 60.8 at grade 5."""
    assert CLOSELY_TRIMMED_PCT[1] == 75.5
    assert CLOSELY_TRIMMED_PCT[5] == 60.8
    assert sorted(CLOSELY_TRIMMED_PCT.values(), reverse=True) == list(CLOSELY_TRIMMED_PCT.values())


def test_equations_take_arrays():
    fat = np.array([0.39, 0.48])
    pct = retail_cut_pct(
        fat_in=fat,
        ribeye_in2=np.array([12.47, 10.36]),
        hot_lb=np.array([675.0, 570.0]),
        kph_pct=np.array([2.5, 2.8]),
    )
    assert pct == pytest.approx([50.88, 49.64], abs=0.02)  # Florida mimeographs F1, F6


carcasses = st.fixed_dictionaries(
    {
        "fat_in": st.floats(0, 3),
        "ribeye_in2": st.floats(3, 30),
        "hot_lb": st.floats(130, 2000),
        "kph_pct": st.floats(0, 12),
    }
)


@given(carcass=carcasses, more=st.floats(0.001, 1.0))
def test_grade_and_cuts_move_the_way_the_trade_knows(carcass, more):
    for name, way in (("fat_in", 1), ("kph_pct", 1), ("ribeye_in2", -1), ("hot_lb", 1)):
        fatter = carcass | {name: carcass[name] + more}
        for grade in (beef_yield_grade, bench_yield_grade):
            assert way * (grade(**fatter) - grade(**carcass)) > 0
        assert way * (retail_cut_pct(**fatter) - retail_cut_pct(**carcass)) < 0


@given(carcass=carcasses)
def test_whole_grade_is_always_on_the_scale(carcass):
    for grade in (beef_yield_grade, bench_yield_grade):
        raw = grade(**carcass)
        assert whole_grade(raw) in (1, 2, 3, 4, 5)
        if 1 <= raw < 6:
            assert 0 <= raw - whole_grade(raw) < 1 + 1e-9


@given(low=st.floats(20, 80), more=st.floats(0, 30))
def test_more_cuts_never_give_a_worse_grade(low, more):
    assert grade_of_retail_cut_pct(low + more) <= grade_of_retail_cut_pct(low)


def test_total_retail_bands_step_by_what_the_study_found():
    """USDA total retail cuts by grade (reprint) against Kansas State report 262, 1976: 4.6 points a grade."""
    least = [pct for _, pct in BANDS_RETAIL_PCT[:4]]
    assert least == [79.8, 75.2, 70.6, 66.0]
    for better, worse in itertools.pairwise(least):
        assert better - worse == pytest.approx(4.6)
