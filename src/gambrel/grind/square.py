"""Two sums done on paper: the square for two trims, and what is left when fat is trimmed off."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Square:
    """Share of each of two trims, adding to 1, that meets a fat target."""

    first_share: float
    second_share: float


def pearson_square(*, first_fat_pct: float, second_fat_pct: float, target_fat_pct: float) -> Square:
    """How much of two trims meets a target fat [%]: each share is the other trim's distance from the target.

    `ValueError` when the target does not lie between the two. Worked case: 10 % and 25 % fat to 20 %, one
    part to two [Meat Calculations, teaching slides].
    """
    if not min(first_fat_pct, second_fat_pct) <= target_fat_pct <= max(first_fat_pct, second_fat_pct):
        raise ValueError("the target must lie between the two trims")
    first, second = abs(second_fat_pct - target_fat_pct), abs(first_fat_pct - target_fat_pct)
    if first + second == 0.0:  # both trims are the target already: any shares will do
        return Square(0.5, 0.5)
    return Square(first / (first + second), second / (first + second))


def kg_after_fat_is_trimmed(*, trim_kg: float, lean_pct: float, target_lean_pct: float) -> float:
    """Weight left once fat alone is taken off until the lean is `target_lean_pct` [kg].

    The lean stays, so it is the lean weight over the target share, and never more than there was.
    """
    if not 0.0 < target_lean_pct <= 100.0 or not 0.0 <= lean_pct <= 100.0:
        raise ValueError("lean is a percentage from 0 to 100, and the target above 0")
    return min(trim_kg, trim_kg * lean_pct / target_lean_pct)
