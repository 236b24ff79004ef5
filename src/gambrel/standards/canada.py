"""Canadian beef: lean yield to 2018, the five yield classes since 2019, and the A grades.

Estimates only: the ruler and the grades belong to the Canadian grading agency.
"""

from __future__ import annotations

from gambrel.measures.money import round_half_up
from gambrel.standards.usda_yield import grade_of_retail_cut_pct

MUSCLE_SCORES = (1, 2, 3, 4)
"""Muscle scores of the ruler's length by width box (their range from memory). [ontario-vbn-2009]"""

RULER_LIMITS_PCT = (49.0, 65.0)
"""The ruler shows no lean yield outside these [%]. [ontario-vbn-2009]"""

LEAST_FAT_MM = 2.0
"""Fat needed for the A grades [mm]. [canada-sor-92-541]"""

A_GRADES = ((700, "Prime"), (400, "AAA"), (300, "AA"), (200, "A"))
"""Least marbling code of each grade, best first. [canada-sor-92-541]"""


def lean_pct(*, muscle_score: float, grade_fat_mm: float) -> float:
    """Lean yield to 2018 [%] before the ruler's limits; fat [mm] is the least over the outer quarter of the
    eye.

    [ontario-vbn-2009; the site of the fat from memory]
    """
    return 63.65 + 1.05 * muscle_score - 0.76 * grade_fat_mm


def ruler_lean_pct(*, muscle_score: float, grade_fat_mm: float) -> float:
    """Lean yield as the ruler can show it [%]: 49 at the least, 65 at the most. [ontario-vbn-2009]"""
    low, high = RULER_LIMITS_PCT
    return min(high, max(low, lean_pct(muscle_score=muscle_score, grade_fat_mm=grade_fat_mm)))


def lean_class(yield_pct: float) -> str:
    """Class to 2018 of a lean yield [%]: Y1 from 59, Y2 54 to 58, Y3 53 and less.

    The classes are printed in whole per cent, so the yield is first rounded to one. [ontario-vbn-2009]
    """
    whole = round_half_up(yield_pct)
    return "Y1" if whole >= 59 else "Y2" if whole >= 54 else "Y3"


def yield_class(bctrc_pct: float) -> int:
    """Yield class 1 to 5 since 15 January 2019, from boneless closely trimmed cuts [% of carcass].

    The classes are read [canada-yield-2019]; that they share the US bands 52.3, 50.0, 47.7 and 45.4 is from
    memory.
    """
    return grade_of_retail_cut_pct(bctrc_pct)


def quality_grade(
    *,
    marbling_score: float,
    fat_mm: float,
    youthful: bool = True,
    bright_red: bool = True,
    firm: bool = True,
    fat_white: bool = True,
) -> str | None:
    """A, AA, AAA or Prime; None when the carcass is not in these grades.

    Traces to Slight is A, Slight to Small AA, Small to Slightly Abundant AAA, from there Prime; youthful,
    at least 2 mm of fat, lean bright red and firm, fat white or lightly tinged, ten minutes' bloom.
    [canada-sor-92-541]
    """
    if not (youthful and bright_red and firm and fat_white) or fat_mm < LEAST_FAT_MM:
        return None
    return next((grade for least, grade in A_GRADES if marbling_score >= least), None)
