"""Student's t and Fisher's F, by the incomplete beta function.

The continued fraction is the one of the NIST Digital Library of Mathematical Functions, 8.17.22 (2010), summed by
Lentz's rule [Lentz, "Generating Bessel functions in Mie scattering calculations using continued fractions", Applied
Optics 15, 1976]; t and F follow from it by Abramowitz & Stegun, "Handbook of Mathematical Functions", 26.5.27-28
(National Bureau of Standards, 1964).
"""

from __future__ import annotations

import math

_TINY, _STEPS, _EXACT = 1e-300, 300, 1e-14


def incomplete_beta(x: float, a: float, b: float) -> float:
    """I_x(a, b), the regularised incomplete beta function, for 0 <= x <= 1 and a, b above 0."""
    if not 0.0 <= x <= 1.0 or a <= 0.0 or b <= 0.0:
        raise ValueError("x must lie from 0 to 1, a and b above 0")
    if x in (0.0, 1.0):
        return x
    if x > (a + 1.0) / (a + b + 2.0):  # the fraction is fast on one side only
        return 1.0 - incomplete_beta(1.0 - x, b, a)
    log_front = a * math.log(x) + b * math.log1p(-x) - math.log(a)
    log_front += math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)
    return math.exp(log_front) * _fraction(x, a, b)


def _fraction(x: float, a: float, b: float) -> float:
    value = above = 1.0
    below = 0.0
    for step in range(_STEPS):
        half = step // 2
        if step == 0:
            term = 1.0
        elif step % 2 == 0:
            term = half * (b - half) * x / ((a + step - 1.0) * (a + step))
        else:
            term = -(a + half) * (a + b + half) * x / ((a + step - 1.0) * (a + step))
        below = 1.0 / (1.0 + term * below or _TINY)
        above = 1.0 + term / above or _TINY
        value *= above * below
        if step and abs(above * below - 1.0) < _EXACT:
            break
    return value - 1.0


def two_sided(t_ratio: float, df: float) -> float:
    """Probability of a Student t this far from 0, either way."""
    return incomplete_beta(df / (df + t_ratio * t_ratio), 0.5 * df, 0.5)


def student_width(df: float, level: float = 0.9) -> float:
    """How many standard errors to each side of the mean an interval reaches that holds `level`."""
    low, high = 0.0, 1.0
    while two_sided(high, df) > 1.0 - level:
        low, high = high, 2.0 * high
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if two_sided(middle, df) > 1.0 - level else (low, middle)
    return 0.5 * (low + high)


def f_upper(ratio: float, df_above: float, df_below: float) -> float:
    """Probability of a Fisher F of this size or more."""
    return incomplete_beta(df_below / (df_below + df_above * ratio), 0.5 * df_below, 0.5 * df_above)
