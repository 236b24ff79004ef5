"""USDA quality grade: the marbling by maturity grid, sex rules, dark cutters, and when a grader overrules.

Estimates by the shop: only a licensed grader gives the official grade, and none of this covers bison.
"""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.standards.marbling import degree_of
from gambrel.standards.maturity import GROUPS

GRADES = ("Prime", "Choice", "Select", "Standard", "Commercial", "Utility", "Cutter", "Canner")
BULLOCK_GRADES = ("Prime", "Choice", "Select", "Standard", "Utility")

# One row a degree, one column a maturity group A to E; two grades in a cell are split by a straight line.
# [quality-grid; B column after us-b-maturity-1996]
_GRID_AS_PRINTED = """
Slightly Abundant | Prime   | Prime/Choice    | Commercial        | Commercial        | Commercial
Moderate          | Choice  | Choice          | Commercial        | Commercial        | Commercial/Utility
Modest            | Choice  | Choice          | Commercial        | Commercial/Utility| Utility
Small             | Choice  | Standard        | Commercial/Utility| Utility           | Utility
Slight            | Select  | Standard        | Utility           | Utility           | Utility/Cutter
Traces            | Standard| Standard        | Utility           | Utility/Cutter    | Cutter
Practically Devoid| Standard| Standard/Utility| Utility/Cutter    | Cutter            | Cutter/Canner
"""

GRID: dict[str, tuple[tuple[str, ...], ...]] = {
    degree.strip(): tuple(tuple(cell.strip().split("/")) for cell in cells)
    for degree, *cells in (line.split("|") for line in _GRID_AS_PRINTED.strip().splitlines())
}
"""Degree to the grades of its five cells."""

LOWEST_GRID_SCORE = 100
"""The printed grid ends at Practically Devoid; below it nothing is published here."""

# Lowest code of each third or half, A maturity. Select, Standard [university-thirds]; the rest [nbqa-2022].
PARTS_A = (
    (900, "Prime+"), (800, "Prime"), (700, "Prime-"), (600, "Choice+"), (500, "Choice"), (400, "Choice-"),
    (350, "Select+"), (300, "Select-"), (234, "Standard+"), (167, "Standard"), (100, "Standard-"),
)  # fmt: skip

DARK_CUTTER_PH = 5.87
"""Muscle pH about which dark lean parts from normal. [jas-79-678]"""

OVERRIDE_DEGREES = 40
"""Marbling points a grader must differ by before changing an instrument's score. [ams-override-notice]"""


@dataclass(frozen=True, slots=True)
class GridGrade:
    """A grade from the grid: the grade, the grades its cell holds, and its third or half where published."""

    grade: str
    cell: tuple[str, ...]
    part: str | None


def grid_cell(*, marbling_score: float, maturity_code: float) -> tuple[str, ...]:
    """The one or two grades of the grid's cell; `ValueError` off the grid. [quality-grid]"""
    if not LOWEST_GRID_SCORE <= marbling_score <= 1000 or not 100 <= maturity_code < 600:
        raise ValueError(
            f"the grid is marbling 100 to 1000 by maturity 100 to 599; not {marbling_score}, {maturity_code}"
        )
    name = degree_of(min(marbling_score, 799)).name
    group = int(maturity_code // 100) - 1
    cell = GRID[name][group]
    # The split runs through Slightly Abundant only: above it the whole of B is Prime.
    return cell[:1] if marbling_score >= 800 else cell


def grid_grade(*, marbling_score: float, maturity_code: float) -> GridGrade:
    """Quality grade of a steer or heifer from marbling code and maturity code (A00 = 100 ... E99 = 599).

    In a split cell the least marbling for the better grade rises in a straight line from the bottom of the
    degree at the young edge of the group to its top at the old edge (that wording from memory).
    [quality-grid]
    """
    cell = grid_cell(marbling_score=marbling_score, maturity_code=maturity_code)
    grade = cell[0]
    if len(cell) == 2 and marbling_score % 100 < maturity_code % 100:
        grade = cell[1]
    return GridGrade(grade, cell, _part(grade, marbling_score, GROUPS[int(maturity_code // 100) - 1]))


def _part(grade: str, marbling_score: float, group: str) -> str | None:
    if group == "A":
        return next(part for low, part in PARTS_A if marbling_score >= low)
    if group == "B" and grade == "Choice":
        # One degree more than in A for the same third: Modest is the low third. [derived from
        # university-thirds]
        return "Choice-" if marbling_score < 600 else "Choice" if marbling_score < 700 else "Choice+"
    return None


def cow_grade(found: GridGrade) -> GridGrade:
    """A cow takes every grade but Prime: what would be Prime is Choice. [us-cow-bullock-rules]"""
    if found.grade != "Prime":
        return found
    return GridGrade("Choice", ("Choice",), None)


def bullock_grade(*, marbling_score: float) -> GridGrade:
    """Quality grade of a bullock (intact male under about 24 months), the same over all bullock maturity.

    Prime from Slightly Abundant, Choice from Small; below that the A column of the grid, and Utility under
    Practically Devoid (the lower minima from memory). [us-cow-bullock-rules]
    """
    if marbling_score < LOWEST_GRID_SCORE:
        return GridGrade("Utility", ("Utility",), None)
    return grid_grade(marbling_score=marbling_score, maturity_code=100.0)


def is_dark_cutter_ph(ph: float) -> bool:
    """Whether muscle of this pH is likely to be dark; about 5.87 parts the two. [jas-79-678]"""
    return ph >= DARK_CUTTER_PH


def dark_cutter_range(grade: str) -> tuple[str, ...]:
    """The grades a dark-cutting carcass may get, best first; how far it falls is the grader's judgement.

    Prime, Choice and Select fall by up to a full grade, Standard and Commercial by up to half a grade,
    which can end in the grade below; Utility and lower are not affected. [us-dark-cutter-rule, Select there
    called Good]
    """
    below = {
        "Prime": "Choice",
        "Choice": "Select",
        "Select": "Standard",
        "Standard": "Utility",
        "Commercial": "Utility",
    }
    return (grade, below[grade]) if grade in below else (grade,)


def grader_overrides(
    *,
    instrument_score: float,
    grader_score: float,
    maturity_code: float = 150.0,
    schedule_scores: tuple[float, ...] = (),
) -> bool:
    """Whether a grader changes an instrument's marbling score: 40 points apart or more, and it matters.

    It matters when the grade changes or a `schedule_scores` minimum (a buying programme's) lies between the
    two. [ams-override-notice, from 1 October 2015; it was 100 before]
    """
    if abs(instrument_score - grader_score) < OVERRIDE_DEGREES:
        return False
    low, high = sorted((instrument_score, grader_score))
    grades = {grid_grade(marbling_score=score, maturity_code=maturity_code).grade for score in (low, high)}
    return len(grades) == 2 or any(low < least <= high for least in schedule_scores)
