"""The marbling by maturity grid, sex rules, dark cutters and overrides against what is published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.standards.usda_quality import (
    BULLOCK_GRADES,
    GRADES,
    bullock_grade,
    cow_grade,
    dark_cutter_range,
    grader_overrides,
    grid_cell,
    grid_grade,
    is_dark_cutter_ph,
)

MID = {"A": 150, "B": 250, "C": 350, "D": 450, "E": 550}
GRID = "USDA quality grid, reprint on a calculator page"

# degree (its middle code), then the five cells; typed from the reprint of the grid; B column after 61 FR
# 2891, 1996.
PRINTED = [
    (750, "Prime", "Prime/Choice", "Commercial", "Commercial", "Commercial"),
    (650, "Choice", "Choice", "Commercial", "Commercial", "Commercial/Utility"),
    (550, "Choice", "Choice", "Commercial", "Commercial/Utility", "Utility"),
    (450, "Choice", "Standard", "Commercial/Utility", "Utility", "Utility"),
    (350, "Select", "Standard", "Utility", "Utility", "Utility/Cutter"),
    (250, "Standard", "Standard", "Utility", "Utility/Cutter", "Cutter"),
    (150, "Standard", "Standard/Utility", "Utility/Cutter", "Cutter", "Cutter/Canner"),
]


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"{GRID}, marbling {row[0]}")
def test_every_cell_as_printed(row):
    score, *cells = row
    assert ["/".join(grid_cell(marbling_score=score, maturity_code=code)) for code in MID.values()] == cells


@pytest.mark.parametrize(
    ("score", "group", "grade"),
    [
        (430, "A", "Choice"),
        (430, "B", "Standard"),  # 61 FR 2891, 1996
        (350, "A", "Select"),
        (350, "B", "Standard"),
        (350, "C", "Utility"),
        (550, "B", "Choice"),
        (550, "C", "Commercial"),
        (550, "E", "Utility"),
        (250, "A", "Standard"),
        (250, "E", "Cutter"),
        (720, "A", "Prime"),
    ],
)
def test_grades_as_published(score, group, grade):
    """USDA quality grid (reprint); B column 61 FR 2891, 1996."""
    assert grid_grade(marbling_score=score, maturity_code=MID[group]).grade == grade


def test_university_examples_in_a_and_b():
    """University table, fragment on a reprint page: A70 with Small 40 is Choice; B60 with Moderate 40
    average Choice.
    """
    assert grid_grade(marbling_score=440, maturity_code=170).grade == "Choice"
    found = grid_grade(marbling_score=640, maturity_code=260)
    assert (found.grade, found.part) == ("Choice", "Choice")


@pytest.mark.parametrize(
    ("score", "part"),
    [
        (350, "Select+"),
        (399, "Select+"),
        (349, "Select-"),
        (300, "Select-"),
        (299, "Standard+"),
        (234, "Standard+"),
        (233, "Standard"),
        (167, "Standard"),
        (166, "Standard-"),
        (100, "Standard-"),
    ],
)
def test_halves_and_thirds_in_a(score, part):
    """University text on retail pages: Select+ Slight 50-100; Standard+ Traces 34-100, average PD 67 to
    Traces 33.
    """
    assert grid_grade(marbling_score=score, maturity_code=150).part == part


@pytest.mark.parametrize(
    ("score", "part"),
    [(900, "Prime+"), (850, "Prime"), (700, "Prime-"), (650, "Choice+"), (500, "Choice"), (400, "Choice-")],
)
def test_thirds_of_prime_and_choice(score, part):
    """A-maturity grade by degree: Beef Improvement Federation guidelines 2019 and audit note 2022."""
    assert grid_grade(marbling_score=score, maturity_code=150).part == part


def test_split_cells_are_cut_by_a_straight_line():
    """The line's wording is from memory; its ends are where the neighbouring cells meet."""
    at = lambda score, code: grid_grade(marbling_score=score, maturity_code=code).grade  # noqa: E731
    assert at(700, 200) == "Prime"  # the young edge: the bottom of the degree is enough
    assert at(798, 299) == "Choice"  # the old edge: even its top is not
    assert (at(760, 250), at(740, 250)) == ("Prime", "Choice")
    assert at(800, 299) == "Prime"  # above the split degree all of B is Prime
    assert (at(480, 350), at(420, 350)) == ("Commercial", "Utility")


def test_cows_are_never_prime():
    """Market manager course page and export handbook: cows take every grade except Prime."""
    assert cow_grade(grid_grade(marbling_score=720, maturity_code=150)).grade == "Choice"
    assert cow_grade(grid_grade(marbling_score=430, maturity_code=150)).grade == "Choice"


@pytest.mark.parametrize(
    ("score", "grade"), [(410, "Choice"), (400, "Choice"), (700, "Prime"), (720, "Prime")]
)
def test_bullock_minima(score, grade):
    """Bullock minima, standard text on a reprint page: Prime from Slightly Abundant, Choice from Small."""
    assert bullock_grade(marbling_score=score).grade == grade


@given(score=st.floats(0, 1000))
def test_bullocks_take_five_grades_only(score):
    """Never Commercial, Cutter or Canner (market manager course page, export handbook)."""
    assert bullock_grade(marbling_score=score).grade in BULLOCK_GRADES
    assert not {"Commercial", "Cutter", "Canner"} & set(BULLOCK_GRADES)


@pytest.mark.parametrize(
    ("grade", "span"),
    [
        ("Prime", ("Prime", "Choice")),
        ("Choice", ("Choice", "Select")),
        ("Select", ("Select", "Standard")),
        ("Standard", ("Standard", "Utility")),
        ("Commercial", ("Commercial", "Utility")),
        ("Utility", ("Utility",)),
        ("Cutter", ("Cutter",)),
        ("Canner", ("Canner",)),
    ],
)
def test_dark_cutters_fall_by_a_range(grade, span):
    """7 CFR 53, 1970s text: a full grade at most, half for Standard and Commercial, none below."""
    assert dark_cutter_range(grade) == span


def test_dark_cutter_ph():
    """J. Anim. Sci. 79: 678, 2001: about 5.87 parts normal from dark; 81.3 % of carcasses at 5.40 to 5.59."""
    assert not is_dark_cutter_ph(5.40)
    assert not is_dark_cutter_ph(5.59)
    assert is_dark_cutter_ph(5.87)
    assert is_dark_cutter_ph(6.4)


def test_grader_overrides():
    """AMS notice on procedure 515, 2015: 40 points apart and the grade or the schedule changes."""
    assert grader_overrides(instrument_score=700, grader_score=660)
    assert not grader_overrides(instrument_score=700, grader_score=670)
    assert not grader_overrides(instrument_score=450, grader_score=490)  # 40 apart, but Choice either way
    assert grader_overrides(instrument_score=470, grader_score=520, schedule_scores=(500,))


@pytest.mark.parametrize(("score", "code"), [(99, 150), (1001, 150), (400, 99), (400, 600), (-1, 150)])
def test_off_the_grid_is_a_mistake(score, code):
    with pytest.raises(ValueError, match="grid"):
        grid_cell(marbling_score=score, maturity_code=code)


@given(score=st.floats(100, 1000), code=st.floats(100, 599.9), more=st.floats(0, 900))
def test_more_marbling_is_never_worse_and_older_never_better(score, code, more):
    here = GRADES.index(grid_grade(marbling_score=score, maturity_code=code).grade)
    assert GRADES.index(grid_grade(marbling_score=min(1000, score + more), maturity_code=code).grade) <= here
    assert GRADES.index(grid_grade(marbling_score=score, maturity_code=min(599.9, code + more)).grade) >= here
