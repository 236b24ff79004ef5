"""Canada, Japan, the EU, bison, the dot grid and dressing against what is published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.standards import bison, canada, dressing, europe, japan, usual
from gambrel.standards.ribeye_area import dot_area_in2, quick_count_excess_in2, quick_dot_area_in2
from gambrel.standards.sources import sources


def test_canadian_lean_of_a_worked_line():
    """Ontario ministry, Virtual Beef 02/09, 2009: 63.65 + 1.05 * 3 - 0.76 * 6 = 62.24, class Y1."""
    lean = canada.lean_pct(muscle_score=3, grade_fat_mm=6)
    assert lean == pytest.approx(62.24, abs=0.01)
    assert canada.lean_class(lean) == "Y1"


@pytest.mark.parametrize(
    ("pct", "name"), [(65, "Y1"), (59, "Y1"), (58, "Y2"), (54, "Y2"), (53, "Y3"), (49, "Y3")]
)
def test_canadian_lean_classes(pct, name):
    """Ontario ministry, Virtual Beef 02/09, 2009."""
    assert canada.lean_class(pct) == name


def test_the_ruler_stops_at_49_and_65():
    """Ontario ministry, Virtual Beef 02/09, 2009."""
    assert canada.ruler_lean_pct(muscle_score=1, grade_fat_mm=40) == 49
    assert canada.ruler_lean_pct(muscle_score=4, grade_fat_mm=0) == 65


@pytest.mark.parametrize(("pct", "number"), [(52.4, 1), (52.3, 2), (50.0, 3), (47.7, 4), (45.4, 5)])
def test_canadian_yield_classes_of_2019_follow_the_us_bands(pct, number):
    """Five US-like classes since 15 January 2019 (Beef Cattle Research Council); the bands from ASWeb-121."""
    assert canada.yield_class(pct) == number


@pytest.mark.parametrize(
    ("score", "grade"),
    [
        (200, "A"),
        (299, "A"),
        (300, "AA"),
        (350, "AA"),
        (399, "AA"),
        (400, "AAA"),
        (699, "AAA"),
        (700, "Prime"),
        (199, None),
    ],
)
def test_canadian_quality(score, grade):
    """SOR/92-541, section 31: marbling of the A grades; 350 with 4 mm, bright, firm, youthful is AA."""
    assert canada.quality_grade(marbling_score=score, fat_mm=4) == grade


@pytest.mark.parametrize(
    "fault",
    [{"youthful": False}, {"bright_red": False}, {"firm": False}, {"fat_white": False}, {"fat_mm": 1.9}],
)
def test_canadian_faults_leave_the_a_grades(fault):
    """SOR/92-541, section 31."""
    assert canada.quality_grade(**({"marbling_score": 350, "fat_mm": 4} | fault)) is None


@pytest.mark.parametrize(
    ("fat_mm", "name"),
    [
        (4, "A1"),
        (10, "A2"),
        (15, "A3"),
        (20, "A4"),
        (1, "B1"),
        (2, "A1"),
        (6, "A1"),
        (7, "A2"),
        (12, "A2"),
        (18, "A3"),
        (1.9, "B1"),
    ],
)
def test_canadian_bison_classes(fat_mm, name):
    """Canadian Beef Grading Agency slides; bison association's change list for 18."""
    assert bison.bison_class(fat_mm=fat_mm) == name


def test_bison_ribs_and_youth():
    """USDA-ARS, Beef Research Progress Report 3: 26, 1988; SOR/92-541, schedule I."""
    assert bison.RIB_PAIRS == 14
    assert bison.is_youthful(ossified_pct=80)
    assert not bison.is_youthful(ossified_pct=81)


# hot kg, ribeye cm2, rib thickness cm, fat cm, printed yield, the same with the breed term (derived)
JAPAN = [
    ("J1", 353, 44.2, 7.55, 2.90, 71.08, 73.19),
    ("J2", 352, 42.6, 6.75, 3.12, 70.18, 72.26),
    ("J3", 326, 40.8, 6.74, 3.07, 70.34, 72.39),
]


@pytest.mark.parametrize("row", JAPAN, ids=lambda row: f"J. Anim. Sci. 101: skac343, 2023, {row[0]}")
def test_japanese_yield_on_published_means(row):
    name, hot_kg, ribeye, rib, fat, printed, with_breed = row
    readings = {"ribeye_cm2": ribeye, "rib_thickness_cm": rib, "side_kg": hot_kg / 2, "fat_cm": fat}
    assert japan.yield_pct(**readings) == pytest.approx(printed, abs=0.05 if name == "J3" else 0.08)
    assert japan.yield_pct(**readings, beef_breed=True) == pytest.approx(with_breed, abs=0.05)


@pytest.mark.parametrize(
    ("pct", "name"), [(72.39, "A"), (72, "A"), (71.99, "B"), (70.34, "B"), (69, "B"), (68.9, "C")]
)
def test_japanese_yield_classes(pct, name):
    """Wagyu registry association, English page: A from 72, B from 69."""
    assert japan.yield_class(pct) == name


@pytest.mark.parametrize(("bms", "grade"), [(1, 1), (2, 2), (3, 3), (4, 3), (5, 4), (7, 4), (8, 5), (12, 5)])
def test_japanese_marbling_grades(bms, grade):
    """Wagyu registry association, English page."""
    assert japan.marbling_grade(bms) == grade


def test_the_lowest_trait_sets_the_japanese_grade():
    """Wagyu registry association, English page; lowest-trait rule from a trade page."""
    assert japan.quality_grade(bms=12, colour_grade=3) == 3
    assert japan.quality_grade(bms=2, colour_grade=5) == 2
    for bad in ({"bms": 0}, {"bms": 13}, {"bms": 5, "fat_grade": 6}):
        with pytest.raises(ValueError, match="not"):
            japan.quality_grade(**bad)


@pytest.mark.parametrize(
    ("sex", "months", "letter"),
    [
        ("bull", 18, "A"),
        ("bull", 26, "B"),
        ("steer", 14, "C"),
        ("cow", 60, "D"),
        ("heifer", 15, "E"),
        ("steer", 10, "Z"),
        ("bull", 10, "Z"),
        ("bull", 24, "B"),
        ("bull", 12, "A"),
        ("cow", None, "D"),
        ("steer", None, None),
        ("heifer", 7, None),
    ],
)
def test_eu_categories(sex, months, letter):
    """Regulation (EU) 1308/2013, annex IV."""
    assert europe.category(sex=sex, age_months=months) == letter


def test_eu_classes_are_the_published_letters():
    """Regulations (EU) 1308/2013, annex IV, and 2017/1182, annex I."""
    assert "".join(europe.CONFORMATION) == "SEUROP"
    assert list(europe.FAT_COVER) == [1, 2, 3, 4, 5]
    assert europe.FAT_COVER[2][1].startswith("muscle clearly visible")
    assert europe.carcass_class(conformation="R", fat_cover=3) == "R3"
    with pytest.raises(ValueError, match="not X9"):
        europe.carcass_class(conformation="X", fat_cover=9)


def test_official_dot_count():
    """USDA AMS ribeye grid method sheet, May 2011, quoted by an article: 98 inside, 9 on the edge, 10.15
    in2.
    """
    assert dot_area_in2(interior=98, boundary=9) == pytest.approx(10.15, abs=1e-9)


def test_ten_dots_to_the_square_inch():
    """South Dakota State University extension, dot grid."""
    assert quick_dot_area_in2(touching=10) == pytest.approx(1.0)


@given(interior=st.integers(0, 400), boundary=st.integers(0, 80))
def test_quick_count_overstates_as_derived(interior, boundary):
    official = dot_area_in2(interior=interior, boundary=boundary)
    assert official >= 0
    if interior + boundary / 2 >= 1:
        quick = quick_dot_area_in2(touching=interior + boundary)
        assert quick - official == pytest.approx(quick_count_excess_in2(boundary=boundary))


def test_a_negative_count_is_a_mistake():
    with pytest.raises(ValueError, match="never negative"):
        dot_area_in2(interior=-1, boundary=2)
    with pytest.raises(ValueError, match="never negative"):
        quick_dot_area_in2(touching=-1)


@pytest.mark.parametrize(("live", "hot", "pct"), [(1300, 806, 62.0), (1300, 828, 63.7)])
def test_dressing(live, hot, pct):
    """National producers' booklet 2013 (806 of 1300); Beef Improvement Federation guidelines 2019 (828 of
    1300).
    """
    assert dressing.dressing_pct(live_lb=live, hot_lb=hot) == pytest.approx(pct, abs=0.05)


def test_hot_weight_of_an_animal_that_dresses_63():
    """Mississippi State University Extension P3489: 1200 lb at 63 % is 756 lb."""
    assert dressing.hot_from_live_lb(live_lb=1200, percent=63) == pytest.approx(756, abs=0.5)


def test_no_live_weight_no_dressing():
    with pytest.raises(ValueError, match="above 0"):
        dressing.dressing_pct(live_lb=0, hot_lb=500)


def test_usual_spans_are_cited_and_in_order():
    for line in dressing.USUAL:
        assert line.low_pct < line.high_pct
        assert line.source in sources()
    for low, high in (usual.USUAL_RIBEYE_IN2, usual.USUAL_FAT_IN, usual.USUAL_KPH_PCT, usual.SEEN_RIBEYE_CM2):
        assert low < high
