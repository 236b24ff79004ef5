"""Ribeye area from a dot grid laid on the cut face: ten dots to the square inch, only dots on the eye
counted.
"""

from __future__ import annotations

IN2_PER_DOT = 0.1
"""Each dot is the middle of a square of a tenth of a square inch. [sdsu-dot-grid]"""


def dot_area_in2(*, interior: int, boundary: int) -> float:
    """Area [in2] from dots inside the eye and dots on its edge; the grid is laid at random, not along the
    muscle.

    `ValueError` for a negative count. 98 inside and 9 on the edge are 10.15. [ams-grid-sheet]
    """
    if interior < 0 or boundary < 0:
        raise ValueError(f"a count of dots is never negative: {interior}, {boundary}")
    return max(0.0, IN2_PER_DOT * (interior + boundary / 2 - 1))


def quick_dot_area_in2(*, touching: int) -> float:
    """Area [in2] as every dot that touches the eye over ten: quicker, and too large. [sdsu-dot-grid]"""
    if touching < 0:
        raise ValueError(f"a count of dots is never negative: {touching}")
    return IN2_PER_DOT * touching


def quick_count_excess_in2(*, boundary: int) -> float:
    """How much the quick count overstates [in2] with this many dots on the edge.

    [derived from ams-grid-sheet]
    """
    return IN2_PER_DOT * (boundary / 2 + 1)
