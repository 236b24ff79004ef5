"""Japanese carcass grade: yield class A to C and quality grade 1 to 5, read between the 6th and 7th rib.

Figures from the 12th rib do not fit these. Estimates only: the grade belongs to the Japanese grading
association.
"""

from __future__ import annotations

BREED_TERM_PCT = 2.049
"""Added for Wagyu and other beef breeds [points]. [japan-yield-page]"""

BMS_GRADES = ((8, 5), (5, 4), (3, 3), (2, 2), (1, 1))
"""Least beef marbling standard number of each quality grade, best first. [japan-quality-page]"""


def yield_pct(
    *, ribeye_cm2: float, rib_thickness_cm: float, side_kg: float, fat_cm: float, beef_breed: bool = False
) -> float:
    """Estimated yield [%] from ribeye [cm2], rib thickness [cm], cold left side [kg] and subcutaneous fat
    [cm].

    [japan-yield-page; published column means of jas-skac343 fit half the carcass as the weight]
    """
    base = 67.37 + 0.130 * ribeye_cm2 + 0.667 * rib_thickness_cm - 0.025 * side_kg - 0.896 * fat_cm
    return base + BREED_TERM_PCT if beef_breed else base


def yield_class(percent: float) -> str:
    """A from 72, B from 69, C below [%]. [japan-quality-page]"""
    return "A" if percent >= 72 else "B" if percent >= 69 else "C"


def marbling_grade(bms: int) -> int:
    """Quality grade of a beef marbling standard number 1 to 12; `ValueError` outside. [japan-quality-page]"""
    if not 1 <= bms <= 12:
        raise ValueError(f"the beef marbling standard runs from 1 to 12, not {bms}")
    return next(grade for least, grade in BMS_GRADES if bms >= least)


def quality_grade(*, bms: int, colour_grade: int = 5, firmness_grade: int = 5, fat_grade: int = 5) -> int:
    """Quality grade 1 to 5: the lowest of marbling, meat colour, firmness and fat. [japan-quality-page]"""
    grades = (marbling_grade(bms), colour_grade, firmness_grade, fat_grade)
    if not all(1 <= grade <= 5 for grade in grades):
        raise ValueError(f"each trait is graded 1 to 5, not {grades}")
    return min(grades)
