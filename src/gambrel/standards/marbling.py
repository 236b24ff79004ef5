"""Marbling: degrees and their codes, fat they stand for, and what a picture's marbling area says.

A degree has 100 parts; the code puts degree and parts in one number (Slight 50 is 350, Small 00 is 400).
"""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Degree:
    """One degree of marbling: its lowest code, and fat of the lean [%] by two published tables (None: not
    given).
    """

    name: str
    low: int
    bif_fat_pct: float | None
    savell_fat_pct: float | None


# Codes 300-900 [nbqa-2022], 100-299 [bif-guidelines, given as 1.0-9.9], Devoid from memory. The first fat
# column is read [bif-guidelines]; the second is recalled [savell-1986].
DEGREES = (
    Degree("Devoid", 0, None, None),
    Degree("Practically Devoid", 100, None, 1.77),
    Degree("Traces", 200, 2.76, 2.48),
    Degree("Slight", 300, 3.83, 3.43),
    Degree("Small", 400, 5.04, 4.99),
    Degree("Modest", 500, 6.72, 5.97),
    Degree("Moderate", 600, 7.25, 7.34),
    Degree("Slightly Abundant", 700, 10.13, 8.56),
    Degree("Moderately Abundant", 800, None, 10.42),
    Degree("Abundant", 900, None, None),
)

FAT_UNCERTAINTY_PCT = 2.0
"""Half-width to allow on fat read from a degree [points]: measured pairs run up to two points above both
tables. [skaa287]"""

AREA_LINES = {
    "all": (0.793, -3.04, "r2 0.96, 158 ribeyes"),
    "station 1": (0.741, -2.22, "r2 0.91"),
    "station 2": (0.782, -2.54, "r2 0.91"),
}
"""Slope and intercept of crude fat % on marbling area %, Japan-type ribeyes at the 6th-7th rib.
[jas-78-799]"""

AREA_LIMITS_PCT = (6.1, 56.8)
"""Marbling areas the lines were fitted over [% of the eye]. [jas-78-799]"""

_WORDS = re.compile(r"\s*([a-z]+(?:[\s_-]+[a-z]+)?)[\s_-]*(\d{1,2})?\s*", re.IGNORECASE)


def degree_of(marbling_score: float) -> Degree:
    """The degree a code falls in; 1000 counts as Abundant. `ValueError` outside 0 to 1000. [nbqa-2022]"""
    if not 0 <= marbling_score <= 1000:
        raise ValueError(f"a marbling score runs from 0 to 1000, not {marbling_score}")
    return DEGREES[min(9, int(marbling_score // 100))]


def words(marbling_score: float) -> str:
    """A code in the trade's words: 430 is "Small 30"."""
    degree = degree_of(marbling_score)
    return f"{degree.name} {min(99, int(marbling_score) - degree.low):02d}"


def score_of_words(text: str) -> tuple[float, bool] | None:
    """The code of "Small 30" or "modest", and whether the parts were said; None when it is no degree.

    A degree without its parts is taken at its middle.
    """
    match = _WORDS.fullmatch(text)
    if match is None:
        return None
    name, parts = match.groups()
    folded = re.sub(r"[\s_-]+", " ", name).lower()
    low = next((degree.low for degree in DEGREES if degree.name.lower() == folded), None)
    if low is None:
        return None
    return low + (int(parts) if parts else 50.0), parts is not None


def fat_pct_of_degree(marbling_score: float) -> tuple[float | None, float | None]:
    """Fat of the lean at this degree [%] by the two tables; allow two points either way.

    First [bif-guidelines], second [savell-1986] (recalled).
    """
    degree = degree_of(marbling_score)
    return degree.bif_fat_pct, degree.savell_fat_pct


def crude_fat_pct(*, area_pct: float, line: str = "all") -> float:
    """Chemical fat of the lean [%] from marbling area [% of the eye]; never below nothing.

    Fitted on Japan-type ribeyes at the 6th-7th rib with 6.1 to 56.8 % area; elsewhere an order of size only.
    [jas-78-799]
    """
    slope, intercept, _ = AREA_LINES[line]
    return max(0.0, slope * area_pct + intercept)


def area_pct_for_fat(*, fat_pct: float) -> float:
    """Marbling area [% of the eye] at which the line for all ribeyes gives this fat [%].

    [derived from jas-78-799]
    """
    slope, intercept, _ = AREA_LINES["all"]
    return (fat_pct - intercept) / slope
