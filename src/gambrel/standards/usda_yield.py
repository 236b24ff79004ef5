"""USDA yield grade and the retail-cut equation, one function a published formula, in the sources' own units.

Beef only: no USDA standard covers bison, so there a figure from these is a guide. All of them are estimates
by the shop; only a licensed grader gives the official grade. Fat thickness is the adjusted one, over the
ribeye at three quarters of its length from the chine; ribeye is the longissimus alone, cut between the 12th
and 13th rib. The equations are plain arithmetic and work on numpy arrays as well as on numbers.
"""

from __future__ import annotations

import math

FAT_TRIM_STEP_PCT = 5.6
RETAIL_STEP_PCT = 4.6

BANDS_BCTRC_PCT = ((1, 52.3), (2, 50.0), (3, 47.7), (4, 45.4), (5, -math.inf))
"""Yield grade and the boneless closely trimmed retail cuts [% of carcass] it must be above.

Printed as 52.4 and more, 50.1 to 52.3 and so on [tamu-asweb-121]; a lot printed at 50.01 and grade 2
[florida-mimeographs] shows that the line lies at 50.0 itself.
"""

BANDS_RETAIL_PCT = ((1, 79.8), (2, 75.2), (3, 70.6), (4, 66.0), (5, -math.inf))
"""Yield grade and the least total retail cuts [% of carcass], two thirds of the bone out, fat left to half an
inch. [usda-retail-cuts-table]"""

CLOSELY_TRIMMED_PCT = {1: 75.5, 2: 71.5, 3: 67.5, 4: 64.9, 5: 60.8}
"""Closely trimmed retail product [% of carcass] by yield grade: another cutting basis. [ndsu-yield-grades]"""


def beef_yield_grade(*, fat_in: float, ribeye_in2: float, hot_lb: float, kph_pct: float) -> float:
    """Yield grade before the decimals are dropped [-]; may fall outside 1 to 5.9.

    Adjusted fat [in], ribeye [in2], hot carcass [lb], kidney, pelvic and heart fat [% of the carcass].
    [us-beef-standard, 7 CFR 54.105(a)]
    """
    return 2.50 + 2.50 * fat_in + 0.20 * kph_pct + 0.0038 * hot_lb - 0.32 * ribeye_in2


def whole_grade(yield_grade: float) -> int:
    """The grade as it would be stamped: decimals dropped, 1 at the least and 5 at the most.

    3.9 is 3. [ndsu-yield-grades; the ends of the scale from memory, us-beef-standard]
    """
    if not math.isfinite(yield_grade):
        raise ValueError(f"a yield grade must be a finite number, not {yield_grade}")
    # The equation's own decimals carry binary dust (1.9999999999999998 for 2): take it off before dropping.
    return min(5, max(1, math.floor(round(yield_grade, 9))))


def preliminary_grade(*, fat_in: float) -> float:
    """Preliminary yield grade from fat alone [-]: 2.00 at none, a quarter more each tenth of an inch.

    [sdsu-yield]
    """
    return 2.00 + 2.50 * fat_in


def ribeye_called_for_in2(*, hot_lb: float) -> float:
    """Ribeye area the short-cut method expects [in2]: 11.0 at 600 lb, 0.3 more each 25 lb. [sdsu-yield]"""
    return 11.0 + 0.012 * (hot_lb - 600.0)


def bench_yield_grade(*, fat_in: float, ribeye_in2: float, hot_lb: float, kph_pct: float) -> float:
    """Yield grade by the short-cut (bench) method [-]; 0.05 to 0.10 above the equation on usual carcasses.

    Preliminary grade, less 0.3 for each in2 of ribeye over what is called for, plus 0.1 for each half per
    cent of kidney, pelvic and heart fat over 3.5. [sdsu-yield]
    """
    ribeye_step = 0.3 * (ribeye_called_for_in2(hot_lb=hot_lb) - ribeye_in2)
    return preliminary_grade(fat_in=fat_in) + ribeye_step + 0.2 * (kph_pct - 3.5)


def retail_cut_pct(*, fat_in: float, ribeye_in2: float, hot_lb: float, kph_pct: float) -> float:
    """Boneless closely trimmed cuts of round, loin, rib and chuck [% of carcass].

    Fat [in], ribeye [in2], hot carcass [lb], kidney, pelvic and heart fat [%]. The coefficients are printed
    to three figures; 5.784 for fat is recalled and fits eight published lot means within 0.07.
    [montana-grading-2017; florida-mimeographs]
    """
    return 51.34 - 5.784 * fat_in - 0.462 * kph_pct - 0.0093 * hot_lb + 0.740 * ribeye_in2


def retail_cut_pct_metric(*, fat_cm: float, ribeye_cm2: float, hot_kg: float, kph_pct: float) -> float:
    """The same in metric as printed [% of carcass]; fat [cm], ribeye [cm2], hot carcass [kg].

    Its 0.02 a kilogram is 0.0205 rounded, so it reads 0.17 to 0.18 above the other form. [jas-skac343]
    """
    return 51.34 - 2.28 * fat_cm - 0.462 * kph_pct - 0.02 * hot_kg + 0.1147 * ribeye_cm2


def grade_of_retail_cut_pct(bctrc_pct: float) -> int:
    """The yield grade whose band holds this share of boneless closely trimmed cuts [% of carcass].

    [tamu-asweb-121]
    """
    return next(grade for grade, above_pct in BANDS_BCTRC_PCT if bctrc_pct > above_pct)


def retail_step_lb(*, hot_lb: float, grades: float) -> tuple[float, float]:
    """Change in retail product and in fat trim [lb] when the yield grade rises by `grades`.

    A whole grade costs 4.6 points of retail product and adds 5.6 points of fat (700 lb: -32.2 and +39.2).
    [ksu-report-262, 1121 carcasses]
    """
    return -RETAIL_STEP_PCT / 100 * hot_lb * grades, FAT_TRIM_STEP_PCT / 100 * hot_lb * grades


def kidney_fat_lb(*, hot_lb: float, kph_pct: float) -> float:
    """Weight of kidney, pelvic and heart fat in the whole carcass [lb]; each side holds half.

    [georgia-ag-2004]
    """
    return hot_lb * kph_pct / 100
